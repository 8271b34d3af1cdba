"""A shop's rotation: which mold at which minute of every round, and how many molds keep hands busy.

Each mold goes round once a round: turned round (demolded and readied at one go), its layers, the
full cure running over into the next round. The number of molds one person can keep busy is told three ways: by the classical
worker-machine ratio, by the shortest rounds there really are, and with mixes shared.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from pydantic import Field

from floorboard.planning.day_times import DayTimes, tenths_of_bucket, tenths_of_layer
from floorboard.planning.errors import PlanningError
from floorboard.planning.network import Family
from floorboard.planning.plan import PlanValue
from floorboard.planning.rotation import (
    Move,
    Rotation,
    Turn,
    round_of_molds,
    shortest_round,
)
from floorboard.planning.time_grid import COARSE_SECONDS, EPOCH, FINE_SECONDS, TimeGrid
from floorboard.planning.worker_machine import Servicing
from floorboard.shop.build import build_of
from floorboard.shop.counted import counted, people_counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from floorboard.shop.build import Build
    from floorboard.shop.mixes import Mix
    from floorboard.shop.shop import Shop

MoveKind = Literal["ready", "layer", "demold"]

# A further mold that raises the castings an hour by less than this share adds nothing.
NOTHING = 0.02

SECONDS = 20.0


class RoundTurn(PlanValue):
    """What is done at the same minute of every round.

    Times are seconds after the begin of the round, of weighing (`start`), of the work proper
    (`ready`) and of its end; a work may begin before the round does or end after it.
    """

    mold: str
    kind: MoveKind
    index: int = Field(description="the layer, from 0; else 0")
    person: int = Field(description="1 for the first of those who share the round")
    start_seconds: float
    ready_seconds: float
    end_seconds: float
    shares_mix: bool = Field(description="poured from the batch of the work before it")


class ShopRound(PlanValue):
    """The shortest round of some molds, every one of them cast once in it."""

    molds: tuple[str, ...]
    people: int
    round_seconds: float | None = Field(description="None: no round was found")
    impossible: bool = Field(description="proved: no round keeps all windows, however long")
    bound_seconds: float = Field(description="no round is shorter than this")
    proved: bool
    castings_per_hour: float
    hands_used: float = Field(description="share of the people's time that is work, 0-1")
    turns: tuple[RoundTurn, ...]
    runtime_seconds: float


class BusyRow(PlanValue):
    """So many molds and the shortest round of them, each layer mixed by itself or mixes shared."""

    molds: int
    round_seconds: float | None
    castings_per_hour: float
    hands_used: float = Field(description="share of the people's time that is work, 0-1")
    proved: bool
    shared_round_seconds: float | None
    shared_castings_per_hour: float
    shared_proved: bool


class KeepBusy(PlanValue):
    """How many molds of a piece keep so many people busy."""

    piece: str
    people: int
    hands_seconds: float = Field(description="hands-on time of one casting, mixing included")
    cycle_seconds: float = Field(description="of one mold alone, from its readying to its next")
    ratio: float = Field(description="molds that keep one person exactly busy, by the ratio")
    rows: tuple[BusyRow, ...]
    enough: int = Field(description="molds after which one more adds nothing, mixes not shared")
    enough_shared: int
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Case:
    shop: Shop
    molds: tuple[str, ...]
    people: int
    share: bool


def shop_round(
    shop: Shop,
    molds: Sequence[str],
    people: int = 1,
    *,
    share: bool = True,
    seconds: float = SECONDS,
) -> ShopRound:
    """Return the shortest round in which each of some molds is cast once.

    Parameters
    ----------
    molds
        Ids, each once.
    people
        Who share the work of the round, >= 1.
    share
        Whether layers of one mix may share a batch.
    seconds
        For how long the shortest is looked for at most.

    Raises
    ------
    PlanningError
        If there is no mold, or a layer outlasts its mix whatever is done.
    """
    if not molds:
        raise PlanningError("A round needs a mold; name the molds that go round.")
    draft = _Draft(shop, share)
    found = draft.solve(tuple(molds), people, seconds)
    return draft.read(tuple(molds), people, found)


def keep_busy(
    shop: Shop,
    piece: str,
    people: int = 1,
    most: int = 8,
    *,
    seconds: float = SECONDS,
) -> KeepBusy:
    """Return how many molds of a piece keep so many people busy: by ratio, truly, with shared mixes.

    Parameters
    ----------
    most
        Rounds of up to so many molds are looked for, and no more than two beyond the ratio.
    seconds
        For how long all the rounds together are looked for at most.
    """
    draft = _Draft(shop, share=False)
    hands, cycle = draft.hands_seconds(piece), draft.cycle_seconds(piece)
    walk = float(shop.shop.walk) * (len(shop.pieces[piece].layers) + 2)
    servicing = Servicing(hands, walk, cycle - hands)
    last = min(most, max(2, math.ceil(servicing.ratio * people) + 2))
    many = _with_molds(shop, piece, last)
    names = tuple(many.molds)
    ways = (False, True) if draft.may_share(piece) else (False,)
    cases = [
        _Case(many, names[:count], people, share) for count in range(1, last + 1) for share in ways
    ]
    rounds = _rounds(cases, seconds)
    rows: list[BusyRow] = []
    for count in range(last):
        found = rounds[len(ways) * count : len(ways) * (count + 1)]
        rows.append(_busy_row(count + 1, found[0], found[-1], rows[-1] if rows else None))
    enough = _enough([row.castings_per_hour for row in rows])
    enough_shared = _enough([row.shared_castings_per_hour for row in rows])
    return KeepBusy(
        piece=piece,
        people=people,
        hands_seconds=hands,
        cycle_seconds=cycle,
        ratio=round(servicing.ratio, 3),
        rows=tuple(rows),
        enough=enough,
        enough_shared=enough_shared,
        sentences=tuple(_sentences(servicing, people, rows, enough, enough_shared)),
    )


def _rounds(cases: Sequence[_Case], seconds: float) -> list[ShopRound]:
    """Return the round of each case; what one leaves of its part of the time goes to the rest."""
    rounds: list[ShopRound] = []
    for place, case in enumerate(cases):
        part = max(0.0, seconds) / (len(cases) - place)
        found = shop_round(case.shop, case.molds, case.people, share=case.share, seconds=part)
        seconds -= found.runtime_seconds
        rounds.append(found)
    return rounds


def _with_molds(shop: Shop, piece: str, count: int) -> Shop:
    """Return the shop with just so many molds of one piece."""
    model = next((mold for mold in shop.molds.values() if mold.piece == piece), None)
    if model is None:
        raise PlanningError(f"The shop has no mold of '{piece}'.")
    molds = {
        f"{piece[:30]}-{n}": model.model_copy(update={"number": n}) for n in range(1, count + 1)
    }
    return shop.model_copy(update={"molds": molds})


class _Draft:
    """Molds as moves and soaks, in grid steps."""

    def __init__(self, shop: Shop, share: bool) -> None:
        self.shop = shop
        self.share = share and shop.shop.mix_ahead
        self.grid = TimeGrid(EPOCH, _step(shop))
        self.times = DayTimes(None)
        self.margin = float(shop.shop.pour_margin)
        self.families: list[Family] = []
        self._known: dict[int, int] = {}
        self.kinds: list[tuple[str, Literal["turn", "layer"], int]] = []

    def solve(self, molds: tuple[str, ...], people: int, seconds: float) -> Rotation:
        rounds = tuple(self._mold(mold) for mold in molds)
        walk = self.grid.up(float(self.shop.shop.walk))
        problem = round_of_molds(rounds, walk, tuple(self.families), people)
        return shortest_round(problem, seconds)

    def _mold(self, mold: str) -> tuple[tuple[Move, ...], tuple[tuple[int, int | None], ...]]:
        """Return the moves of a mold and the soak after each, from its turning round on.

        A mold is turned round at one go: demolded and readied. Where neither takes any time there
        is no such move.
        """
        build = build_of(self.shop, self.shop.molds[mold].piece)
        piece = build.piece
        moves: list[Move] = []
        soaks: list[tuple[int, int | None]] = []
        turning = self.grid.up(float(piece.demold)) + self.grid.up(float(piece.ready))
        if turning:
            moves.append(Move(f"turn {mold} round", turning))
            soaks.append((0, None))
            self.kinds.append((mold, "turn", 0))
        for index in range(len(piece.layers)):
            move = self._pour(build, mold, index)
            if index:
                least, greatest = self._wait(build, index - 1)
                # Where nobody mixes ahead the mixing comes after the wait, not within it.
                least += 0 if self.shop.shop.mix_ahead else move.setup
                if greatest is not None and greatest < least:
                    raise PlanningError(
                        f"The window before layer {index + 1} of '{build.piece_id}' is too short "
                        "for its mix to be made in; set mix_ahead, or mend the times."
                    )
                soaks.append((least, greatest))
            moves.append(move)
            self.kinds.append((mold, "layer", index))
        factor = self.times.of(build.mix_of_layer(len(piece.layers) - 1)).cure_factor
        full = self.grid.up(float(piece.full_cure) * factor)
        # Without a turning the mixing of the first layer may not begin before the cure is over.
        soaks.append((full if turning or self.shop.shop.mix_ahead else full + moves[0].setup, None))
        return tuple(moves), tuple(soaks)

    def _pour(self, build: Build, mold: str, index: int) -> Move:
        spec, mix = build.piece.layers[index], build.mix_of_layer(index)
        times = self.times.of(mix)
        setup = self.grid.up(times.making)
        wet = self.grid.up(times.making - times.before_wet)
        apply, span = self.grid.hands_on(float(spec.apply)), self._span(times.working)
        weight = tenths_of_layer(build, index)
        if wet + apply > span or weight > tenths_of_bucket(mix):
            raise PlanningError(
                f"Layer {index + 1} of '{build.piece_id}' outlasts its mix or does not fit its "
                "bucket; check the shop first."
            )
        family = self._family(mix, span) if self.share else None
        return Move(
            f"layer {index + 1} of {mold}", apply, setup, max(0, setup - wet), family, weight
        )

    def _span(self, working_seconds: float) -> int:
        return max(0, self.grid.down(working_seconds - self.margin))

    def _family(self, mix: Mix, span: int) -> int:
        if id(mix) not in self._known:
            self._known[id(mix)] = len(self.families)
            self.families.append(Family(mix.name, tenths_of_bucket(mix), span))
        return self._known[id(mix)]

    def _wait(self, build: Build, layer: int) -> tuple[int, int | None]:
        spec = build.piece.layers[layer]
        factor = self.times.of(build.mix_of_layer(layer)).cure_factor
        by = spec.recoat_by
        greatest = None if by is None else self.grid.down(float(by) * factor)
        return self.grid.up(float(spec.partial_cure) * factor), greatest

    def may_share(self, piece: str) -> bool:
        """Return whether any two layers of castings of a piece could ride on one batch."""
        if not self.shop.shop.mix_ahead:
            return False
        build = build_of(self.shop, piece)
        pours = [(self._pour(build, piece, n), n) for n in range(len(build.piece.layers))]
        for one, first in pours:
            mix = build.mix_of_layer(first)
            span, bucket = self._span(self.times.of(mix).working), tenths_of_bucket(mix)
            for other, second in pours:
                wet = one.setup - one.dry_setup + one.duration + other.duration
                if build.mix_of_layer(second) is not mix:
                    continue
                if wet <= span and one.weight + other.weight <= bucket:
                    return True
        return False

    def hands_seconds(self, piece: str) -> float:
        """Return the hands-on time of one casting, every layer mixed by itself."""
        build = build_of(self.shop, piece)
        layers = build.piece.layers
        mixing = sum(self.times.of(build.mix_of_layer(n)).making for n in range(len(layers)))
        applying = sum(float(layer.apply) for layer in layers)
        return mixing + applying + float(build.piece.ready) + float(build.piece.demold)

    def cycle_seconds(self, piece: str) -> float:
        """Return the time of one mold alone from readying to readying, somebody always at hand."""
        build = build_of(self.shop, piece)
        layers = build.piece.layers
        cures = sum(float(layer.partial_cure) for layer in layers[:-1])
        cycle = self.hands_seconds(piece) + cures + float(build.piece.full_cure)
        if not self.shop.shop.mix_ahead:
            return cycle
        # Mixing ahead, mixes are made within the cures; the first only if the mold needs no turning
        # round, for whoever does that cannot have a batch in hand.
        making = [self.times.of(build.mix_of_layer(n)).making for n in range(len(layers))]
        cures_before = [float(layer.partial_cure) for layer in layers[:-1]]
        hidden = sum(min(mix, cure) for mix, cure in zip(making[1:], cures_before, strict=True))
        if not (build.piece.demold or build.piece.ready):
            hidden += min(making[0], float(build.piece.full_cure))
        return cycle - hidden

    def read(self, molds: tuple[str, ...], people: int, found: Rotation) -> ShopRound:
        step = self.grid.step_seconds
        period = None if found.period is None else float(found.period * step)
        turns = [
            entry
            for kind, turn in zip(self.kinds, found.turns, strict=False)
            for entry in self._turns(kind, turn)
        ]
        work = sum(turn.end_seconds - turn.start_seconds for turn in turns)
        return ShopRound(
            molds=molds,
            people=people,
            round_seconds=period,
            impossible=found.impossible,
            bound_seconds=float(found.bound * step),
            proved=found.proved,
            castings_per_hour=round(3600 * len(molds) / period, 4) if period else 0.0,
            hands_used=round(work / (period * people), 4) if period else 0.0,
            turns=tuple(sorted(turns, key=lambda turn: turn.ready_seconds)),
            runtime_seconds=found.runtime_seconds,
        )

    def _turns(
        self, what: tuple[str, Literal["turn", "layer"], int], turn: Turn
    ) -> Iterator[RoundTurn]:
        """Yield what a move stands for: a layer, or the demold and the readying of a mold."""
        mold, kind, index = what
        step, piece = self.grid.step_seconds, self.shop.pieces[self.shop.molds[mold].piece]
        parts: list[tuple[MoveKind, int, int, int]] = [("layer", turn.start, turn.ready, turn.end)]
        if kind == "turn":
            half = turn.start + self.grid.up(float(piece.demold))
            parts = [("demold", turn.start, turn.start, half), ("ready", half, half, turn.end)]
        for name, start, ready, end in parts:
            if end > start:
                yield RoundTurn(
                    mold=mold,
                    kind=name,
                    index=index,
                    person=turn.person + 1,
                    start_seconds=float(start * step),
                    ready_seconds=float(ready * step),
                    end_seconds=float(end * step),
                    shares_mix=turn.previous is not None,
                )


def _step(shop: Shop) -> int:
    """Return the coarsest step, up to a minute, that all times of what is cast are whole in."""
    lengths = [float(shop.shop.walk)]
    for piece in {mold.piece for mold in shop.molds.values()}:
        build = build_of(shop, piece)
        spec = build.piece
        lengths += [float(spec.ready), float(spec.demold), float(spec.full_cure)]
        for layer in spec.layers:
            lengths += [float(layer.apply), float(layer.partial_cure), float(layer.recoat_by or 0)]
        for mix in build.mixes.values():
            lengths += [mix.making_seconds, mix.seconds_before_wet]
    for step in (2 * COARSE_SECONDS, COARSE_SECONDS):
        if all(length % step == 0 for length in lengths):
            return step
    return FINE_SECONDS


def _busy_row(molds: int, alone: ShopRound, shared: ShopRound, before: BusyRow | None) -> BusyRow:
    """Return a row that is never below the one before it: a mold may be left out of the round."""
    # Mixes need not be shared, so sharing is never worse.
    if shared.castings_per_hour < alone.castings_per_hour:
        shared = alone
    floor = (before.castings_per_hour, before.shared_castings_per_hour) if before else (0.0, 0.0)
    return BusyRow(
        molds=molds,
        round_seconds=alone.round_seconds,
        castings_per_hour=max(alone.castings_per_hour, floor[0]),
        hands_used=alone.hands_used,
        proved=alone.proved,
        shared_round_seconds=shared.round_seconds,
        shared_castings_per_hour=max(shared.castings_per_hour, floor[1]),
        shared_proved=shared.proved,
    )


def _enough(per_hour: list[float]) -> int:
    """Return after how many molds none of the following adds anything."""
    most = max(per_hour)
    return 1 + next(n for n, rate in enumerate(per_hour) if rate >= most * (1 - NOTHING))


def _sentences(
    servicing: Servicing, people: int, rows: list[BusyRow], enough: int, shared: int
) -> list[str]:
    who = people_counted(people)
    found = [
        f"One casting takes {servicing.service / 60:.0f} min of hands in a cycle of "
        f"{(servicing.service + servicing.run) / 60:.0f} min: by the ratio about "
        f"{servicing.ratio * people:.1f} molds keep {who} busy."
    ]
    row = rows[enough - 1]
    for number in sorted({min(len(rows), max(1, int(servicing.ratio * people))), enough}):
        one = rows[number - 1]
        if one.round_seconds is not None:
            found.append(
                f"With {counted(number, 'mold')} {who} {'is' if people == 1 else 'are'} at work "
                f"{one.hands_used:.0%} of a round of "
                f"{one.round_seconds / 60:.1f} min: {one.castings_per_hour:.2f} castings an hour."
            )
    if enough < len(rows):
        found.append(f"A mold more than {enough} adds nothing.")
    best = rows[shared - 1]
    gain = best.shared_castings_per_hour / max(row.castings_per_hour, 1e-9) - 1
    if best.shared_round_seconds is not None and gain > NOTHING:
        found.append(
            f"With shared mixes {counted(shared, 'mold')} {'is' if shared == 1 else 'are'} enough, "
            f"in a round of {best.shared_round_seconds / 60:.1f} min: "
            f"{gain:.0%} more castings an hour."
        )
    elif row.round_seconds is not None:
        found.append("Sharing mixes adds nothing here.")
    return found
