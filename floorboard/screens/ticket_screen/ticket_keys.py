"""The keys of the ticket screen that make a batch: weights typed or read, stages, corrections."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.message import Message

from floorboard.screens.dialogs import AskValue
from floorboard.screens.ticket_screen.choice_keys import ChoiceKeys
from floorboard.screens.ticket_screen.typed_weight import LONGEST, typed_number, typed_weight
from floorboard.shop.units import show_grams
from floorboard.usecases.entry_words import entry_words

if TYPE_CHECKING:
    from textual import events

    from floorboard.mixing.scale_line import ScaleReading
    from floorboard.screens.key_guard import LabelScanned
    from floorboard.screens.ticket_screen.live_scale import LiveScale


class TicketKeys(ChoiceKeys):
    """A screen with the mix desk's keys: one method an action."""

    live: LiveScale
    digits_choose = True

    _without_scale = False

    @dataclass
    class ScaleRead(Message):
        """The scale sent a line."""

        reading: ScaleReading

        def can_replace(self, message: Message) -> bool:
            """Only the last reading counts."""
            return isinstance(message, TicketKeys.ScaleRead)

    # --- typing ----------------------------------------------------------------------------------

    def on_key(self, event: events.Key) -> None:
        """Read the digits of a weight."""
        character = event.character or ""
        wanted = "0123456789."
        if self.session.shop.shop.units == "us" and self.typed:
            wanted += " "
        if self.desk.stage not in {"weigh", "check"}:
            return
        character = "." if character == "," else character
        if character and character in wanted and len(self.typed) < LONGEST:
            event.stop()
            event.prevent_default()
            self.desk.drop_pending()
            self.typed += character
            self.show_ticket()

    def on_label_scanned(self, event: LabelScanned) -> None:
        """Take the weight of a scale that types it like a keyboard; no other label is of use here."""
        event.stop()
        self.typed = ""
        number = typed_number(event.text.strip(), self.session.shop.shop.units)
        in_hand = self.desk.in_hand
        if number is None or in_hand is None or self.desk.stage not in {"weigh", "check"}:
            self.say("No weight is being taken now, so the label does nothing here.")
            self.show_ticket()
            return
        self.desk.drop_pending()
        read = typed_weight(self.session.shop, in_hand.making, event.text.strip())
        if read is not None:
            self.attempt(lambda: self.desk.confirm(read.grams, "scale"))

    def action_type_weight(self) -> None:
        """Type the weight of what is weighed now, by taps."""
        in_hand = self.desk.in_hand
        if in_hand is None or self.desk.stage not in {"weigh", "check"}:
            self.say("Nothing is being weighed now.")
            return
        us = self.session.shop.shop.units == "us"
        state = in_hand.making.next_addition
        name = state.addition.name if state is not None else "it"

        def problem(value: str) -> str | None:
            if typed_weight(self.session.shop, in_hand.making, value.strip()) is None:
                return f"Found {value!r}, expected a weight such as '412.5'."
            return None

        def taken(value: str | None) -> None:
            if value is not None:
                self.desk.drop_pending()
                self.typed = value.strip()
                self._take_typed()

        question = f"What went in of {name}, or what does the scale show?"
        example = "2 3.1" if us else "412.5"
        self.app.push_screen(AskValue(question, placeholder=example, check=problem), taken)

    def action_rub_out(self) -> None:
        """Take back the last digit."""
        self.typed = self.typed[:-1]
        self.show_ticket()

    # --- the plain way through -------------------------------------------------------------------

    def action_confirm(self) -> None:
        """Do what the headline says; after digits, take that weight."""
        if self.refused():
            return
        if self.typed:
            self._take_typed()
        elif self.desk.stage == "weigh" and self.live.reading is not None:
            self._take_reading()
        else:
            self.attempt(self.desk.confirm)

    def _take_typed(self) -> None:
        in_hand = self.desk.in_hand
        read = (
            None if in_hand is None else typed_weight(self.session.shop, in_hand.making, self.typed)
        )
        if read is None:
            self.say(f"Found {self.typed!r}, expected a weight such as '412.5'.")
            return
        self.typed = ""
        self.attempt(lambda: self.desk.confirm(read.grams, "typed"))

    def _take_reading(self) -> None:
        """Take the scale's weight if it is still; if it says nothing, ask once more before going on."""
        reading, in_hand = self.live.reading, self.desk.in_hand
        if reading is None or in_hand is None:
            return
        if reading.grams is None:
            if self._without_scale:
                self._without_scale = False
                self.attempt(self.desk.confirm)
                return
            self._without_scale = self.live.scale is not None and not self.live.scale.plugged_in
            after = " Or Enter again takes it as on the ticket." if self._without_scale else ""
            self.say(f"{reading.sentence}{after}")
            return
        self._without_scale = False
        before = in_hand.making.reading_grams
        grams = round(reading.grams - before, 6)
        if grams < 0:
            self.say(
                f"The scale shows {reading.grams:g} g, less than the {before:g} g that were in "
                "before: put the bucket back, then take it."
            )
            return
        self.attempt(lambda: self.desk.confirm(grams, "scale"))

    def action_put_right(self) -> None:
        """Take the correction for what is over."""
        self.attempt(self.desk.put_right)

    def action_keep(self) -> None:
        """Take the weight as it is."""
        self.attempt(self.desk.keep)

    def action_strike(self) -> None:
        """Strike the last entry keyed at this station."""

        def verb() -> str:
            struck = self.desk.strike()
            if struck is None:
                return "There is nothing left to strike at this station."
            return f"Struck: {entry_words(struck, self.session.shop, self.session.castings)}."

        self.attempt(verb)

    def action_leave(self) -> None:
        """Let go of what was typed; with nothing typed, go back to the floor."""
        if self.typed or self.desk.drop_pending():
            self.typed = ""
            self.show_ticket()
        else:
            self.dismiss()

    # --- the scale -------------------------------------------------------------------------------

    def listen_to_scale(self) -> None:
        """Have the scale's readings posted as they come."""
        self.live.listen(lambda reading: self.post_message(self.ScaleRead(reading)))

    def on_ticket_keys_scale_read(self, event: ScaleRead) -> None:
        """Show what the scale says."""
        self.live.take(event.reading)
        self.show_ticket()

    def live_words(self) -> str:
        """Return what the scale shows now and what is still to add."""
        reading, in_hand = self.live.reading, self.desk.in_hand
        if reading is None or in_hand is None or self.desk.stage != "weigh":
            return ""
        if reading.grams is None:
            return reading.sentence
        state = in_hand.making.next_addition
        shop = self.session.shop
        if state is None:
            return f"Scale: {show_grams(shop, reading.grams)}"
        left = in_hand.making.reading_grams + state.more_grams - reading.grams
        way = "to go" if left >= 0 else "too much"
        return f"Scale: {show_grams(shop, reading.grams)}, {show_grams(shop, abs(left))} {way}"
