"""Translate the shop, the floor and a moment into a network of tasks.

One unit of a pool of molds is held from the start of readying to the end of demold; the layers
of one mix are a family that may share batches; the weighing and mixing is the set-up of a layer
and falls away when it rides on a batch. Waits that began in the past are tied to a task that
marks the moment the plan is made. New castings are all-or-nothing groups, interchangeable within
a pool.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.carry_on import CarriedOn, Opening, carry_on
from floorboard.planning.casting_groups import CastingGroups
from floorboard.planning.day_times import DayTimes, celsius
from floorboard.planning.draft import Draft
from floorboard.planning.follow_plan import SLACK_SECONDS, Followed
from floorboard.planning.hands import hands
from floorboard.planning.horizon import Horizon, look_ahead
from floorboard.planning.in_hand import live_in_hand
from floorboard.planning.layer_limits import layers_beyond_limits
from floorboard.planning.mold_pools import PoolDraft, mold_pools
from floorboard.planning.network import (
    Person,
    Planned,
    Station,
    Task,
)
from floorboard.planning.new_castings import new_castings
from floorboard.planning.rack_facts import places_taken
from floorboard.planning.shop_problem import Pool, ShopProblem, TaskRef
from floorboard.planning.shop_tasks import Bench, TaskWriter
from floorboard.planning.time_grid import TimeGrid, fitting_step
from floorboard.planning.wanted import Wanted, wanted
from floorboard.shop.shop import ALL_SKILLS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.planning.solution import Placements
    from floorboard.shop.shop import Shop, Skill

LONGEST_PAST_SECONDS = 12 * 3600.0


def build_problem(
    shop: Shop,
    floor: Floor,
    now: dt.datetime,
    horizon: dt.datetime | None = None,
    *,
    finished: Mapping[str, int] | None = None,
    today_most: Mapping[str, int] | None = None,
    previous: Plan | None = None,
    begin: bool = True,
    supposing: Supposing | None = None,
) -> ShopProblem:
    """Return the network of the shop as it stands.

    Parameters
    ----------
    now
        Aware UTC; what is planned starts then or later.
    horizon
        End of the plan; by default the working day at hand and what cures after it
        (`look_ahead`).
    finished
        Castings finished for each order that the floor no longer holds.
    today_most
        For a pool, how many new castings to finish within the day at hand are offered at most;
        what is wanted beyond is offered for finishing later.
    previous
        The plan people are following; its tasks of the next hour are better not moved.
    begin
        Whether new castings are offered and finishing is planned at all.
    supposing
        What to suppose that is not so, to learn what would save a window.
    """
    options = _Options(horizon, finished or {}, today_most or {}, previous, begin, supposing)
    return _Translator(shop, floor, now, options).translate()


@dataclass(frozen=True, slots=True)
class Supposing:
    """Suppositions that are not so: windows left open, one more pair of hands, no breaks."""

    open_ended: frozenset[str] = frozenset()
    more_hands: bool = False
    no_breaks: bool = False


@dataclass(frozen=True, slots=True)
class _Options:
    horizon: dt.datetime | None
    finished: Mapping[str, int]
    today_most: Mapping[str, int]
    previous: Plan | None
    begin: bool
    supposing: Supposing | None


class _Translator:
    def __init__(self, shop: Shop, floor: Floor, now: dt.datetime, options: _Options) -> None:
        self.shop, self.floor, self.moment, self.options = shop, floor, now, options
        self.supposing = options.supposing or Supposing()
        self.horizon: Horizon = look_ahead(shop, floor, now, options.horizon)
        self.grid = TimeGrid.from_moment(self._earliest(), _step_of(shop, floor))
        self.now = self.grid.at_or_after(now)
        self.end = max(self.now + 1, self.grid.at_or_before(self.horizon.until))
        self.day_end = self.grid.at_or_before(self.horizon.day_end)
        self.carried: CarriedOn = carry_on(floor, now, self.grid)
        self.wanted: Wanted = wanted(shop, floor, options.finished)
        self.pools: dict[str, PoolDraft] = mold_pools(
            shop, floor, self.grid, self.now, self.carried
        )
        self.draft = Draft(horizon=self.end, now=self.now)
        self.lost: dict[str, Opening] = dict(self.carried.missed)
        self.notes: list[str] = list(self.carried.notes)
        self.stations: dict[str, int] = {}
        self.pool_station: dict[str, int] = {}

    def _earliest(self) -> dt.datetime:
        floor_of_time = self.moment - dt.timedelta(seconds=LONGEST_PAST_SECONDS)
        begun = [task.since for task in live_in_hand(self.floor, self.moment)]
        return max(floor_of_time, min([self.moment, *begun]))

    def translate(self) -> ShopProblem:
        self.people = self._people()
        skilled = self._skilled()
        in_molds = list(self._castings_in_molds(skilled))
        self._stations({serial for _, serial in self._kept_molds(in_molds)})
        bench = Bench(
            skilled,
            self.stations,
            DayTimes(celsius(self.floor)),
            float(self.shop.shop.pour_margin),
            self.grid.up(float(self.shop.shop.walk)),
            self.grid.down(float(self.shop.shop.walk)),
            self.shop.shop.mix_ahead,
        )
        self.writer = TaskWriter(self.draft, self.grid, bench)
        self.marker = self.writer.task(None, Task(name="now", duration=0, fixed_start=self.now))
        self._fixed_works()
        day = self.now, self.day_end, self.end
        self.groups = CastingGroups(
            self.writer,
            self.marker,
            day,
            self.pools,
            self.pool_station,
            self.wanted,
            self.supposing.open_ended,
        )
        for casting, opening in in_molds:
            self.groups.carry(casting, opening)
        self._note_what_cannot_be(skilled)
        if self.options.begin:
            most = self.options.today_most
            for new in new_castings(self.shop, self.pools, self.wanted, self.writer, day, most):
                self.groups.begin(new)
            for casting, opening in self._castings_to_finish():
                self.groups.finish(casting, opening)
        return self._problem(self._follow())

    def _follow(self) -> Placements:
        previous = self.options.previous
        if previous is None:
            return ()
        followed = Followed(previous, self.floor, self.grid, self.moment, self.people)
        followed.lay(
            self.writer.refs, self.draft.tasks, self.groups.refs, self.pools, self.horizon.day_end
        )
        self.draft.reference_slack = self.grid.up(SLACK_SECONDS)
        self.draft.reference += [Planned(*entry) for entry in followed.next_hour()]
        return tuple(followed.placements)

    def _problem(self, followed: Placements) -> ShopProblem:
        pools = {
            key: Pool(
                key,
                pool.piece,
                self.pool_station[key],
                tuple(pool.molds),
                pool.free,
                pool.holds,
            )
            for key, pool in self.pools.items()
        }
        return ShopProblem(
            problem=self.draft.problem(),
            grid=self.grid,
            now=self.moment,
            horizon=self.horizon,
            tasks=tuple(self.writer.refs),
            groups=tuple(self.groups.refs),
            people=self.people,
            pools=pools,
            carried=self.carried,
            wanted=self.wanted,
            lost=self.lost,
            notes=tuple(self.notes),
            followed=followed,
        )

    def _people(self) -> tuple[str, ...]:
        end = self.horizon.until + dt.timedelta(seconds=1)
        shop = _without_breaks(self.shop) if self.supposing.no_breaks else self.shop
        for key, spans in hands(shop, self.floor, self.moment, end).items():
            stretches = []
            for first, last in spans:
                start, stop = self.grid.at_or_after(first), self.grid.at_or_before(last)
                if start < min(stop, self.end):
                    stretches.append((start, min(stop, self.end)))
            self.draft.person(Person(self.shop.people[key].name, tuple(stretches)))
        if self.supposing.more_hands:
            self.draft.person(Person("one more", ((self.now, self.end),)))
        return tuple(self.shop.people)

    def _skilled(self) -> dict[Skill, tuple[int, ...]]:
        more = (len(self.people),) if self.supposing.more_hands else ()
        return {
            skill: more
            + tuple(
                index
                for index, key in enumerate(self.people)
                if skill in self.shop.people[key].skills and self.draft.people[index].stretches
            )
            for skill in ALL_SKILLS
        }

    def _note_what_cannot_be(self, skilled: dict[Skill, tuple[int, ...]]) -> None:
        """Say why pieces are not offered: nobody who can, or a layer beyond its mix."""
        for skill in ("ready", "layer", "demold"):
            if self.pools and not skilled[skill] and any(p.stretches for p in self.draft.people):
                self.notes.append(
                    f"Nobody at work until {self.horizon.until:%Y-%m-%d} has the skill '{skill}', "
                    "so no new casting is planned."
                )
        for piece in dict.fromkeys(pool.piece for pool in self.pools.values()):
            self.notes += layers_beyond_limits(self.shop, piece, self.writer.bench.times)

    def _castings_in_molds(
        self, skilled: dict[Skill, tuple[int, ...]]
    ) -> Iterator[tuple[Casting, Opening]]:
        """Yield the castings whose next layer or demold is the plan's to place and can be."""
        for casting in self.floor.open_castings():
            opening = self.carried.openings.get(casting.serial)
            if opening is None or opening.kind == "step":
                continue
            late = opening.closes is not None and opening.closes < max(self.now, opening.opens)
            if late and casting.serial not in self.supposing.open_ended:
                self.lost[casting.serial] = opening
                continue
            needs: tuple[Skill, ...] = (
                ("demold",) if opening.kind == "demold" else ("layer", "demold")
            )
            lacking = [skill for skill in needs if not skilled[skill]]
            if lacking:
                self.lost[casting.serial] = opening
                self.notes.append(
                    f"Nobody at work until {self.horizon.until:%Y-%m-%d} has the skill "
                    f"'{lacking[0]}', so casting {casting.serial} cannot go on."
                )
                continue
            yield casting, opening

    def _kept_molds(self, in_molds: list[tuple[Casting, Opening]]) -> Iterator[tuple[str, str]]:
        """Yield (mold, serial) of castings that stay in their molds: lost or set aside."""
        planned = {casting.serial for casting, _ in in_molds}
        for pool in self.pools.values():
            for mold, serial in pool.holds.items():
                if serial not in planned:
                    yield mold, serial

    def _stations(self, staying: set[str]) -> None:
        taken = places_taken(self.floor, self.carried, self.grid, self.end)
        for key, station in self.shop.stations.items():
            entry = Station(station.name, station.places, tuple(taken.get(key, ())))
            self.stations[key] = self.draft.station(entry)
        for key, pool in self.pools.items():
            spans = [(0, free, 1) for free in pool.free.values() if free > self.now]
            spans += [(0, self.end, 1) for serial in pool.holds.values() if serial in staying]
            entry = Station(f"molds of {pool.key}", len(pool.molds), tuple(spans))
            self.pool_station[key] = self.draft.station(entry)

    def _fixed_works(self) -> None:
        """Bind hands to the work in hand; a batch in hand binds them until it is used up."""
        index_of = {key: index for index, key in enumerate(self.people)}
        for work in self.carried.works:
            person = index_of.get(work.person)
            if person is None:
                continue
            start, end = max(0, work.start), work.end
            batch = self.carried.batches.get(work.batch or "")
            if batch is not None:
                later = [w.start for w in self.carried.works if w.batch == work.batch]
                end = min((at for at in later if at > work.start), default=batch.end)
            self.writer.task(
                TaskRef(work.kind, work.castings[0], work.index),
                Task(
                    name=f"{work.kind} of {work.castings[0]} in hand",
                    duration=max(1, end - start),
                    people=(person,),
                    fixed_start=start,
                    fixed_person=person,
                ),
            )

    def _castings_to_finish(self) -> Iterator[tuple[Casting, Opening]]:
        for casting in self.floor.open_castings():
            opening = self.carried.openings.get(casting.serial)
            if opening is None or opening.kind != "step" or opening.opens >= self.end:
                continue
            if casting.demolded_at is not None and self.writer.bench.people["finish"]:
                yield casting, opening


def _step_of(shop: Shop, floor: Floor) -> int:
    """Return the grid step in seconds that suits the hands-on lengths of the shop."""
    pieces = [shop.pieces[key] for key in {mold.piece for mold in shop.molds.values()}]
    pieces += [casting.build.piece for casting in floor.open_castings()]
    lengths = [float(shop.shop.walk)]
    for piece in pieces:
        lengths += [float(piece.ready), float(piece.demold)]
        lengths += [float(layer.apply) for layer in piece.layers]
        lengths += [float(step.takes) for step in piece.route if not step.passive]
    lengths += [mix.making_seconds for mix in shop.mixes.values()]
    return fitting_step(lengths)


def _without_breaks(shop: Shop) -> Shop:
    people = {key: person.model_copy(update={"breaks": ()}) for key, person in shop.people.items()}
    return shop.model_copy(update={"people": people})
