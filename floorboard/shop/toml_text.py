"""The text of a shop file before it is data: refused if it is a trap, read around its mistakes.

A TOML reader stops at the first mistake. Here the statement with the mistake is blanked, its
lines kept so that later line numbers hold, and the rest read again, so that all are told at once.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

LARGEST_BYTES = 2_000_000
DEEPEST = 20
LONGEST_NUMBER = 100
MOST_MISTAKES = 50
# Each mistake costs one more reading: a bound on their sum keeps a large bad file quick.
MOST_BYTES_READ = 8_000_000

# Every alternative takes what it began (a string may lack its end), so one pass is linear.
_TOKEN = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+(?:""")?'
    r"|'''(?:[^']|'(?!''))*+(?:''')?"
    r'|"(?:[^"\\\n]|\\.)*+"?'
    r"|'[^'\n]*+'?"
    r"|\#[^\n]*+"
    r"|[\w+-]++"
    r"|[ \t\r]++"
    r"|.",
    re.DOTALL,
)
_STATEMENT = re.compile(r"""\s*+(?:\[|(?:[\w-]++|"[^"]*+"|'[^']*+')[\w\s."'-]*+=)""")
_HEADER = re.compile(r"\s*\[")
_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")


@dataclass(slots=True)
class Mistake:
    """One place where the text is not TOML; `line` counts from 1."""

    line: int
    found: str
    expected: str


@dataclass(slots=True)
class Reading:
    """What could be read: the data, the text it was read from, and the mistakes left out of it."""

    data: dict[str, Any]
    text: str
    mistakes: list[Mistake] = field(default_factory=list)
    damaged_tables: set[tuple[str, ...]] = field(default_factory=set)
    lost_header: bool = False

    @property
    def damaged_sections(self) -> set[str]:
        """The sections of the shop from which lines were left out."""
        return {table[0] for table in self.damaged_tables if table}

    def hides(self, path: Sequence[str | int]) -> bool:
        """Whether a field that seems to be missing may stand in what was left out."""
        table = tuple(key for key in path if isinstance(key, str))[:-1]
        return self.lost_header or table in self.damaged_tables


def trap_in(text: str) -> Mistake | None:
    """Return why the text is not to be read at all, or None: too large, or nested too deep."""
    size = len(text.encode(errors="surrogatepass"))
    if size > LARGEST_BYTES:
        return Mistake(
            1,
            f"a file of {size / 1e6:.2f} MB",
            f"a shop file of at most {LARGEST_BYTES / 1e6:.0f} MB",
        )
    depth = dots = 0
    line = 1
    for match in _TOKEN.finditer(text):
        token = match[0]
        first = token[0]
        if first in "[{":
            depth += 1
        elif first in "]}":
            depth = max(0, depth - 1)
        elif first == ".":
            dots += 1
        elif first in "\n=,#":
            dots = 0
        if depth > DEEPEST or dots > DEEPEST:
            return Mistake(
                line,
                "brackets or dotted keys nested deeper than any shop needs",
                f"at most {DEEPEST} levels: look for a bracket that is not closed",
            )
        if first.isdigit() and len(token) > LONGEST_NUMBER:
            return Mistake(line, f"a number of {len(token)} digits", "an ordinary number")
        line += token.count("\n")
    return None


def read_around(text: str) -> Reading:
    """Read TOML; where it is none, leave the statement out, note the mistake and read on."""
    lines = text.replace("\r\n", "\n").split("\n")
    reading = Reading({}, text)
    bytes_read = 0
    while True:
        current = "\n".join(lines)
        try:
            reading.data, reading.text = tomllib.loads(current), current
            return reading
        except ValueError as error:
            _leave_out(lines, str(error), reading)
        bytes_read += len(current)
        if len(reading.mistakes) >= MOST_MISTAKES or bytes_read > MOST_BYTES_READ:
            reading.mistakes.append(
                Mistake(
                    reading.mistakes[-1].line,
                    "so many mistakes that the rest was not read",
                    "these to be mended first",
                )
            )
            reading.lost_header = True
            return reading


def _leave_out(lines: list[str], message: str, reading: Reading) -> None:
    """Blank the statement a reader's message complains of, and note it."""
    match = _AT_LINE.search(message)
    at = min(int(match[1]), len(lines)) - 1 if match else len(lines) - 1
    if match is None:
        at = _open_string(lines, at)
    start, told = _culprit(lines, at)
    written = _shortened(lines[told].strip())
    reading.mistakes.append(Mistake(told + 1, written, f"TOML ({_reason(message)})"))
    end = start + 1
    while end < len(lines) and not _STATEMENT.match(lines[end]):
        end += 1
    header = bool(_HEADER.match(lines[start]))
    if header or not _balanced("\n".join(lines[start:end])):
        # What follows would be read into the wrong table, or as part of an unclosed value.
        reading.lost_header |= header
        while end < len(lines) and not _HEADER.match(lines[end]):
            end += 1
    above = start
    while above >= 0 and not _HEADER.match(lines[above]):
        above -= 1
    words = re.findall(r"[\w-]+", lines[above]) if above >= 0 else []
    reading.damaged_tables.add(tuple(words))
    lines[start:end] = [""] * (end - start)


def _culprit(lines: list[str], at: int) -> tuple[int, int]:
    """Return the line on which the faulty statement starts, and the line to tell of.

    An unclosed value is noticed only at the statement after it.
    """
    start = _statement_at_or_before(lines, at)
    before = _statement_at_or_before(lines, start - 1)
    if 0 <= before < start and not _balanced("\n".join(lines[before:start])):
        return before, before
    if start < 0 or (lines[at].strip() and _balanced("\n".join(lines[start:at]))):
        return at, at
    return start, at if lines[at].strip() else start


def _open_string(lines: list[str], at: int) -> int:
    """Return the line of the first string that is not closed, `at` without one."""
    line = 0
    for match in _TOKEN.finditer("\n".join(lines)):
        if match[0][0] in "\"'" and not _balanced(match[0]):
            return line
        line += match[0].count("\n")
    return at


def _statement_at_or_before(lines: list[str], index: int) -> int:
    while index >= 0 and not _STATEMENT.match(lines[index]):
        index -= 1
    return index


def _balanced(text: str) -> bool:
    """Whether each bracket and quote opened in a text is closed in it."""
    depth = 0
    for match in _TOKEN.finditer(text):
        token = match[0]
        if token in "[{":
            depth += 1
        elif token in "]}":
            depth -= 1
        elif token[0] in "\"'":
            quote = token[:3] if token[:3] in {'"""', "'''"} else token[0]
            if len(token) < 2 * len(quote) or not token.endswith(quote):
                return False
    return depth == 0


def _shortened(text: str) -> str:
    return repr(text) if len(text) <= 60 else f"{text[:60]!r}…"


def _reason(message: str) -> str:
    """A reader's complaint in words: "cannot declare [mixes.face] twice"."""
    reason = _AT_LINE.sub("", message).replace("(at end of document)", "").strip()
    if named := re.search(r"\('.*'\)|\('.*',\)", reason):
        keys = re.findall(r"'([^']*)'", named[0])
        reason = reason.replace(named[0], f"[{'.'.join(keys)}]")
    reason = reason.removeprefix("Found ")
    return reason[:1].lower() + reason[1:]
