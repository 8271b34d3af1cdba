"""Throw inputs at everything that comes from outside, and count what is taken, refused, crashed.

    python -m benchmarks.fuzz --seconds 300

Guided by coverage where `atheris` is installed (pip install atheris), else by mutation alone. Every
crash is shown once with its shortest input; --keep FOLDER keeps the inputs. Exits with 1 if
anything crashed or took longer than a person would wait.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import random
import subprocess
import sys
import tempfile
import time
import traceback
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchmarks.fuzz_targets import Target

SLOW_SECONDS = 5.0
LONGEST_INPUT = 40_000
REPORT_EVERY = 200
# What libFuzzer calls the files of the inputs it ended on, and how much of its last words is kept.
ARTIFACTS = ("crash", "timeout", "oom", "leak")
END_OF_WORDS = 1200


@dataclass(slots=True)
class Count:
    """What became of the inputs of one target."""

    target: str
    tried: int = 0
    taken: int = 0
    refused: int = 0
    crashed: int = 0
    slowest_seconds: float = 0.0
    crashes: dict[str, str] = field(default_factory=dict)

    def try_one(self, target: Target, data: bytes) -> None:
        """Run a target on one input and count what became of it."""
        begun = time.perf_counter()
        self.tried += 1
        try:
            outcome = target.run(data)
        except Exception as error:
            self.crashed += 1
            kind = _where(error)
            known = self.crashes.get(kind)
            if known is None or len(data) < len(bytes.fromhex(known)):
                self.crashes[kind] = data.hex()
        else:
            self.taken += outcome == "taken"
            self.refused += outcome == "refused"
        self.slowest_seconds = max(self.slowest_seconds, time.perf_counter() - begun)

    @property
    def sound(self) -> bool:
        """Whether something was tried, nothing crashed and nothing was slow."""
        return bool(self.tried) and not self.crashed and self.slowest_seconds < SLOW_SECONDS


def _where(error: Exception) -> str:
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "floorboard" in frame.filename] or frames
    return f"{type(error).__name__} at {Path(ours[-1].filename).name}:{ours[-1].lineno}"


def mutations(target: Target, rng: random.Random) -> Iterator[bytes]:
    """Yield the seeds of a target, then endless variations of them; the same for the same seed."""
    from benchmarks.fuzz_targets import NASTY

    yield from target.seeds
    words = (*target.words, *NASTY)
    while True:
        data = bytearray(rng.choice(target.seeds))
        for _ in range(rng.choice((1, 1, 2, 4, 12))):
            _mutate(data, rng, words, target.seeds)
        yield bytes(data[:LONGEST_INPUT])


def _mutate(
    data: bytearray, rng: random.Random, words: tuple[bytes, ...], seeds: tuple[bytes, ...]
) -> None:
    """Change a few bytes in place: put in, take out, flip, copy, join with another seed."""
    at = rng.randrange(len(data) + 1)
    end = min(len(data), at + rng.choice((1, 2, 8, 40, 400)))
    way = rng.randrange(7)
    if way == 0:
        data[at:at] = rng.choice(words)
    elif way == 1:
        data[at:end] = b""
    elif way == 2 and data:
        data[rng.randrange(len(data))] = rng.randrange(256)
    elif way == 3:
        data[at:at] = data[at:end] * rng.choice((1, 2, 30))
    elif way == 4:
        other = rng.choice(seeds)
        begin = rng.randrange(len(other) + 1)
        data[at:end] = other[begin : begin + rng.choice((4, 40, 400))]
    elif way == 5:
        data[at:end] = rng.choice(words)
    else:
        data[at:at] = bytes(rng.randrange(256) for _ in range(rng.choice((1, 3, 9))))


def fuzz_by_mutation(target: Target, seconds: float, seed: int) -> Count:
    """Try variations of a target's seeds for so long."""
    count = Count(target.name)
    until = time.monotonic() + seconds
    for data in mutations(target, random.Random(seed)):
        if time.monotonic() > until:
            return count
        count.try_one(target, data)
    return count


