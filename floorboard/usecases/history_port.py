"""What the records need of the past: one snapshot, read in one thread."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, Protocol

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from floorboard.floor import history_rows as h
    from floorboard.floor.casting import Casting
    from floorboard.shop.build import Build


class History(Protocol):
    """The past as rows; see the store's own for what each holds. Struck entries count for nothing."""

    @property
    def builds(self) -> Mapping[str, Build]:
        """The builds castings were begun with, by digest."""
        ...

    def castings(
        self, start: dt.datetime, end: dt.datetime, order: str | None = None
    ) -> list[h.CastingRow]:
        """Return the castings begun before `end` that had not ended before `start`."""
        ...

    def works(self, start: dt.datetime, end: dt.datetime) -> list[h.WorkRow]:
        """Return the hands-on tasks that ended in `[start, end)`."""
        ...

    def reworks(self, start: dt.datetime, end: dt.datetime) -> list[h.ReworkRow]:
        """Return the castings sent back in `[start, end)`."""
        ...

    def batches(self, start: dt.datetime, end: dt.datetime) -> list[h.BatchSum]:
        """Return the batches begun in `[start, end)`, by mix."""
        ...

    def weighed_batches(self, start: dt.datetime, end: dt.datetime) -> list[h.WeighedSum]:
        """Return, by mix and material, the batches of `[start, end)` it was weighed into."""
        ...

    def materials(self, start: dt.datetime, end: dt.datetime) -> list[h.MaterialSum]:
        """Return what was weighed, used and wasted in `[start, end)`, by material."""
        ...

    def layers(self, start: dt.datetime, end: dt.datetime) -> list[h.LayerSum]:
        """Return the layers applied in `[start, end)`, by build and layer."""
        ...

    def presences(self, before: dt.datetime) -> list[h.Presence]:
        """Return who left and came back before a moment, in order of time."""
        ...

    def flags(self, start: dt.datetime, end: dt.datetime, most: int) -> list[h.FlagRow]:
        """Return the first `most` flags on entries of `[start, end)`, in order of time."""
        ...

    def flag_count(self, start: dt.datetime, end: dt.datetime) -> int:
        """Return how many flags there are on entries of `[start, end)`."""
        ...

    def log_counts(self, start: dt.datetime, end: dt.datetime) -> list[h.LogCount]:
        """Return how many entries of `[start, end)` begin, demold and reject castings."""
        ...

    def orders_known_since(self) -> dict[str, dt.datetime]:
        """Return when each order first stood in the shop's definitions."""
        ...

    def shop_known_since(self) -> dt.datetime | None:
        """Return when the shop was first loaded, if it was."""
        ...

    def finished_for_orders(
        self, pieces: Sequence[str], since: dt.datetime, until: dt.datetime
    ) -> Iterator[h.FinishedRow]:
        """Yield the good castings finished before `until` that may count for an order."""
        ...

    def made(self, start: dt.datetime, end: dt.datetime) -> list[h.MadeRow]:
        """Return the castings demolded, finished or rejected in `[start, end)`, as they were begun."""
        ...

    def readings(self, start: dt.datetime, end: dt.datetime) -> list[h.ReadingRow]:
        """Return the weights and walls read in `[start, end)`, in order of time."""
        ...

    def inspections(self, start: dt.datetime, end: dt.datetime) -> list[h.InspectionRow]:
        """Return the inspections of `[start, end)`, in order of time."""
        ...

    def air(self, start: dt.datetime, end: dt.datetime) -> list[h.AirRow]:
        """Return the room's temperatures read in `[start, end)`, in order of time."""
        ...

    def mold_notes(self, start: dt.datetime, end: dt.datetime) -> list[h.MoldEventRow]:
        """Return the notes on molds of `[start, end)`, in order of the log."""
        ...

    def lots_of_batches(
        self, start: dt.datetime, end: dt.datetime
    ) -> dict[str, set[tuple[str, str]]]:
        """Return the (material, lot) weighed into each batch in `[start, end)`."""
        ...

    def mold_events(self, before: dt.datetime) -> list[h.MoldEventRow]:
        """Return when molds were taken out, put back and cared for, in order of the log."""
        ...

    def pulls(self) -> dict[str, tuple[int, int]]:
        """Return the pulls logged of each mold, and those at its last care."""
        ...

    def pulls_between(self, start: dt.datetime, end: dt.datetime) -> dict[str, int]:
        """Return how many castings begun in `[start, end)` became pulls of each mold."""
        ...

    def first_begun(self) -> dt.datetime | None:
        """Return when the first casting of the log was begun, if there is one."""
        ...

    def decisions(self) -> dict[str, Literal["learned", "stated"]]:
        """Return the last decision on which time to plan each task with."""
        ...

    def castings_at(self, serials: Iterable[str], moment: dt.datetime) -> dict[str, Casting]:
        """Return castings as they stood at a moment."""
        ...

    def castings_now(self, serials: Iterable[str]) -> dict[str, Casting]:
        """Return castings as they stand now."""
        ...
