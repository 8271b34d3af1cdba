"""A simulated day of the demo shop at the real terminal, with nothing but the keys a caster presses.

    python -m benchmarks.whole_day --captures FOLDER

`floorboard demo` runs in tmux on a fast clock. A caster reads the screen, presses Enter when the
panel says that something is to be done or is done, rejects a casting, strikes an entry, writes a
note; the program is killed at noon and opened again; the tally is looked at in the evening. What
the keys did, by the sentences the board answered with, is held against the tally and the log.
"""

from __future__ import annotations

import argparse
import collections
import datetime as dt
import json
import os
import re
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from zoneinfo import ZoneInfo

from benchmarks.at_terminal import AtTerminal, Panel, panels

DAY, ZONE = dt.date(2026, 3, 12), ZoneInfo("Europe/Lisbon")
KILLED_AT = dt.time(12, 0)
# A hand takes so long over what it has begun, in the shop's time, before it presses done.
AT_WORK_SECONDS = 240.0
# The board asks for a second look at what has only just come up, and two presses in a blink are one.
LOOK_SECONDS = 0.3
ANSWER = re.compile(r"^ (?P<said>(Logged|Rejected|Struck): .*?|Noted\.)\s*(\[-\].*)?$")
REFUSED = re.compile(r"Look again|Pressed twice|Nothing to confirm|Nothing was (logged|done)")
# Far longer than it takes; a machine that is busy with other things is slow to paint.
ANSWERED_WITHIN_SECONDS = 10.0
COUNTED = {
    "begun": re.compile(r"^Logged: Clean and ready mold"),
    "demolded": re.compile(r"^Logged: Mold \d+ is demolded"),
    "scrapped": re.compile(r"^Rejected: "),
}
# How the log words what these count, as a strike says it.
STRUCK = {
    "begun": re.compile(r"^Struck: Mold \d+: \S+ begun, "),
    "demolded": re.compile(r"^Struck: Mold \d+: \S+ demolded\."),
    "scrapped": re.compile(r"^Struck: Mold \d+: \S+ rejected, "),
}


@dataclass(slots=True)
class Figures:
    """What a day came to."""

    presses: collections.Counter[str] = field(default_factory=collections.Counter)
    answers: list[str] = field(default_factory=list)
    unanswered: list[str] = field(default_factory=list)
    before: dict[str, int] = field(default_factory=dict)
    counted: dict[str, int] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)
    entries: int = 0
    seconds: float = 0.0

    def done(self, what: str) -> int:
        """Return how often the board said that it had logged something of a kind."""
        return sum(bool(COUNTED[what].search(said)) for said in self.answers)

    def __str__(self) -> str:
        keys = ", ".join(f"{key} {count}" for key, count in self.presses.most_common())
        lines = [
            f"keys          {keys}",
            f"answered      {len(self.answers)} times, {len(self.unanswered)} presses not taken",
            f"entries       {self.entries}",
            *(
                f"{what:<13} {self.before[what]} before, {self.done(what)} by keys, "
                f"{self.counted[what]} in the tally"
                for what in COUNTED
                if what in self.counted
            ),
            f"wrong         {len(self.wrong)}",
            f"took          {self.seconds:.0f} s",
        ]
        return "\n".join([*lines, *(f"  {sentence}" for sentence in self.wrong)])


