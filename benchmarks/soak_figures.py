"""What a soak comes to: samples of what the process held, and whether the run was sound."""

from __future__ import annotations

import collections
import ctypes
import gc
import os
import threading
from dataclasses import dataclass, field
from pathlib import Path

# What an app holds settles within its first hours: screens are imported, caches fill.
SETTLING_HOURS = 6.0
LARGEST_GROWTH = 0.10
# A thread that draws up a plan or a read may be under way when a sample is taken.
MOST_SPREAD = 3


@dataclass(frozen=True, slots=True)
class Sample:
    """What the process held at one moment of the run."""

    hours: float
    megabytes: float
    files: int
    threads: int
    objects: int
    entries: int

    def __str__(self) -> str:
        return (
            f"{self.hours:6.1f} h  {self.megabytes:7.1f} MB  {self.files:3} files  "
            f"{self.threads:3} threads  {self.objects:8} objects  {self.entries:6} entries"
        )


def sample_now(hours: float, entries: int) -> Sample:
    """Return what this process holds once all that nobody holds on to is gone."""
    gc.collect()
    # What was freed stays with the allocator, as much as the busiest moment took; it is no leak.
    if trim := getattr(ctypes.CDLL(None), "malloc_trim", None):
        trim(0)
    return Sample(
        hours,
        resident_megabytes(),
        len(os.listdir("/proc/self/fd")),
        threading.active_count(),
        len(gc.get_objects()),
        entries,
    )


def resident_megabytes() -> float:
    """Return this process's resident memory, from /proc."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def objects_by_kind() -> collections.Counter[str]:
    """Return how many objects of each class the collector knows."""
    return collections.Counter(
        f"{type(thing).__module__}.{type(thing).__qualname__}" for thing in gc.get_objects()
    )


@dataclass(slots=True)
class Figures:
    """What a run came to. `screens` counts the keys pressed on each class of screen."""

    hours: float = 0.0
    actions: int = 0
    entries: int = 0
    openings: int = 0
    countdowns: int = 0
    worst_drift_seconds: float = 0.0
    faults: list[str] = field(default_factory=list)
    findings: list[str] = field(default_factory=list)
    samples: list[Sample] = field(default_factory=list)
    screens: collections.Counter[str] = field(default_factory=collections.Counter)
    grown: list[tuple[str, int]] = field(default_factory=list)
    seconds: float = 0.0

    @property
    def settled(self) -> list[Sample]:
        """The samples from the sixth hour on."""
        return [sample for sample in self.samples if sample.hours >= SETTLING_HOURS]

    def growth(self) -> float:
        """Return by what share the most memory ever held is above that after the first hours."""
        settled = self.settled
        if len(settled) < 2:
            return 0.0
        return max(sample.megabytes for sample in settled) / settled[0].megabytes - 1

    def spread(self, what: str) -> int:
        """Return by how many `files` or `threads` the samples after the first differ."""
        counts = [getattr(sample, what) for sample in self.samples[1:]]
        return max(counts) - min(counts) if counts else 0

    @property
    def sound(self) -> bool:
        """Whether nothing went wrong and nothing kept growing."""
        return (
            not self.faults
            and not self.findings
            and self.worst_drift_seconds < 1.0
            and self.growth() <= LARGEST_GROWTH
            and self.spread("files") < MOST_SPREAD
            and self.spread("threads") < MOST_SPREAD
        )

    def __str__(self) -> str:
        threads = sorted({sample.threads for sample in self.samples})
        files = sorted({sample.files for sample in self.samples})
        lines = [
            f"simulated     {self.hours:g} h in {self.seconds:.0f} s, on {self.openings} board",
            f"actions       {self.actions}, on {len(self.screens)} different screens",
            f"entries       {self.entries}",
            f"countdowns    {self.countdowns} checked, off by {self.worst_drift_seconds:g} s at most",
            f"memory        {self.growth():+.1%} at most after the first {SETTLING_HOURS:g} h",
            f"files         {files[0]} to {files[-1]} open" if files else "files         not seen",
            f"threads       {threads[0]} to {threads[-1]}" if threads else "threads       not seen",
            f"log           {len(self.findings)} findings",
            f"faults        {len(self.faults)}",
            "keys on       "
            + ", ".join(f"{name} {count}" for name, count in self.screens.most_common()),
            "grew most     " + ", ".join(f"{kind} {count:+}" for kind, count in self.grown),
        ]
        return "\n".join([*lines, *(f"  {s}" for s in [*self.findings, *self.faults][:20])])
