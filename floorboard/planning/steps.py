"""Sets of grid steps as bits of one int: bit t set means step t is in the set.

Python's long ints make "where does a task of 7 steps fit" a handful of machine-fast shifts over
the whole day, which is what lets a day of a hundred castings be planned between two key presses.
"""

from __future__ import annotations


def window(start: int, end: int) -> int:
    """Return the set of the steps of `[start, end)`; steps below 0 are left out."""
    start = max(start, 0)
    return ((1 << (end - start)) - 1) << start if end > start else 0


def fits(free: int, length: int) -> int:
    """Return the steps s for which all of `[s, s + length)` is free, length >= 1.

    Doubling: a set that covers runs of k, met with itself shifted by k, covers runs of 2k.
    """
    covered = 1
    while 2 * covered <= length:
        free &= free >> covered
        covered *= 2
    if covered < length:
        free &= free >> (length - covered)
    return free


def image(steps: int, least: int | None, greatest: int | None) -> int:
    """Return every t with `least <= t - s <= greatest` for some s of a set that is not empty.

    None stands for no bound. Without a greatest bound the set is endless (a negative int): meet
    it with a finite one.
    """
    if greatest is None:
        if least is None:
            return -1
        lowest = (steps & -steps).bit_length() - 1 + least
        return -1 << lowest if lowest > 0 else -1
    if least is None:
        highest = steps.bit_length() + greatest
        return (1 << highest) - 1 if highest > 0 else 0
    wanted, covered = greatest - least + 1, 1
    while 2 * covered <= wanted:
        steps |= steps << covered
        covered *= 2
    if covered < wanted:
        steps |= steps << (wanted - covered)
    return steps << least if least >= 0 else steps >> -least


def lowest(steps: int) -> int:
    """Return the first step of a set, -1 when it is empty."""
    return (steps & -steps).bit_length() - 1


def run_end(steps: int, start: int) -> int:
    """Return the first step from `start` on that is not in the set."""
    rest = steps >> start
    return start + (~rest & (rest + 1)).bit_length() - 1


def highest(steps: int) -> int:
    """Return the last step of a set, -1 when it is empty."""
    return steps.bit_length() - 1


def runs(steps: int) -> list[tuple[int, int]]:
    """Return the half-open stretches a set consists of, in order."""
    found: list[tuple[int, int]] = []
    at = 0
    while steps >> at:
        at += lowest(steps >> at)
        end = run_end(steps, at)
        found.append((at, end))
        at = end
    return found
