"""The molds of a round as moves and soaks in grid steps, and its answer read back in seconds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from pydantic import Field

from floorboard.planning.day_times import DayTimes, tenths_of_bucket, tenths_of_layer
from floorboard.planning.errors import PlanningError
from floorboard.planning.network import Family
from floorboard.planning.plan import PlanValue
from floorboard.planning.rotation import Move, Rotation, Turn, round_of_molds, shortest_round
from floorboard.planning.time_grid import COARSE_SECONDS, EPOCH, FINE_SECONDS, TimeGrid
from floorboard.shop.build import build_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.shop.build import Build
    from floorboard.shop.mixes import Mix
    from floorboard.shop.shop import Shop

MoveKind = Literal["ready", "layer", "demold"]


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


class RotationDraft:
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
        """Return the shortest round of some molds that is found in so many seconds."""
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
        """Return a round in seconds, and what it comes to."""
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
