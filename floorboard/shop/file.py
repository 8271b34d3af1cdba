"""The shop file: one TOML text that a person can edit, read whole or refused whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import ValidationError

from floorboard.shop.cross_checks import findings, findings_in_data
from floorboard.shop.errors import Problem, ShopFileError, field_text
from floorboard.shop.file_sentences import told
from floorboard.shop.file_writing import write_shop
from floorboard.shop.shop import Shop
from floorboard.shop.toml_lines import LineMap
from floorboard.shop.toml_text import LARGEST_BYTES, Reading, read_around, trap_in

if TYPE_CHECKING:
    from pathlib import Path as FilePath

__all__ = ["MOST_PROBLEMS", "read_shop", "read_shop_file", "write_shop"]

MOST_PROBLEMS = 200

Path = tuple[str | int, ...]
Told = tuple[Path, str, str]


def read_shop(text: str, filename: str) -> Shop:
    """Return the shop a file's text describes.

    Parameters
    ----------
    text : the whole file.
    filename : named in each problem, not opened.

    Raises
    ------
    ShopFileError
        With all mistakes at once, in the order of their lines.
    """
    text = text.removeprefix("\ufeff")
    if trap := trap_in(text):
        raise ShopFileError([Problem(filename, trap.line, "", trap.found, trap.expected)])
    reading = read_around(text)
    shop, problems = _judged(reading)
    if shop is not None and not problems and not reading.mistakes:
        return shop
    raise ShopFileError(_in_order(filename, reading, problems))


def read_shop_file(path: FilePath) -> Shop:
    """Return the shop a file on disk describes; raises as `read_shop` does, OSError besides."""
    with path.open("rb") as file:
        content = file.read(LARGEST_BYTES + 1)
    if len(content) > LARGEST_BYTES:
        expected = f"a shop file of at most {LARGEST_BYTES / 1e6:.0f} MB"
        raise ShopFileError([Problem(path.name, 1, "", "a larger file", expected)])
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        found = f"the byte 0x{content[error.start]:02X}"
        raise ShopFileError([Problem(path.name, line, "", found, "text in UTF-8")]) from None
    return read_shop(text, path.name)


def _judged(reading: Reading) -> tuple[Shop | None, list[Told]]:
    """Return the shop if its structure holds, and what is wrong with the data."""
    shop, problems = None, []
    try:
        shop = Shop.model_validate(reading.data)
    except ValidationError as error:
        for detail in error.errors(include_url=False)[: MOST_PROBLEMS * 2]:
            said = told(detail, reading.data)
            # What seems to be missing may stand in a line that could not be read.
            if said and not (detail["type"] == "missing" and reading.hides(said[0])):
                problems.append(said)
    if shop is not None and not reading.mistakes:
        found = findings(shop)
    else:
        sections = Shop.model_fields if reading.lost_header else reading.damaged_sections
        found = findings_in_data(reading.data, frozenset(sections))
    told_paths = {path for path, _, _ in problems}
    for finding in found:
        if finding.path not in told_paths:
            expected = f"{finding.expected}. {finding.remedy}".rstrip(". ")
            problems.append((finding.path, finding.found, expected))
    return shop, problems


def _in_order(filename: str, reading: Reading, problems: list[Told]) -> list[Problem]:
    """Return the problems with their lines, the first of each place, ordered by line."""
    lines = LineMap(reading.text)
    listed = [Problem(filename, m.line, "", m.found, m.expected) for m in reading.mistakes]
    for path, found, expected in problems:
        listed.append(Problem(filename, lines.line(path), field_text(path), found, expected))
    listed = sorted(dict.fromkeys(listed), key=lambda problem: problem.line)
    if len(listed) > MOST_PROBLEMS:
        last = listed[MOST_PROBLEMS - 1]
        more = f"{len(listed) - MOST_PROBLEMS} or more further mistakes"
        listed = [*listed[:MOST_PROBLEMS], Problem(filename, last.line, "", more, "none")]
    return listed
