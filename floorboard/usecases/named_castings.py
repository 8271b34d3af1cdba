"""The castings that entries of the log name, those closed long ago among them.

The floor forgets a casting when nothing more is to be done to it; a line of the log still says in
which mold it was made.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from floorboard.floor.casting import Casting

if TYPE_CHECKING:
    from collections.abc import Callable

# So many closed castings are remembered; then all are forgotten and read again as they are named.
MOST_REMEMBERED = 5000


class NamedCastings(Mapping[str, Casting]):
    """Castings by serial number: the floor's, else as the store has them.

    What is read from the store is remembered until `forget` is told that it may have changed: an
    entry logged late adds a flag even to a casting that is closed. Iterating and counting know the
    floor's only.
    """

    def __init__(self, read: Callable[[str], Casting | None]) -> None:
        self.floor: Mapping[str, Casting] = {}
        self._read = read
        self._read_before: dict[str, Casting | None] = {}

    def __getitem__(self, serial: str) -> Casting:
        found = self.floor.get(serial) or self._remembered(serial)
        if found is None:
            raise KeyError(serial)
        return found

    def forget(self, serials: Iterable[str] | None = None) -> None:
        """Read these castings, or all, from the store again when they are next named."""
        if serials is None:
            self._read_before.clear()
            return
        for serial in serials:
            self._read_before.pop(serial, None)

    def _remembered(self, serial: str) -> Casting | None:
        if self._read_before.get(serial) is None:
            if len(self._read_before) >= MOST_REMEMBERED:
                self._read_before.clear()
            self._read_before[serial] = self._read(serial)
        return self._read_before[serial]

    def __iter__(self) -> Iterator[str]:
        return iter(self.floor)

    def __len__(self) -> int:
        return len(self.floor)
