"""Numbers that come in from a scale, a gauge or the log, checked before any arithmetic.

Every function returns the value as a float (or int) or raises ``ValueError`` with a sentence
that names the value, the limit and what to do.
"""

import math
from collections.abc import Iterable


def finite(value: float, what: str) -> float:
    """The value, when it is an ordinary number; NaN and infinity are refused."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{what} must be a number, not {value!r}.")
    if not math.isfinite(value):
        raise ValueError(f"{what} must be a number, not {value}; read it again.")
    return float(value)


def at_least(value: float, least: float, what: str) -> float:
    """The value, when it is a number of at least `least`."""
    number = finite(value, what)
    if number < least:
        raise ValueError(f"{what} is {value:g}, but cannot be under {least:g}; read it again.")
    return number


def above(value: float, limit: float, what: str) -> float:
    """The value, when it is a number above `limit`."""
    number = finite(value, what)
    if number <= limit:
        raise ValueError(f"{what} is {value:g}, but must be over {limit:g}; read it again.")
    return number


def between(value: float, least: float, greatest: float, what: str) -> float:
    """The value, when it is a number from `least` to `greatest`, ends included."""
    number = finite(value, what)
    if not least <= number <= greatest:
        raise ValueError(
            f"{what} is {value:g}, but must lie from {least:g} to {greatest:g}; read it again."
        )
    return number


def open_share(value: float, what: str) -> float:
    """The value, when it is a share strictly between 0 and 1, such as a confidence of 0.95."""
    number = finite(value, what)
    if not 0 < number < 1:
        raise ValueError(f"{what} is {value:g}, but must lie between 0 and 1, such as 0.95.")
    return number


def whole(value: int, what: str, *, least: int = 0) -> int:
    """The value, when it is a whole count of at least `least`."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError(f"{what} must be a whole number, not {value!r}.")
    if value < least:
        raise ValueError(f"{what} is {value}, but cannot be under {least}; count again.")
    return value


def all_finite(values: Iterable[float], what: str, *, least: int = 1) -> tuple[float, ...]:
    """The values in their order, when each is a number and there are at least `least` of them."""
    numbers = tuple(finite(value, f"{what} number {i}") for i, value in enumerate(values, 1))
    if len(numbers) < least:
        raise ValueError(f"{what}: at least {least} needed, {len(numbers)} given.")
    return numbers
