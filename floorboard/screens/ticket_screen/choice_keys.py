"""The keys of the ticket screen that choose and ask. Each asks the mix desk; none owns a rule."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING

from floorboard.floor.clock import steady_seconds
from floorboard.mixing.cautions import caution_sentences
from floorboard.screens.dialogs import AskChoice, AskValue
from floorboard.screens.floor_screen.floor_keys import FloorKeys
from floorboard.screens.gated_keys import GatedKeys
from floorboard.screens.lines_dialog import ShowLines
from floorboard.screens.ticket_screen.typed_weight import typed_number
from floorboard.shop.errors import FloorboardError
from floorboard.shop.quantities import Duration, Mass, Percent, Temperature
from floorboard.usecases.mix_desk import MixDesk

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.screens.ticket_screen.drawn import Drawn
    from floorboard.shop.quantities import Quantity
    from floorboard.usecases.session import Session


class ChoiceKeys(GatedKeys):
    """A screen over a mix desk."""

    session: Session
    desk: MixDesk
    typed: str

    def __init__(self) -> None:
        super().__init__()
        # What was done here since the ticket was last drawn is no news to this hand.
        self._mine = True

    def must_look(self) -> bool:
        """Take in what confirm does now; return whether that has to be looked at first."""
        in_hand = self.desk.in_hand
        batch = in_hand.batch.serial if in_hand is not None else ""
        done = in_hand.making.next_addition if in_hand is not None else None
        what = (
            self.desk.person,
            self.desk.stage,
            batch,
            done and done.addition.number,
            *self.desk.chosen,
        )
        mine, self._mine = self._mine, False
        return self.gate.shows(what, steady_seconds(), mine=mine)

    @abstractmethod
    def show_ticket(self) -> None:
        """Draw everything as it stands now."""

    @abstractmethod
    def layer_at(self, line: int) -> int | None:
        """Return which of the listed layers stands on a line of the side."""

    @abstractmethod
    def action_type_weight(self) -> None:
        """Ask for the weight of what is weighed now."""

    @abstractmethod
    def action_confirm(self) -> None:
        """Do what the headline says."""

    def attempt(self, verb: Callable[[], str]) -> None:
        """Do something that may be refused, and say the refusal in its own words."""
        before = self.session.floor.last_seq
        try:
            message = verb()
        except FloorboardError as refusal:
            self.session.refresh()
            message = str(refusal)
        self._mine = True
        self.say(message)
        self.show_ticket()
        if self.session.floor.last_seq != before:
            self.app.post_message(FloorKeys.FloorChanged())

    # --- choosing --------------------------------------------------------------------------------

    def action_next_row(self) -> None:
        """Go down the layers."""
        self.desk.move(1)
        self.show_ticket()

    def action_previous_row(self) -> None:
        """Go up the layers."""
        self.desk.move(-1)
        self.show_ticket()

    def action_toggle_layer(self) -> None:
        """Add the layer at the cursor, or leave it out."""
        self.attempt(self.desk.toggle)

    def action_pour_earlier(self) -> None:
        """Pour the layer at the cursor earlier."""
        self.attempt(self.desk.pour_earlier)

    def on_drawn_tapped(self, event: Drawn.Tapped) -> None:
        """A tap on the headline confirms, on what is weighed asks for its weight.

        On a layer it adds it or leaves it out.
        """
        if event.part == "headline":
            self.action_confirm()
        elif event.part == "additions":
            self.action_type_weight()
        elif event.part == "side" and self.desk.stage == "choose":
            place = self.layer_at(event.line)
            if place is not None:
                self.desk.cursor = place
                self.action_toggle_layer()

    def action_other_mix(self) -> None:
        """Turn to another mix that is waited for."""
        mixes = list(self.desk.mixes_waiting().items())
        self._choose("A batch of which mix?", mixes, lambda mix: self.desk.choose_mix(mix))

    def action_percent(self) -> None:
        """Change an additive's percentage for this batch."""
        mix = self.desk.mix
        if mix is None or not mix.additives:
            self.say("This mix has no additive.")
            return
        choices = [
            (one.material, f"{one.material}: {one.percent.text} of {one.of}")
            for one in mix.additives
        ]

        def chosen(material: str) -> None:
            self._ask(
                f"What percentage of {material}?",
                Percent,
                lambda percent: self.desk.set_percent(material, percent),
            )

        if len(choices) == 1:
            chosen(choices[0][0])
        else:
            self.app.push_screen(
                AskChoice("Which additive?", choices), lambda key: chosen(key) if key else None
            )

    def action_minutes(self) -> None:
        """Take the percentage that gives a wanted working time."""
        self._ask("How long should it stay workable?", Duration, self.desk.set_working_time)

    def action_tare(self) -> None:
        """Say what the scale shows with the empty bucket."""
        self._ask("What does the scale show with the empty bucket?", Mass, self.desk.set_tare)

    def action_temperature(self) -> None:
        """Enter today's temperature."""
        self._ask("How warm is the room today?", Temperature, self.desk.read_temperature)

    def action_lot_empty(self) -> None:
        """Say that the lot in use is empty."""
        in_hand = self.desk.in_hand
        state = in_hand.making.next_addition if in_hand is not None else None
        if state is None:
            self.say("Nothing is being weighed now.")
            return
        self._ask(
            f"How much {state.addition.name} came out of the lot before it was empty?",
            Mass,
            self.desk.lot_ran_out,
        )

    def action_lose_batch(self) -> None:
        """Say that the batch set or was thrown away, after asking."""
        if self.desk.in_hand is None:
            self.say("There is no batch in hand.")
            return
        serial = self.desk.in_hand.batch.serial
        choices = [("lose", f"Batch {serial} is lost"), ("leave", "Leave it")]

        def taken(choice: str) -> str:
            return self.desk.lose() if choice == "lose" else "Left as it was."

        self._choose("Is the batch set or thrown away?", choices, taken)

    def action_change_person(self) -> None:
        """Turn to the next person's desk."""
        people = list(self.session.shop.people)
        person = people[(people.index(self.desk.person) + 1) % len(people)]
        self.desk = MixDesk(self.session, person)
        self.typed = ""
        for screen in self.app.screen_stack:
            if isinstance(screen, FloorKeys):
                screen.active = person
        self._mine = True
        self.say(f"Now {self.session.shop.people[person].name}'s desk.")
        self.show_ticket()

    def action_cautions(self) -> None:
        """Show the cautions in full."""
        mix = self.desk.mix
        lines = caution_sentences(mix.cautions if mix is not None else ())
        self.app.push_screen(ShowLines("What to mind with this mix", lines))

    def action_print_ticket(self) -> None:
        """Write the ticket as a page to print, and say where it is."""

        def verb() -> str:
            ticket = self.desk.ticket
            if ticket is None:
                return "There is no ticket to print."
            reports = self.session.reports
            if reports is None:
                return "Tickets cannot be written from here; use: floorboard ticket --html FILE"
            in_hand = self.desk.in_hand
            name = in_hand.batch.serial if in_hand is not None else ticket.mix_id
            path = reports.print_ticket(ticket, self.session.shop.shop.units, name)
            return f"Written to {path}: open it in a browser and print it."

        self.attempt(verb)

    # --- asking ----------------------------------------------------------------------------------

    def _choose(
        self, question: str, choices: list[tuple[str, str]], verb: Callable[[str], str]
    ) -> None:
        if not choices:
            self.say("There is nothing to choose from.")
            return

        def taken(key: str | None) -> None:
            if key:
                self.attempt(lambda: verb(key))

        self.app.push_screen(AskChoice(question, choices), taken)

    def _ask(self, question: str, kind: type[Quantity], verb: Callable[[float], str]) -> None:
        """Ask for a quantity; a bare number is taken in the unit the shop reads."""

        def read(value: str) -> float:
            return float(kind.parse(value if _has_unit(value) else f"{value} {self._unit(kind)}"))

        def problem(value: str) -> str | None:
            try:
                read(value)
            except ValueError as error:
                return f"{error}."
            return None

        def taken(value: str | None) -> None:
            if value is not None:
                self.attempt(lambda: verb(read(value)))

        self.app.push_screen(AskValue(question, placeholder=kind.example, check=problem), taken)

    def _unit(self, kind: type[Quantity]) -> str:
        us = self.session.shop.shop.units == "us"
        units = {"weight": "oz" if us else "g", "temperature": "F" if us else "C", "time": "min"}
        return units.get(kind.kind, kind.unit)


def _has_unit(value: str) -> bool:
    return typed_number(value, "metric") is None
