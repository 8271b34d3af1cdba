"""What the use cases need from the outside: a store that keeps the log, and a planner."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Sequence
    from contextlib import AbstractContextManager

    from floorboard.floor.casting import Casting
    from floorboard.floor.events import AnyEvent, Entry
    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.shop.build import Build
    from floorboard.shop.shop import Shop
    from floorboard.store.rows import StockMove
    from floorboard.usecases.history_port import History

Lot = tuple[str, str]


class StockRows(Protocol):
    """What moved stock, read by index. Lots are (material, lot); "" is a lot not named."""

    def moves(self, after: int = 0) -> list[tuple[int, StockMove]]:
        """Return all moves of entries after a number, with their entries', in order of the log."""
        ...

    def moves_of(self, material: str) -> list[tuple[int, StockMove]]:
        """Return all moves of one material, in order of the log."""
        ...

    def last(self) -> int:
        """Return the number of the log's last entry."""
        ...

    def struck_since(self, seq: int) -> bool:
        """Return whether any entry was struck after this number."""
        ...

    def materials_with(self, lot: str, materials: Iterable[str]) -> list[str]:
        """Return those of these materials that have a lot of this name."""
        ...

    def batches_from(self, lot: Lot) -> list[str]:
        """Return the batches a lot went into, in order of the log."""
        ...

    def castings_from(self, lot: Lot) -> list[str]:
        """Return the castings a lot was used on by finishing steps, in order of the log."""
        ...

    def made_from(self, lot: Lot) -> list[Lot]:
        """Return the lots made up with something of a lot."""
        ...

    def made_of(self, lot: Lot) -> list[Lot]:
        """Return the lots that a lot made up in the shop was made of."""
        ...

    def weighed_into(self, batches: Iterable[str]) -> list[Lot]:
        """Return the lots that went into any of these batches, in order of the log."""
        ...

    def used_on(self, casting: str) -> list[Lot]:
        """Return the lots of what finishing steps used on a casting."""
        ...

    def used_by_step(self, seq: int, casting: str) -> list[tuple[str, float]]:
        """Return (material, grams) that one entry of a finishing step used on a casting."""
        ...

    def has_unnamed_use(self, material: str) -> bool:
        """Return whether a batch or casting took some of a material that has lots, naming none."""
        ...

    def batches_lost(self, start: dt.datetime, end: dt.datetime) -> list[str]:
        """Return the batches lost in `[start, end)`."""
        ...

    def castings_poured(self, batches: Iterable[str]) -> list[str]:
        """Return the castings with a layer of any of these batches, in order of the log."""
        ...

    def batches_poured(self, casting: str) -> list[str]:
        """Return the batches a casting has a layer of, in order of the log."""
        ...


class Store(Protocol):
    """Keeps the shop and the log. Durable before it returns."""

    def close(self) -> None:
        """Let go of what is kept."""
        ...

    def shop(self) -> Shop | None:
        """Return the shop as last loaded, or None in an empty database."""
        ...

    def load_shop(
        self, shop: Shop, *, source: str, at: dt.datetime, person: str | None, station: str
    ) -> Entry:
        """Replace the shop's definitions and log that it was done."""
        ...

    def keep_build(self, build: Build) -> str:
        """Keep a build if it is new and return its digest."""
        ...

    def append(
        self,
        happened: Sequence[tuple[dt.datetime, AnyEvent]],
        *,
        logged_at: dt.datetime,
        person: str | None,
        station: str,
        expected_seq: int | None = None,
        ids: Sequence[str] | None = None,
    ) -> list[Entry]:
        """Append entries in one transaction and return them.

        Raises
        ------
        floorboard.shop.errors.StaleFloor
            If `expected_seq` is given and someone else logged about the same casting, batch, mold
            or person since.
        """
        ...

    def strike(
        self, seq: int, *, reason: str, logged_at: dt.datetime, person: str | None, station: str
    ) -> Entry:
        """Strike an entry: it stays readable and counts for nothing."""
        ...

    def floor(self) -> Floor:
        """Return the floor as the log has it now."""
        ...

    def last_seq(self) -> int:
        """Return the number of the last entry, 0 in an empty log."""
        ...

    def new_serial(self, day: dt.date) -> str:
        """Return a casting's next serial number for a local day, such as '260312-04'."""
        ...

    def new_batch_serial(self, day: dt.date) -> str:
        """Return a batch's next serial number for a local day, such as 'B260312-04'."""
        ...

    def latest(self, limit: int = 50, before: int | None = None) -> list[Entry]:
        """Return the latest entries, struck ones included, newest first."""
        ...

    def between(self, start: dt.datetime, end: dt.datetime) -> Iterable[Entry]:
        """Yield the entries that happened in `[start, end)`, in order of the log."""
        ...

    def of_casting(self, serial: str) -> list[Entry]:
        """Return every entry that names a casting, in order of the log."""
        ...

    def casting(self, serial: str) -> Casting | None:
        """Return a casting as it stands, open or closed; None if the log has none."""
        ...

    def of_batch(self, serial: str) -> list[Entry]:
        """Return every entry about a batch that counts, in order of the log."""
        ...

    @property
    def stock(self) -> StockRows:
        """What moved stock, and where it went."""
        ...

    def history(self) -> AbstractContextManager[History]:
        """Return the past, to be read in a `with` block in any one thread."""
        ...


class Planner(Protocol):
    """Says who should do what when."""

    def plan(
        self, shop: Shop, floor: Floor, now: dt.datetime, previous: Plan | None = None
    ) -> Plan:
        """Return a plan that has passed the checker, at once."""
        ...


class Betterer(Protocol):
    """Looks for better plans beside the screen. None of its methods waits."""

    def warm(self) -> None:
        """Make ready ahead of the first plan."""
        ...

    def start(self, shop: Shop, floor: Floor, now: dt.datetime, plan: Plan | None) -> None:
        """Look for plans better than this one; what was looked for before is dropped."""
        ...

    def poll(self) -> Plan | None:
        """Return the best plan found since the last poll, if one was; it has passed the checker."""
        ...

    def close(self) -> None:
        """End it."""
        ...
