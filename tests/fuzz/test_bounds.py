"""Files made to exhaust whoever reads them are refused in a sentence, in little memory and time."""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

import pytest

from floorboard.shop.locations import seed_file

# Reading the largest file that is allowed takes a fraction of this.
MOST_BYTES = 1_000_000_000
MOST_CPU_SECONDS = 20
FIRST = seed_file("first.toml").read_text(encoding="utf-8")


def bound() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_CPU_SECONDS, MOST_CPU_SECONDS))


def check(file: Path) -> subprocess.CompletedProcess[str]:
    """Check a shop file by the real command, within bounds the system itself enforces."""
    return subprocess.run(
        [sys.executable, "-m", "floorboard", "shop", "check", str(file)],
        capture_output=True,
        text=True,
        preexec_fn=bound,
        check=False,
    )


BOMBS = {
    "a hundred thousand molds": FIRST
    + "".join(f'[molds.x{n}]\nnumber = {n}\npiece = "bowl"\n' for n in range(100_000)),
    "twenty thousand molds in a small file": "[molds]\n"
    + "".join(f'x{n}={{number={n},piece="a"}}\n' for n in range(20_000)),
    "brackets without end": FIRST + "x = " + "[" * 900_000,
    "a number of a million digits": FIRST + "x = " + "9" * 1_000_000,
    "one text of two megabytes": FIRST + f'note = "{"a" * 1_900_000}"',
    "two hundred thousand statements that are none": FIRST + "= \n" * 200_000,
    "a string that never ends": FIRST + '"""' + "\\" * 900_000,
    "numbers beyond any weight": FIRST.replace('"3 kg"', f'"{"9" * 59} kg"'),
}


@pytest.mark.parametrize("name", BOMBS)
def test_a_file_that_would_exhaust_its_reader_is_refused(name: str, tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_text(BOMBS[name], encoding="utf-8")
    done = check(file)
    assert done.returncode == 1, done.stderr[-500:]
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    lines = done.stderr.splitlines()
    assert 0 < len(lines) <= 300
    assert all(line.startswith("shop.toml, line ") for line in lines)
    assert max(map(len, lines)) < 1000
