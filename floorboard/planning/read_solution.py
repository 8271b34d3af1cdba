"""Read a schedule of the network back as work of the shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.amounts import made_grams
from floorboard.planning.day_times import DayTimes, celsius, grams_of_layer
from floorboard.planning.name_castings import name_castings
from floorboard.planning.plan_sheet import Sheet, SheetBatch, SheetCasting, SheetTask

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.planning.shop_problem import ShopProblem, TaskRef
    from floorboard.planning.solution import Placement, Solution
    from floorboard.shop.shop import Shop


def read_solution(shop: Shop, floor: Floor, source: ShopProblem, solution: Solution) -> Sheet:
    """Return the sheet a schedule amounts to: work in hand, castings, batches, sessions."""
    return _Reader(shop, floor, source, solution).read()


class _Reader:
    def __init__(self, shop: Shop, floor: Floor, source: ShopProblem, solution: Solution) -> None:
        self.shop, self.floor, self.source = shop, floor, source
        self.placements = solution.placements
        self.names = name_castings(shop, source, solution)
        self.walked = source.grid.down(float(shop.shop.walk))
        self.times = DayTimes(celsius(floor))
        self.sheet = Sheet()
        self.batches = 0
        # The plan's name of each casting of the network.
        self.ids: dict[str, str] = {}

    def read(self) -> Sheet:
        self._castings()
        self._in_hand()
        followers = self._followers()
        for index, ref in enumerate(self.source.tasks):
            placement = self.placements[index]
            fact = self.source.problem.tasks[index].fixed_start is not None
            if ref is None or placement is None or fact or placement.previous is not None:
                continue
            members = [index]
            while members[-1] in followers:
                members.append(followers[members[-1]])
            if ref.kind == "layer":
                self._batch(members)
            else:
                self._task(ref, members)
        self.sheet.tasks.sort(key=lambda task: (task.start, task.end, task.person))
        return self.sheet

    def _followers(self) -> dict[int, int]:
        return {
            placement.previous: index
            for index, placement in enumerate(self.placements)
            if placement is not None and placement.previous is not None
        }

    def _castings(self) -> None:
        for serial, casting in self.floor.castings.items():
            if casting.closed:
                continue
            entry = SheetCasting(
                serial,
                casting.mold,
                casting.build,
                new=False,
                order=self.source.wanted.order_of.get(serial),
                demolded_at=casting.demolded_at,
                next_step=casting.next_step,
            )
            self.sheet.castings[serial] = entry
            self.ids[serial] = serial
        for group, (name, mold) in self.names.items():
            ref = self.source.groups[group]
            self.ids[ref.casting] = name
            self.sheet.castings[name] = SheetCasting(
                name, mold, ref.build, new=True, order=ref.order
            )

    def _in_hand(self) -> None:
        carried = self.source.carried
        for work in carried.works:
            self.sheet.tasks.append(
                SheetTask(
                    work.kind,
                    work.person,
                    work.start,
                    work.end,
                    list(work.castings),
                    work.index,
                    work.batch,
                    work.begun_at,
                )
            )
            if work.kind == "demold":
                self.sheet.castings[work.castings[0]].demolded = work.end
        for batch in carried.batches.values():
            logged = self.floor.batches[batch.serial]
            self.sheet.batches.append(
                SheetBatch(
                    batch.serial,
                    logged.mix,
                    logged.person or "",
                    self.source.grid.at_or_before(logged.begun_at),
                    batch.ready,
                    batch.end,
                    logged.grams,
                    0.0,
                    list(batch.servings),
                    logged.begun_at,
                    logged.wetted_at or self.source.grid.moment(batch.wet),
                )
            )

    def _placed(self, index: int) -> Placement:
        placement = self.placements[index]
        assert placement is not None
        return placement

    def _ref(self, index: int) -> TaskRef:
        ref = self.source.tasks[index]
        assert ref is not None
        return ref

    def _batch(self, members: list[int]) -> None:
        """Write the making of a batch and the layers it serves, in the order of the schedule."""
        first, leader = self._placed(members[0]), self._ref(members[0])
        casting = self.sheet.castings[self.ids[leader.casting]]
        key = casting.build.piece.layers[leader.index].mix
        mix = casting.build.mixes[key]
        times = self.times.of(mix)
        person = self.source.people[first.person or 0]
        self.batches += 1
        name = f"batch-{self.batches}"
        servings, end = [], first.ready
        for index in members:
            placed, ref = self._placed(index), self._ref(index)
            serial = self.ids[ref.casting]
            grams = grams_of_layer(self.sheet.castings[serial].build, ref.index)
            servings.append((serial, ref.index, grams))
            end = placed.end - self.walked
            self.sheet.tasks.append(
                SheetTask("layer", person, placed.ready, end, [serial], ref.index, name)
            )
        made = made_grams(mix, sum(grams for _, _, grams in servings))
        self.sheet.tasks.append(
            SheetTask(
                "batch", person, first.start, first.ready, [s for s, _, _ in servings], 0, name
            )
        )
        self.sheet.batches.append(
            SheetBatch(
                name,
                key,
                person,
                first.start,
                first.ready,
                end,
                made,
                times.making - times.before_wet,
                servings,
            )
        )

    def _task(self, ref: TaskRef, members: list[int]) -> None:
        first, last = self._placed(members[0]), self._placed(members[-1])
        castings = [self.ids[self._ref(index).casting] for index in members]
        end = last.end - self.walked
        person = self.source.people[first.person or 0]
        self.sheet.tasks.append(SheetTask(ref.kind, person, first.start, end, castings, ref.index))
        if ref.kind == "demold":
            self.sheet.castings[castings[0]].demolded = end