class Day:
    """The caster's day."""

    def __init__(self, folder: Path, speed: float, captures: Path | None) -> None:
        self.database, self.speed, self.captures = folder / "day.db", speed, captures
        self.figures = Figures()
        self.since: dict[tuple[str, str], dt.datetime] = {}
        self.now = dt.datetime.combine(DAY, dt.time(9, 40))
        self.terminal = self.open("demo", "--speed", str(speed), "--keep", str(self.database))

    def open(self, *words: str) -> AtTerminal:
        """Start the program in a terminal."""
        return AtTerminal(f"floorboard-{os.getpid()}", [sys.executable, "-m", "floorboard", *words])

    def look(self) -> list[str]:
        """Read the screen, and the shop's time off it."""
        lines = self.terminal.wait_for(lambda lines: bool(_clock(lines)))
        at = _clock(lines)
        assert at is not None
        self.now = dt.datetime.combine(DAY, at)
        return lines

    def keep(self, name: str) -> None:
        """Keep what the screen shows."""
        if self.captures is not None:
            self.captures.mkdir(parents=True, exist_ok=True)
            text = "\n".join(line.rstrip() for line in self.terminal.screen())
            (self.captures / f"{self.now:%H%M}-{name}.txt").write_text(text + "\n")

    def press(self, *keys: str) -> None:
        """Press keys and count them."""
        self.figures.presses.update(keys)
        self.terminal.press(*keys)

    def work_until(self, end: dt.time) -> None:
        """Look, press what is to be pressed, look again, until a time of day."""
        while (lines := self.look()) and self.now.time() < end:
            found = panels(lines)
            mine = next((panel for panel in found if panel.key), None)
            theirs = [panel for panel in found if panel is not mine]
            if mine is not None and self.is_time(mine):
                self.answered("Enter", mine.task)
            elif any(self.is_time(panel) for panel in theirs):
                self.press("*")
            time.sleep(LOOK_SECONDS)

    def is_time(self, panel: Panel) -> bool:
        """Return whether a caster would press Enter for what a panel says."""
        if panel.key == "changed: look" or panel.seconds is None:
            return False
        if panel.counts in {"late by", "starts in"}:
            return panel.counts == "late by" or panel.seconds <= self.speed
        begun = self.since.setdefault((panel.name, panel.task), self.now)
        return (self.now - begun).total_seconds() >= AT_WORK_SECONDS

    def answered(self, key: str, what: str) -> str:
        """Press a key and note the sentence the board answers with, if it does."""
        before = _answer(self.terminal.screen())
        self.press(key)
        until = time.monotonic() + ANSWERED_WITHIN_SECONDS
        while time.monotonic() < until:
            lines = self.terminal.screen()
            said = _answer(lines)
            if said and said != before:
                self.figures.answers.append(said)
                self.since = {k: v for k, v in self.since.items() if k[1] != what}
                return said
            if REFUSED.search(lines[38]):
                break
            time.sleep(0.05)
        self.figures.unanswered.append(f"{self.now:%H:%M} {key}: {what}")
        return ""

    def strike(self) -> None:
        """Strike the last entry, which takes back what it counted for."""
        said = self.answered("-", "strike")
        if not said.startswith("Struck: "):
            self.figures.wrong.append(f"A strike was answered with: {said}")
            return
        for what, words in STRUCK.items():
            if words.search(said):
                # What was struck is the last of its kind.
                found = [n for n, s in enumerate(self.figures.answers) if COUNTED[what].search(s)]
                del self.figures.answers[found[-1]]

    def note(self) -> None:
        """Write a note."""
        self.press("n")
        self.terminal.wait_for(lambda lines: any("note" in line.lower() for line in lines[3:30]))
        self.keep("note")
        self.terminal.type("Damp at the window side")
        self.answered("Enter", "note")

    def reject(self) -> None:
        """Choose a mold with a casting that waits in it, and scrap the casting."""
        rows = [
            line for line in self.look() if re.match(r"^.\s+\d+!?\s+\S (curing|soon|due)", line)
        ]
        if not rows:
            return
        self.press(rows[-1][1:6].strip(" !"))
        self.terminal.wait_for(lambda lines: any(line.startswith("▌") for line in lines[12:32]))
        self.press("r")
        self.terminal.wait_for(lambda lines: any("scrapped?" in line for line in lines))
        self.keep("reject")
        self.answered("1", "reject")

    def kill_and_reopen(self) -> None:
        """Kill the program as a power cut would, and open the board on what it left."""
        killed = self.terminal.process()
        os.kill(killed, signal.SIGKILL)
        self.terminal.__exit__()
        command = [sys.executable, "-m", "benchmarks.whole_day", "--reopen", str(self.database),
                   "--at", self.now.replace(tzinfo=ZONE).isoformat(), "--speed", str(self.speed)]  # fmt: skip
        self.terminal = AtTerminal(f"floorboard-{os.getpid()}", command)
        self.look()

    def evening(self) -> None:
        """Look at the tally on the screen, quit, and hold the tally against what the keys did."""
        self.press("t")
        self.terminal.wait_for(lambda lines: any("carried" in line.lower() for line in lines))
        self.keep("tally")
        self.press("Escape", "q")
        figures = self.figures
        figures.before = _tally("--demo")
        figures.counted = _tally("--database", str(self.database), "--day", f"{DAY}")
        for what in COUNTED:
            expected = figures.before[what] + figures.done(what)
            if figures.counted[what] != expected:
                found = figures.counted[what]
                figures.wrong.append(
                    f"The tally says {found} {what}; by the keys it is {expected}."
                )
        checked = _run("--database", str(self.database), "check")
        if checked.returncode:
            figures.wrong.append(f"check: {checked.stdout} {checked.stderr}")
        log = json.loads(_run("--database", str(self.database), "log", "--json").stdout)
        figures.entries = max(entry["seq"] for entry in log)


