"""Events to and from the log's text.

What is written is never rewritten. An event of an older version is brought up to date each time
it is read: `UPCASTS[kind][version]` turns the fields of `version` into those of `version + 1`.
"""

from __future__ import annotations

import json
import zlib
from typing import TYPE_CHECKING, Any, get_args

from floorboard.floor import events as e
from floorboard.shop.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

Fields = dict[str, Any]

MODELS: dict[str, type[e.Event]] = {
    model.model_fields["kind"].default: model for model in get_args(get_args(e.AnyEvent)[0])
}
VERSIONS: dict[str, int] = {
    kind: model.model_fields["version"].default for kind, model in MODELS.items()
}


def _no_cause(fields: Fields) -> Fields:
    """Version 1 did not say why a mold was taken out."""
    return {**fields, "cause": None}


UPCASTS: Mapping[str, Mapping[int, Callable[[Fields], Fields]]] = {"mold taken out": {1: _no_cause}}


def kinds_of(base: type[e.Event]) -> frozenset[str]:
    """Return the kinds of events of a class and those below it."""
    return frozenset(kind for kind, model in MODELS.items() if issubclass(model, base))


_KEPT_APART = {"kind", "version"}


_CHECK = "Check the database with: floorboard check"


class UnreadableEntry(StoreError):
    """An entry's text does not make sense to this version of the program.

    `finding` says so for `floorboard check`, which need not be advised to check.
    """

    def __init__(self, why: str, *, seq: int | None = None, advice: str = _CHECK) -> None:
        self.why, self.advice = why, advice
        said = f"{'An entry' if seq is None else f'Entry {seq}'} cannot be read ({why})."
        self.finding = said if advice == _CHECK else f"{said} {advice}"
        super().__init__(f"{said} {advice}")


def encode(event: e.AnyEvent) -> str:
    """Return the event's fields as JSON, without its kind and version, which have columns."""
    return event.model_dump_json(exclude=_KEPT_APART)


def decode(
    kind: str,
    version: int,
    data: str,
    upcasts: Mapping[str, Mapping[int, Callable[[Fields], Fields]]] = UPCASTS,
) -> e.AnyEvent:
    """Return an event as written by this version of the program or an older one.

    Raises
    ------
    UnreadableEntry
        If the kind or version is not known here, or the fields do not fit.
    """
    model = MODELS.get(kind)
    if model is None or version > VERSIONS[kind]:
        raise UnreadableEntry(
            f"this floorboard does not know '{kind}' of version {version}",
            advice="Install the version that wrote it.",
        )
    try:
        if version == VERSIONS[kind]:
            return model.model_validate_json(data)  # type: ignore[return-value]
        fields: Fields = json.loads(data)
        for step in range(version, VERSIONS[kind]):
            fields = upcasts[kind][step](fields)
        return model.model_validate(fields)  # type: ignore[return-value]
    except (ValueError, KeyError) as error:
        raise UnreadableEntry(f"its kind is '{kind}': {error}") from error


def checksum(*columns: str | int | None) -> int:
    """Return the CRC-32 of an entry's columns, which tells a flipped bit from what was written."""
    return zlib.crc32("\x1f".join("" if c is None else str(c) for c in columns).encode())
