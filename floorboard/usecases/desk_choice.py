"""Which layers share the next batch, with which percentages: what is chosen before it is fact."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.mixing.refusal import MixingError, refuse
from floorboard.mixing.working_time import percent_for
from floorboard.records.room_air import (
    COLDEST_ROOM_CELSIUS,
    HOTTEST_ROOM_CELSIUS,
    can_be_a_room,
)
from floorboard.shop.errors import FloorboardError
from floorboard.shop.mixes import WorkingTimeTable
from floorboard.shop.units import show_grams
from floorboard.usecases.batch_choice import LayerChoice, layers_waiting, may_share, proposed
from floorboard.usecases.batch_ticket import room_celsius, ticket_of

if TYPE_CHECKING:
    from floorboard.mixing.ticket import Ticket
    from floorboard.shop.mixes import Mix
    from floorboard.usecases.batch_choice import ServingKey
    from floorboard.usecases.batch_in_hand import BatchInHand
    from floorboard.usecases.session import Session


class DeskChoice:
    """What one person has chosen for a batch. Verbs return what they did, or raise."""

    def __init__(self, session: Session, person: str, mold: str | None = None) -> None:
        self.session = session
        self.person = person
        self.percents: dict[str, float] = {}
        self.tare_grams = 0.0
        self.cursor = 0
        self.chosen: list[ServingKey] = []
        self._mold = mold
        self._seen: tuple[int, int, str] | None = None
        self._in_hand: BatchInHand | None = None
        self.propose()

    # --- how things stand ------------------------------------------------------------------------

    @property
    def in_hand(self) -> BatchInHand | None:
        """The batch the person has in hand, if any, with all that was logged of it."""
        batch = self.session.floor.batch_of(self.person)
        if batch is None:
            return None
        serial = batch.serial
        seen = (self.session.floor.last_seq, id(self.session.shop), serial)
        if seen != self._seen:
            self._seen, self._in_hand = seen, self.session.batch_in_hand(serial)
        return self._in_hand

    @property
    def waiting(self) -> list[LayerChoice]:
        """The layers that may share the batch, the first to close first."""
        every = layers_waiting(self.session.floor)
        first = next((one for one in every if one.key in self.chosen), every[0] if every else None)
        return [] if first is None else may_share(self.session.floor, every, first)

    @property
    def chosen_layers(self) -> list[LayerChoice]:
        """The chosen layers, in the order they are poured."""
        known = {one.key: one for one in self.waiting}
        return [known[key] for key in self.chosen if key in known]

    @property
    def ticket(self) -> Ticket | None:
        """The ticket of the batch in hand, or of the one that would be begun.

        Raises
        ------
        MixingError
            If the layers chosen have none.
        """
        if self.in_hand is not None:
            return self.in_hand.ticket
        keys = [one.key for one in self.chosen_layers]
        if not keys:
            return None
        session = self.session
        return ticket_of(
            session.shop, session.floor, keys, percents=self.percents, tare_grams=self.tare_grams
        )

    @property
    def mix(self) -> Mix | None:
        """The mix of the batch in hand, or of the one that would be begun."""
        if self.in_hand is not None:
            return self.in_hand.mix
        layers = self.chosen_layers or self.waiting
        if not layers:
            return None
        first = layers[0]
        return self.session.floor.castings[first.casting].build.mixes[first.mix_id]

    # --- choosing --------------------------------------------------------------------------------

    def propose(self) -> None:
        """Choose what the plan proposes."""
        session = self.session
        waiting = layers_waiting(session.floor)
        keys = proposed(session.floor, session.plan, self.person, waiting, self._mold)
        self.chosen, self.percents, self.cursor = list(keys), {}, 0

    def keep_up(self) -> None:
        """Let go of layers that another station took meanwhile; propose anew if none is left."""
        if self.in_hand is not None:
            return
        known = {one.key for one in self.waiting}
        self.chosen = [key for key in self.chosen if key in known]
        if not self.chosen and known:
            self.propose()
        self.cursor = min(self.cursor, max(0, len(known) - 1))

    def move(self, step: int) -> None:
        """Move the cursor down the layers that may share the batch."""
        count = len(self.listed)
        if count:
            self.cursor = (self.cursor + step) % count

    @property
    def listed(self) -> list[LayerChoice]:
        """The layers as they are listed: those chosen in their order, then the others."""
        chosen = self.chosen_layers
        return [*chosen, *(one for one in self.waiting if one not in chosen)]

    def toggle(self, place: int | None = None) -> str:
        """Add the layer at the cursor to the batch, or leave it out."""
        self._only_before_beginning()
        listed = self.listed
        place = self.cursor if place is None else place
        if not 0 <= place < len(listed):
            raise refuse("layers", "there is no layer to add")
        key = listed[place].key
        label = self._label(listed[place])
        if key in self.chosen:
            if len(self.chosen_layers) == 1:
                raise refuse("layers", "a batch serves at least one layer; add another one first")
            self.chosen.remove(key)
            return f"Left out: {label}."
        self.chosen = [*(one.key for one in self.chosen_layers), key]
        self.cursor = next(i for i, one in enumerate(self.listed) if one.key == key)
        return f"Added: {label}."

    def pour_earlier(self) -> str:
        """Pour the layer at the cursor before the one listed above it."""
        self._only_before_beginning()
        chosen = [one.key for one in self.chosen_layers]
        if not 0 < self.cursor < len(chosen):
            raise refuse("layers", "choose one of the batch's layers below the first")
        place = self.cursor
        chosen[place - 1], chosen[place] = chosen[place], chosen[place - 1]
        self.chosen, self.cursor = chosen, place - 1
        return f"{self._label(self.listed[place - 1])} is poured earlier."

    def mixes_waiting(self) -> dict[str, str]:
        """Return the mixes that some layer waits for: name by id."""
        floor = self.session.floor
        return {
            one.mix_id: floor.castings[one.casting].build.mixes[one.mix_id].name
            for one in layers_waiting(floor)
        }

    def choose_mix(self, mix_id: str) -> str:
        """Turn to another mix: the first layer that waits for it."""
        self._only_before_beginning()
        keys = [one.key for one in layers_waiting(self.session.floor) if one.mix_id == mix_id]
        if not keys:
            raise refuse("mix", f"no layer waits for {mix_id}")
        self.chosen, self.percents, self.cursor = keys[:1], {}, 0
        return f"Now for {self.mixes_waiting()[mix_id]}."

    def set_percent(self, material: str, percent: float) -> str:
        """Take another percentage of an additive for this batch."""
        self._only_before_beginning()
        before, self.percents = self.percents, {**self.percents, material: percent}
        try:
            _ = self.ticket
        except MixingError:
            self.percents = before
            raise
        return f"{material} at {percent:.4g} % in this batch."

    def set_working_time(self, seconds: float) -> str:
        """Take the percentage that gives a wanted working time at today's temperature."""
        mix = self.mix
        if mix is None:
            raise refuse("working_time", "choose a layer first")
        percent = percent_for(mix, seconds, room_celsius(self.session.floor))
        assert isinstance(mix.working_time, WorkingTimeTable)
        return self.set_percent(mix.working_time.additive, round(percent, 3))

    def set_tare(self, grams: float) -> str:
        """Say what the scale shows with the empty bucket on it."""
        self._only_before_beginning()
        if not 0 <= grams < float("inf"):
            raise refuse("tare", f"found {grams:g} g, expected nothing or more")
        self.tare_grams = grams
        return f"The scale starts at {show_grams(self.session.shop, grams)}."

    def read_temperature(self, celsius: float) -> str:
        """Log the day's temperature of the room; every working time and cure goes by it."""
        if not can_be_a_room(celsius):
            found = f"found {celsius:.3g} C, expected {COLDEST_ROOM_CELSIUS:.0f} to"
            raise refuse("room temperature", f"{found} {HOTTEST_ROOM_CELSIUS:.0f} C")
        self.session.log(self.person, e.ConditionsRead(room_celsius=celsius))
        return f"Room at {celsius:.3g} C: working times and cures go by it."

    def _only_before_beginning(self) -> None:
        if self.in_hand is not None:
            raise FloorboardError(
                "The batch is begun: its ticket stays as it is. Lose it with X to begin another."
            )

    def _label(self, one: LayerChoice) -> str:
        mold = self.session.shop.molds.get(one.mold)
        number = one.mold if mold is None else str(mold.number)
        return f"mold {number} layer {one.layer + 1}"