def _clock(lines: list[str]) -> dt.time | None:
    found = re.search(r"(\d\d):(\d\d):(\d\d)\s+\w+\s*$", lines[0].rstrip())
    return dt.time(int(found[1]), int(found[2]), int(found[3])) if found else None


def _answer(lines: list[str]) -> str:
    found = ANSWER.match(lines[38].rstrip())
    return found["said"] if found else ""


def _run(*words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "floorboard", *words]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def _tally(*words: str) -> dict[str, int]:
    counts: dict[str, int] = json.loads(_run("tally", "--json", *words).stdout)["counts"]
    return counts


def whole_day(
    folder: Path, end: dt.time, speed: float, captures: Path | None = None, *, mishaps_from: dt.time
) -> Figures:
    """Run the day until a time and return what it came to; mishaps begin at another."""
    begun = time.monotonic()
    day = Day(folder, speed, captures)
    try:
        day.terminal.wait_for(lambda lines: bool(panels(lines)))
        day.keep("opened")
        day.work_until(mishaps_from)
        day.strike()
        day.keep("after-a-strike")
        day.note()
        day.reject()
        day.kill_and_reopen()
        day.keep("reopened")
        day.work_until(end)
        day.keep("evening")
        day.evening()
    finally:
        day.terminal.__exit__()
    day.figures.seconds = time.monotonic() - begun
    return day.figures


def reopen(database: str, at: dt.datetime, speed: float) -> None:
    """Open the board on the day's database as the command does, at the clock of the day."""
    from floorboard.cli.compose import PastPlanner, open_database
    from floorboard.cli.run_board import run_board
    from floorboard.floor.clock import FastClock
    from floorboard.screens.first_look import Opening
    from floorboard.screens.settings import BoardSettings
    from floorboard.usecases.session import Session

    with open_database(database) as store:
        session = Session(store, PastPlanner(store.path), FastClock(at, speed), "demo")
        opening = Opening(None, lambda: session)
        run_board(opening, light=False, ascii_only=False, settings=BoardSettings())


def main() -> None:
    """Run a day and print its figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--until", type=dt.time.fromisoformat, default=dt.time(17, 30))
    parser.add_argument("--speed", type=float, default=60.0)
    parser.add_argument("--captures", type=Path, help="a folder to keep what the screen showed in")
    parser.add_argument("--reopen", help=argparse.SUPPRESS)
    parser.add_argument("--at", type=dt.datetime.fromisoformat, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.reopen is not None:
        reopen(given.reopen, given.at, given.speed)
        return
    with tempfile.TemporaryDirectory(prefix="whole-day-") as folder:
        figures = whole_day(
            Path(folder), given.until, given.speed, given.captures, mishaps_from=KILLED_AT
        )
    print(figures)
    sys.exit(1 if figures.wrong else 0)


if __name__ == "__main__":
    main()
