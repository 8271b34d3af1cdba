"""The groups of a shop's network: castings in molds, castings that might be begun, finishing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.network import Anchor, Group, Hold, Lag, Moment
from floorboard.planning.shop_problem import GroupRef

if TYPE_CHECKING:
    from floorboard.floor.casting import Casting
    from floorboard.planning.carry_on import Opening
    from floorboard.planning.mold_pools import PoolDraft
    from floorboard.planning.new_castings import NewCasting
    from floorboard.planning.shop_tasks import TaskWriter
    from floorboard.planning.wanted import Wanted

# What one casting counts against another of the same worth, by how it will be finished.
CASTING_WORTH = 1000
OVERNIGHT_SHARE = 0.5
FINISHING_SHARE = 0.1
LATE_WEIGHT = 10


class CastingGroups:
    """Writes groups into a draft; `refs` says which casting each of them is.

    Parameters
    ----------
    marker
        The task that marks the moment the plan is made.
    day
        Now, the end of the day at hand and the end of the plan, in steps.
    pool_station
        The network's station of each pool of molds.
    open_ended
        Castings whose next window is supposed to stay open for ever.
    """

    def __init__(
        self,
        writer: TaskWriter,
        marker: int,
        day: tuple[int, int, int],
        pools: dict[str, PoolDraft],
        pool_station: dict[str, int],
        wanted: Wanted,
        open_ended: frozenset[str],
    ) -> None:
        self.writer, self.draft, self.grid = writer, writer.draft, writer.grid
        self.marker, self.pools, self.pool_station = marker, pools, pool_station
        self.now, self.day_end, self.end = day
        self.wanted, self.open_ended = wanted, open_ended
        self.want_of = {want.order: want for want in wanted.wants}
        self.refs: list[GroupRef] = []

    def carry(self, casting: Casting, opening: Opening) -> None:
        """Add a casting in a mold: its remaining layers and its demold."""
        build, serial = casting.build, casting.serial
        first = len(build.piece.layers) if opening.kind == "demold" else opening.index
        start = len(self.writer.refs)
        tasks = self.writer.layers(serial, build, first, None)
        anchor = Anchor.READY if opening.kind == "layer" else Anchor.START
        closes = None if serial in self.open_ended else opening.closes
        greatest = None if closes is None else closes - self.now
        least = opening.opens - self.now
        self.draft.lag(
            Lag(self.marker, tasks[0], least, greatest, Anchor.END, anchor, name="opening")
        )
        if not self.writer.bench.mix_ahead and opening.kind == "layer" and opening.index:
            self.draft.lag(Lag(self.marker, tasks[0], least, name="no mixing ahead"))
        pool = next((p for p in self.pools.values() if serial in p.holds.values()), None)
        if pool is not None:
            end = Moment(tasks[-1], Anchor.END)
            hold = Hold(self.pool_station[pool.key], 0, end, lost_until=self.end)
            self.draft.hold(hold)
        order = self.wanted.order_of.get(serial)
        due, weight = self._due(order, sum(float(step.takes) for step in build.piece.route))
        self.draft.group(
            Group(
                name=f"casting {serial}",
                tasks=tuple(tasks),
                in_hand=True,
                worth=round(CASTING_WORTH * build.piece.worth) + first,
                due=due,
                late_weight=weight,
            )
        )
        self.refs.append(GroupRef("in mold", serial, build, order, None, start))

    def begin(self, new: NewCasting) -> None:
        """Add a casting that might be begun."""
        start = len(self.writer.refs)
        overnight = new.kind == "overnight"
        tasks = self.writer.begin(
            new.name, new.build, self.day_end, None if overnight else self.day_end
        )
        pool = self.pools[new.pool]
        self.draft.hold(
            Hold(
                self.pool_station[pool.key],
                Moment(tasks[0], Anchor.START),
                Moment(tasks[-1], Anchor.END),
            )
        )
        order = new.want.order if new.want is not None else None
        due, weight = self._due(order, sum(float(step.takes) for step in new.build.piece.route))
        worth = CASTING_WORTH * new.build.piece.worth * (OVERNIGHT_SHARE if overnight else 1)
        self.draft.group(
            Group(
                name=new.name,
                tasks=tuple(tasks),
                worth=max(1, round(worth)),
                due=due,
                late_weight=weight,
                alike=new.alike,
            )
        )
        self.refs.append(GroupRef(new.kind, new.name, new.build, order, new.pool, start))

    def finish(self, casting: Casting, opening: Opening) -> None:
        """Add what is left of the finishing of a casting out of its mold."""
        build, start = casting.build, len(self.writer.refs)
        tasks = self.writer.finishing(casting.serial, build, opening.index)
        late = opening.closes is not None and opening.closes < max(self.now, opening.opens)
        greatest = None if opening.closes is None or late else opening.closes - self.now
        least = opening.opens - self.now
        self.draft.lag(
            Lag(self.marker, tasks[0], least, greatest, Anchor.END, Anchor.START, name="opening")
        )
        order = self.wanted.order_of.get(casting.serial)
        due, weight = self._due(order, 0.0)
        self.draft.group(
            Group(
                name=f"finishing of {casting.serial}",
                tasks=tuple(tasks),
                worth=max(1, round(CASTING_WORTH * FINISHING_SHARE * build.piece.worth)),
                due=due,
                late_weight=weight,
            )
        )
        self.refs.append(GroupRef("finishing", casting.serial, build, order, None, start))

    def _due(self, order: str | None, after_seconds: float) -> tuple[int | None, int]:
        """Return the step by which a casting has to be out of the plan's hands, and its weight."""
        want = self.want_of.get(order or "")
        if want is None:
            return None, 0
        step = self.grid.down(self.grid.seconds(want.due) - after_seconds)
        return step, max(1, round(LATE_WEIGHT * want.weight))
