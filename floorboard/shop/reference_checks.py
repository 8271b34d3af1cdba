"""Names that lead nowhere, and numbers given twice.

These look at the plain data of a shop file, so that one bad field does not hide a name that is
wrong elsewhere. Whatever is not of the form expected is passed over: that is told of by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from floorboard.shop.base import HIGHEST_NUMBER
from floorboard.shop.findings import Finding, Path, names_text
from floorboard.shop.mixes import COLLECTIVE_BASES
from floorboard.shop.names import near_name

_EACH, _KEY = "*", "key"
_LONGEST_SHOWN = 60
_MOST_COMPARED = 200

# Where names stand, and in which section they must be found.
_REFERENCES: tuple[tuple[tuple[str, ...], str], ...] = (
    (("materials", _EACH, "solution", "active"), "materials"),
    (("mixes", _EACH, "parts", _EACH, "material"), "materials"),
    (("mixes", _EACH, "additives", _EACH, "material"), "materials"),
    (("mixes", _EACH, "station"), "stations"),
    (("pieces", _EACH, "layers", _EACH, "mix"), "mixes"),
    (("pieces", _EACH, "layers", _EACH, "station"), "stations"),
    (("pieces", _EACH, "route", _EACH, "station"), "stations"),
    (("pieces", _EACH, "route", _EACH, "uses", _KEY), "materials"),
    (("molds", _EACH, "piece"), "pieces"),
    (("orders", _EACH, "piece"), "pieces"),
)


def reference_findings(
    data: Mapping[str, Any], damaged: frozenset[str] = frozenset()
) -> Iterator[Finding]:
    """Yield what the names and numbers of a shop's plain data get wrong.

    A name is not called unknown where it may stand in a damaged section.
    """
    for pattern, section in _REFERENCES:
        if section in damaged:
            continue
        known = _mapping(data.get(section))
        for path, name in _at(data, pattern):
            if name not in known:
                yield _unknown(path, name, known, f"a name from [{section}]")
    for key, mix in () if "mixes" in damaged else _mapping(data.get("mixes")).items():
        yield from _inside_mix(("mixes", key), mix)
    yield from _numbers_twice(_mapping(data.get("molds")))


def names_for(path: Path, data: Mapping[str, Any]) -> list[str]:
    """Return the names that a field may hold, none if it names nothing in another section."""
    for pattern, section in _REFERENCES:
        if len(pattern) == len(path) and all(
            part in (_EACH, key) for part, key in zip(pattern, path, strict=True)
        ):
            return [name for name in _mapping(data.get(section)) if len(name) <= _LONGEST_SHOWN]
    return []


def _inside_mix(path: Path, mix: Any) -> Iterator[Finding]:
    parts = [name for _, name in _at(mix, ("parts", _EACH, "material"))]
    additives = [name for _, name in _at(mix, ("additives", _EACH, "material"))]
    both = dict.fromkeys([*parts, *additives])
    for place, base in _at(mix, ("additives", _EACH, "of")):
        if base not in COLLECTIVE_BASES and base not in both:
            bases = dict.fromkeys([*COLLECTIVE_BASES, *both])
            yield _unknown((*path, *place), base, bases, "a base: one of")
    for place, name in _at(mix, ("stages", _EACH, "add", _EACH)):
        if name not in both:
            yield _unknown((*path, *place), name, both, "a part or additive of this mix")
    for place, name in _at(mix, ("working_time", "additive")):
        if name not in additives:
            yield _unknown(
                (*path, *place), name, dict.fromkeys(additives), "an additive of this mix"
            )


def _numbers_twice(molds: Mapping[str, Any]) -> Iterator[Finding]:
    first: dict[int, str] = {}
    for key, mold in molds.items():
        number = _mapping(mold).get("number")
        if not isinstance(number, int) or isinstance(number, bool):
            continue
        if number in first:
            free = next(n for n in range(1, len(molds) + 2) if n not in first)
            yield Finding(
                ("molds", key, "number"),
                f"the number {number}, which is '{first[number]}' already",
                "a number of its own for each mold",
                f"The number {free} is free." if free <= HIGHEST_NUMBER else "",
            )
        first.setdefault(number, key)


def _unknown(path: Path, name: str, known: Mapping[str, Any], what: str) -> Finding:
    names = [text for text in known if len(text) <= _LONGEST_SHOWN]
    near = near_name(name[:_LONGEST_SHOWN], names[:_MOST_COMPARED])
    expected = f"{what} ({names_text(names)})" if names else f"{what}, of which there are none"
    shown = name if len(name) <= _LONGEST_SHOWN else f"{name[:_LONGEST_SHOWN]}…"
    return Finding(path, f"'{shown}'", expected, f"Perhaps '{near}'." if near else "")


def _at(data: Any, pattern: Sequence[str], path: Path = ()) -> Iterator[tuple[Path, str]]:
    """Yield each text at the places a pattern describes, with its path below `data`."""
    if not pattern:
        if isinstance(data, str):
            yield path, data
        return
    head, rest = pattern[0], pattern[1:]
    if head == _KEY:
        for key in _mapping(data):
            yield (*path, key), key
    elif head == _EACH:
        entries: Iterable[tuple[str | int, Any]] = (
            enumerate(data) if isinstance(data, list | tuple) else _mapping(data).items()
        )
        for place, value in entries:
            yield from _at(value, rest, (*path, place))
    elif head in _mapping(data):
        yield from _at(data[head], rest, (*path, head))


def _mapping(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}