def fuzz_by_coverage(target: str, seconds: float, seed: int) -> Count:
    """Fuzz a target in a process of its own, guided by what code each input reaches."""
    with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
        report = Path(folder) / "report.json"
        done = subprocess.run(
            [sys.executable, "-m", "benchmarks.fuzz", "--one", target, "--report", str(report),
             "--seconds", str(seconds), "--seed", str(seed)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            check=False,
        )  # fmt: skip
        return _count_of(target, done.returncode, done.stderr, report)


def _count_of(target: str, returned: int, said: bytes, report: Path) -> Count:
    """Return what a run of the fuzzer reported; one that ended itself badly is a crash too.

    A hang, a want of memory and a crash below Python end the process, and leave their input in a
    file beside the report.
    """
    if report.exists():
        count = Count(**json.loads(report.read_text()))
    else:
        count = Count(target, crashed=1, crashes={"the fuzzer itself did not start": ""})
    if returned:
        last = said.decode(errors="replace").strip()[-END_OF_WORDS:]
        inputs = [file for kind in ARTIFACTS for file in sorted(report.parent.glob(f"{kind}-*"))]
        data = inputs[0].read_bytes() if inputs else b""
        count.crashed += 1
        count.crashes[f"the fuzzer ended with {returned}: {last!r}"] = data.hex()
    return count


def _one_by_coverage(name: str, seconds: float, seed: int, report: Path) -> None:
    """Run libFuzzer on one target; it ends the process, so counts are written as it goes."""
    import atheris

    with atheris.instrument_imports(include=["floorboard"]):
        from benchmarks.fuzz_targets import BY_NAME, NASTY
    target = BY_NAME[name]
    count = Count(name)
    corpus = Path(report.parent) / "corpus"
    corpus.mkdir()
    for number, data in enumerate(target.seeds):
        (corpus / f"seed-{number}").write_bytes(data)
    words = corpus.parent / "words"
    words.write_text("".join(f'"{_escaped(word)}"\n' for word in (*target.words, *NASTY)))
    until = time.monotonic() + seconds

    def try_one(data: bytes) -> None:
        count.try_one(target, data)
        if count.tried % REPORT_EVERY == 0 or time.monotonic() > until:
            report.write_text(json.dumps(asdict(count)))

    arguments = [
        "fuzz", str(corpus), f"-max_total_time={max(1, int(seconds))}", f"-seed={seed}",
        f"-max_len={LONGEST_INPUT}", f"-dict={words}", "-timeout=60", "-rss_limit_mb=1500",
        f"-artifact_prefix={report.parent}/",
    ]  # fmt: skip
    report.write_text(json.dumps(asdict(count)))
    atheris.Setup(arguments, try_one)
    atheris.Fuzz()


def _escaped(word: bytes) -> str:
    return "".join(f"\\x{byte:02x}" for byte in word)


def main() -> None:
    """Fuzz every target, or those named, and print the counts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0, help="for all targets together")
    parser.add_argument("--target", action="append", help="only this one; may be given again")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, help="where to keep the inputs that crashed")
    parser.add_argument("--plain", action="store_true", help="by mutation, even with atheris")
    parser.add_argument("--one", help=argparse.SUPPRESS)
    parser.add_argument("--report", type=Path, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.one is not None:
        _one_by_coverage(given.one, given.seconds, given.seed, given.report)
        return
    from benchmarks.fuzz_targets import BY_NAME

    guided = not given.plain and importlib.util.find_spec("atheris") is not None
    names = given.target or list(BY_NAME)
    print(f"guided by {'coverage (atheris)' if guided else 'mutation alone'}")
    print(f"{'target':<14} {'tried':>9} {'taken':>9} {'refused':>9} {'crashed':>8} {'slowest':>9}")
    counts = []
    for name in names:
        seconds = given.seconds / len(names)
        count = (
            fuzz_by_coverage(name, seconds, given.seed)
            if guided
            else fuzz_by_mutation(BY_NAME[name], seconds, given.seed)
        )
        counts.append(count)
        print(
            f"{name:<14} {count.tried:>9} {count.taken:>9} {count.refused:>9} {count.crashed:>8} "
            f"{count.slowest_seconds:>7.2f} s",
            flush=True,
        )
    for count in counts:
        for number, (kind, data) in enumerate(count.crashes.items()):
            print(f"  {count.target}: {kind}: {bytes.fromhex(data)[:200]!r}")
            if given.keep is not None:
                given.keep.mkdir(parents=True, exist_ok=True)
                file = given.keep / f"{count.target.replace(' ', '-')}-{number}"
                file.write_bytes(bytes.fromhex(data))
    sys.exit(0 if all(count.sound for count in counts) else 1)


if __name__ == "__main__":
    main()
