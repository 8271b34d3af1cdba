"""The mix desk of one person: what each key logs while a batch is chosen, made and poured.

It keeps only what is not yet fact: what `DeskChoice` has, and a weight outside its tolerance that
was typed but not taken yet. All else is read from the log.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from floorboard.floor import events as e
from floorboard.mixing.refusal import refuse
from floorboard.mixing.weighings import WeighingCheck, check_weighing
from floorboard.shop.units import show_grams
from floorboard.usecases import weighing
from floorboard.usecases.desk_choice import DeskChoice
from floorboard.usecases.press_words import press_words
from floorboard.usecases.presses import Press, press_for_batch

if TYPE_CHECKING:
    from floorboard.mixing.correction import Correction
    from floorboard.mixing.making import AdditionState
    from floorboard.usecases.batch_in_hand import BatchInHand
    from floorboard.usecases.session import Session
    from floorboard.usecases.weighing import Source

Stage = Literal["nothing", "choose", "weigh", "check", "stir", "pour"]


@dataclass(frozen=True, slots=True)
class Pending:
    """A weight outside its tolerance, waiting for a second key. `correction` if it is over."""

    grams: float
    source: Source
    check: WeighingCheck
    correction: Correction | None


class MixDesk(DeskChoice):
    """One person's desk. Every verb returns what it did, or raises with what it refuses."""

    def __init__(self, session: Session, person: str, mold: str | None = None) -> None:
        self.pending: Pending | None = None
        super().__init__(session, person, mold)

    # --- how things stand ------------------------------------------------------------------------

    @property
    def stage(self) -> Stage:
        """What the desk is at."""
        in_hand = self.in_hand
        if in_hand is None:
            return "choose" if self.waiting else "nothing"
        if self.pending is not None:
            return "check"
        if in_hand.pouring or in_hand.making.ready:
            return "pour"
        return "weigh" if in_hand.making.next_addition is not None else "stir"

    @property
    def press(self) -> Press | None:
        """What takes the batch in hand on, whatever was begun besides; else what the plan asks for."""
        floor = self.session.floor
        batch = floor.batch_of(self.person)
        if batch is None:
            return self.session.press_for(self.person)
        return press_for_batch(floor, batch, self.person)

    @property
    def anything_off(self) -> bool:
        """Whether a weight, typed or taken, is outside its tolerance and can still be put right."""
        in_hand = self.in_hand
        if in_hand is None or in_hand.pouring:
            return False
        return self.pending is not None or any(one.off for one in in_hand.making.additions)

    @property
    def put_right_preview(self) -> BatchInHand | None:
        """The batch as it would be with the weight typed and its correction taken, if there is one."""
        pending, in_hand = self.pending, self.in_hand
        if pending is None or in_hand is None:
            return None
        if pending.correction is None or not pending.correction.fits:
            return None
        now = self.session.now
        after = in_hand.after(self._weighed(in_hand, pending.grams, pending.source), now)
        return after.after([weighing.corrected(after, pending.correction)], now)

    # --- making ----------------------------------------------------------------------------------

    def confirm(self, typed: float | None = None, source: Source = "typed") -> str:
        """Do what the screen says: begin, take a weight, end a stage, pour.

        Parameters
        ----------
        typed : grams really put in of the addition in hand; None takes it as on the ticket.
        """
        match self.stage:
            case "nothing":
                raise refuse("batch", "no layer waits for a batch; begin a casting on the floor")
            case "choose":
                return self._begin()
            case "weigh" | "check":
                return self._weigh(typed, source)
            case "stir":
                return self._stirred()
            case _:
                return self._pour()

    def keep(self) -> str:
        """Take the weight that is outside its tolerance and leave the batch as it is."""
        if self.pending is None:
            raise refuse("weight", "no weight is waiting to be kept")
        pending, in_hand = self.pending, self._batch()
        name = self._weighing(in_hand).addition.name
        self._log(*self._weighed(in_hand, pending.grams, pending.source))
        return f"{name}: kept at {show_grams(self.session.shop, pending.grams)}."

    def drop_pending(self) -> bool:
        """Forget the weight typed; return whether there was one."""
        was, self.pending = self.pending is not None, None
        return was

    def put_right(self) -> str:
        """Take the correction for what is in the bucket by now."""
        if self.pending is not None:
            return self.confirm()
        in_hand = self._batch()
        if in_hand.pouring:
            raise refuse("correction", "the batch is being poured already")
        if not any(one.off for one in in_hand.making.additions):
            raise refuse("correction", "nothing is outside its tolerance")
        event = weighing.corrected(in_hand, in_hand.correction())
        self._log(event)
        return f"Put right: the batch comes to {show_grams(self.session.shop, event.grams)}."

    def lot_ran_out(self, grams: float) -> str:
        """The lot in use is empty: so much came out of it, the rest is taken from the next."""
        session = self.session
        events = weighing.lot_ran_out(session.book, session.shop, self._batch(), grams, session.now)
        self._log(*events)
        return "The lot is empty; the next one follows."

    def lose(self, reason: str = "") -> str:
        """Say that the batch in hand set in the bucket or was thrown away."""
        serial = self._batch().batch.serial
        self._log(e.BatchLost(batch=serial, reason=reason))
        self.propose()
        return f"Batch {serial} lost; what went into it stays in the account."

    def strike(self) -> e.Entry | None:
        """Strike the last entry keyed at this station."""
        self.pending = None
        return self.session.strike_last(self.person)

    # --- inside ----------------------------------------------------------------------------------

    def _begin(self) -> str:
        layers = self.chosen_layers
        press = Press(
            "begin batch",
            self.person,
            layers[0].mold,
            tuple(one.casting for one in layers),
            layers[0].layer,
            servings=tuple(one.key for one in layers),
            percents=tuple(self.percents.items()),
            tare_grams=self.tare_grams,
        )
        entries = self.session.confirm(press)
        event = entries[0].event
        assert isinstance(event, e.BatchBegun)
        self.percents = {}
        return f"Batch {event.batch} begun."

    def _weigh(self, typed: float | None, source: Source) -> str:
        in_hand = self._batch()
        state = self._weighing(in_hand)
        pending = self.pending
        if typed is None and pending is not None:
            return self._take_pending(in_hand, state, pending)
        grams = state.more_grams if typed is None else typed
        check = self._check(in_hand, state, grams)
        if not check.within:
            self.pending = Pending(
                grams, source, check, self._correction(in_hand, grams, source, check)
            )
            return check.sentence
        self._log(*self._weighed(in_hand, grams, "ticket" if typed is None else source))
        return f"{state.addition.name}: {show_grams(self.session.shop, grams)} in."

    def _take_pending(self, in_hand: BatchInHand, state: AdditionState, pending: Pending) -> str:
        """A second Enter takes the weight, and the correction with it if there is one."""
        events = self._weighed(in_hand, pending.grams, pending.source)
        name = state.addition.name
        if pending.correction is None or not pending.correction.fits:
            self._log(*events)
            return f"{name}: {show_grams(self.session.shop, pending.grams)} in, flagged."
        now = self.session.now
        corrected = weighing.corrected(in_hand.after(events, now), pending.correction)
        self._log(*events, corrected)
        comes_to = show_grams(self.session.shop, corrected.grams)
        return f"{name} taken and put right: the batch comes to {comes_to}."

    def _check(self, in_hand: BatchInHand, state: AdditionState, grams: float) -> WeighingCheck:
        material = in_hand.materials.get(state.addition.material)
        own = material.scale_tolerance if material is not None else None
        return check_weighing(
            state.target_grams,
            round(state.in_grams + grams, 6),
            in_hand.tolerance_percent if own is None else float(own),
            in_hand.ticket.batch.resolution_grams,
            state.addition.name,
        )

    def _correction(
        self, in_hand: BatchInHand, grams: float, source: Source, check: WeighingCheck
    ) -> Correction | None:
        if check.deviation_grams <= 0:
            return None
        events = self._weighed(in_hand, grams, source)
        return in_hand.after(events, self.session.now).correction()

    def _weighed(self, in_hand: BatchInHand, grams: float, source: Source) -> list[e.AnyEvent]:
        session = self.session
        return weighing.weighed(session.shop, session.book, in_hand, grams, session.now, source)

    def _stirred(self) -> str:
        in_hand = self._batch()
        stage = in_hand.making.stage
        self._log(*weighing.stage_done(in_hand, self.session.now))
        number = stage.number if stage is not None else 0
        return f"Stage {number} stirred."

    def _pour(self) -> str:
        press = self.press
        if press is None:
            raise refuse("batch", "nothing is left to pour")
        words = press_words(self.session.shop, self.session.floor, press)
        self.session.confirm(press)
        if self.in_hand is None:
            self.propose()
        return f"Logged: {words}."

    def _log(self, *events: e.AnyEvent) -> None:
        self.pending = None
        self.session.log_as_seen(self.person, *events)

    def _batch(self) -> BatchInHand:
        in_hand = self.in_hand
        if in_hand is None:
            raise refuse("batch", "no batch is in hand")
        return in_hand

    def _weighing(self, in_hand: BatchInHand) -> AdditionState:
        state = in_hand.making.next_addition
        if state is None:
            raise refuse("weight", "nothing is being weighed now")
        return state
