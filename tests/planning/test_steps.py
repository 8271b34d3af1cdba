"""Sets of steps as bits agree with sets of ints."""

from hypothesis import given
from hypothesis import strategies as st

from floorboard.planning.steps import fits, highest, image, lowest, run_end, runs, window
from floorboard.planning.usage import Usage

SIZE = 40
sets = st.sets(st.integers(0, SIZE - 1))
bounds = st.one_of(st.none(), st.integers(-12, 12))


def _bits(steps: set[int]) -> int:
    return sum(1 << step for step in steps)


@given(sets, st.integers(1, 9))
def test_fits_are_the_starts_of_free_runs(free: set[int], length: int) -> None:
    starts = {s for s in range(SIZE) if all(s + k in free for k in range(length))}
    assert fits(_bits(free), length) == _bits(starts)


@given(sets.filter(bool), bounds, bounds)
def test_an_image_is_what_the_waits_allow(
    steps: set[int], least: int | None, greatest: int | None
) -> None:
    if least is not None and greatest is not None and least > greatest:
        least, greatest = greatest, least
    allowed = {
        t
        for t in range(2 * SIZE)
        if any(
            (least is None or t - s >= least) and (greatest is None or t - s <= greatest)
            for s in steps
        )
    }
    assert image(_bits(steps), least, greatest) & window(0, 2 * SIZE) == _bits(allowed)


@given(sets)
def test_runs_put_together_are_the_set(steps: set[int]) -> None:
    bits = _bits(steps)
    found = runs(bits)
    assert sum(window(*run) for run in found) == bits
    assert all(run_end(bits, start) == end for start, end in found)
    assert (lowest(bits), highest(bits)) == (min(steps, default=-1), max(steps, default=-1))


uses = st.tuples(st.integers(0, 25), st.integers(0, 12), st.integers(1, 6))


@given(st.lists(uses, max_size=12), st.lists(st.booleans(), max_size=12), st.integers(0, 30))
def test_usage_counts_what_is_added_and_not_taken_back(
    spans: list[tuple[int, int, int]], taken_back: list[bool], units: int
) -> None:
    usage, counts = Usage(), [0] * SIZE
    for start, length, number in spans:
        usage.add(start, start + length, number)
    for (start, length, number), back in zip(spans, taken_back + [False] * 12, strict=False):
        if back:
            usage.remove(start, start + length, number)
        else:
            for step in range(start, start + length):
                counts[step] += number
    many = {step for step, count in enumerate(counts) if count >= units}
    assert usage.at_least(units, window(0, SIZE)) == _bits(many)
