"""What the keys of the floor screen do. Each asks the session; none owns a rule."""

from __future__ import annotations

import datetime as dt
import time
from abc import abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.message import Message
from textual.screen import Screen

from floorboard.floor import events as e
from floorboard.floor.standing import mold_in_service
from floorboard.screens.dialogs import AskChoice, AskValue
from floorboard.screens.scans import read_scan
from floorboard.shop.base import printable
from floorboard.shop.errors import FloorboardError
from floorboard.shop.quantities import Length, Mass
from floorboard.usecases.entry_words import entry_words
from floorboard.usecases.press_words import press_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual import events

    from floorboard.floor.casting import Casting
    from floorboard.screens.key_guard import LabelScanned
    from floorboard.usecases.presses import Press
    from floorboard.usecases.session import Session

# Two presses of confirm within a blink are one: a wet thumb, a bouncing pedal.
BLINK_SECONDS = 0.35
SKIP_SECONDS = 1800.0


class FloorKeys(Screen[None]):
    """A screen with the floor's keys: one method an action."""

    session: Session
    active: str
    chosen: str | None

    _confirmed_at = 0.0

    @abstractmethod
    def say(self, message: str) -> None:
        """Say what was done, or why it was not."""

    @abstractmethod
    def choose(self, mold: str | None) -> None:
        """Choose a mold for the keys that follow."""

    @abstractmethod
    def show_floor(self) -> None:
        """Draw everything as it stands now."""

    @abstractmethod
    def press_of(self, person: str) -> Press | None:
        """Return what confirm does for a person."""

    @abstractmethod
    def type_digit(self, digit: str) -> None:
        """Choose a mold by its number, typed digit by digit."""

    @abstractmethod
    def molds_in_order(self) -> list[str]:
        """Return the molds as the board lists them."""

    @dataclass
    class FloorChanged(Message):
        """The log has new entries: the plan should be drawn up anew."""

    def on_key(self, event: events.Key) -> None:
        """Read the digits that choose a mold."""
        if event.character and event.character.isascii() and event.character.isdigit():
            event.stop()
            self.type_digit(event.character)
        else:
            self.other_key(event)

    def other_key(self, event: events.Key) -> None:
        """Take a key that is no digit, before the bindings see it."""

    def on_label_scanned(self, event: LabelScanned) -> None:
        """Choose what a scanned label names; what was chosen stays if it names nothing here."""
        event.stop()
        scanned = read_scan(self.session.shop, self.session.floor, event.text)
        named = scanned.mold is not None or scanned.casting is not None
        self.say(scanned.message)
        self.choose(scanned.mold if named else event.chosen_before)

    def logged(self, message: str) -> None:
        """Show what was just logged and have the plan drawn up anew."""
        self.say(message)
        self.show_floor()
        self.app.post_message(self.FloorChanged())

    def attempt(self, verb: Callable[[], str]) -> None:
        """Do something that may be refused, and say the refusal in its own words."""
        try:
            message = verb()
        except FloorboardError as refusal:
            self.session.refresh()
            self.say(str(refusal))
            self.show_floor()
            return
        self.logged(message)

    # --- a plain day ---------------------------------------------------------------------------

    def action_confirm(self) -> None:
        """Log what the active panel says, as of now."""
        now = time.monotonic()
        if now - self._confirmed_at < BLINK_SECONDS:
            return
        self._confirmed_at = now
        self.confirm_at(None)

    def confirm_at(self, at: dt.datetime | None) -> None:
        """Log what the active panel says, as of a moment."""
        press = self.press_of(self.active)
        if press is None:
            self.say("Nothing to confirm. Choose a mold by its number.")
            return
        words = press_words(self.session.shop, self.session.floor, press)

        def verb() -> str:
            self.session.confirm(press, at)
            self.chosen = None
            return f"Logged: {words}."

        self.attempt(verb)

    def action_begin(self) -> None:
        """Begin a casting in the chosen mold, or its next step."""
        if self.chosen is None:
            self.say("Choose an empty mold by its number first, then begin.")
            return
        self.action_confirm()

    def action_strike(self) -> None:
        """Strike the last entry keyed at this station."""

        def verb() -> str:
            struck = self.session.strike_last(self.active)
            if struck is None:
                return "There is nothing left to strike at this station."
            return f"Struck: {entry_words(struck, self.session.shop, self.session.floor.castings)}."

        self.attempt(verb)

    def action_earlier(self) -> None:
        """Confirm with the time it really happened, in minutes ago."""

        def taken(value: str | None) -> None:
            if value is not None:
                self.confirm_at(self.session.now - dt.timedelta(minutes=float(value)))

        question = "How many minutes ago was it done?"
        self.app.push_screen(AskValue(question, placeholder="5", check=_minutes_problem), taken)

    def action_next_mold(self) -> None:
        """Choose the next mold down the board."""
        self._step_choice(1)

    def action_previous_mold(self) -> None:
        """Choose the mold above."""
        self._step_choice(-1)

    def _step_choice(self, step: int) -> None:
        molds = self.molds_in_order()
        if not molds:
            return
        if self.chosen not in molds:
            self.choose(molds[0 if step > 0 else -1])
            return
        self.choose(molds[(molds.index(self.chosen) + step) % len(molds)])

    def action_let_go(self) -> None:
        """Let go of the chosen mold."""
        self.choose(None)

    def action_change_person(self) -> None:
        """Give the confirm key to the next person."""
        people = list(self.session.shop.people)
        self.active = people[(people.index(self.active) + 1) % len(people)]
        self.say(f"Confirm is now {self.session.shop.people[self.active].name}'s.")
        self.show_floor()

    # --- the chosen casting ----------------------------------------------------------------------

    def chosen_casting(self) -> Casting | None:
        """Return the casting in the chosen mold, and say so if there is none."""
        if self.chosen is None:
            self.say("Choose a mold by its number first.")
            return None
        casting = self.session.floor.casting_in(self.chosen)
        if casting is None:
            self.say("That mold holds no casting.")
        return casting

    def action_reject(self) -> None:
        """Scrap the chosen casting, with its reason."""
        if casting := self.chosen_casting():
            self.ask_reject(casting)

    def ask_reject(self, casting: Casting) -> None:
        """Ask why a casting is scrapped, and log it."""
        serial = casting.serial
        layers = casting.layers_applied

        def taken(reason: str | None) -> None:
            if reason is not None:
                layer = layers - 1 if layers and casting.in_mold else None
                event = e.CastingRejected(casting=serial, reason=reason, layer=layer)
                self._log(f"Rejected: {serial}.", event)

        self.app.push_screen(
            AskChoice(f"Why is casting {serial} scrapped?", self._reasons()), taken
        )

    def _reasons(self) -> list[tuple[str, str]]:
        return [(key, reason.name) for key, reason in self.session.shop.reasons.items()]

    def action_rework(self) -> None:
        """Send a casting back on its finishing route."""
        after = [c for c in self.session.floor.open_castings() if c.demolded_at is not None]
        if not after:
            self.say("No casting is out of its mold, so none can be sent back.")
            return
        choices = [(c.serial, f"{c.serial}  {c.build.piece.name}") for c in after]

        def taken(serial: str | None) -> None:
            if serial is not None:
                self.ask_rework(self.session.floor.castings[serial])

        self.app.push_screen(AskChoice("Which casting is sent back?", choices), taken)

    def ask_rework(self, casting: Casting) -> None:
        """Ask which step a casting goes back to and why, and log it."""
        route = casting.build.piece.route
        steps = [
            (str(index), step.name or step.kind)
            for index, step in enumerate(route[: casting.next_step])
            if not step.passive
        ]
        if not steps:
            self.say(f"Casting {casting.serial} has no step behind it to go back to.")
            return

        def step_taken(step: str | None) -> None:
            if step is not None:
                self.app.push_screen(
                    AskChoice(f"Why is casting {casting.serial} sent back?", self._reasons()),
                    lambda reason: reason_taken(int(step), reason),
                )

        def reason_taken(step: int, reason: str | None) -> None:
            if reason is not None:
                event = e.CastingSentBack(casting=casting.serial, step=step, reason=reason)
                self._log(f"Sent back: {casting.serial}.", event)

        self.app.push_screen(AskChoice("Back to which step?", steps), step_taken)

    def action_set_aside(self) -> None:
        """Set the chosen casting aside, or take it up again."""
        if casting := self.chosen_casting():
            if casting.set_aside:
                self._log("Taken up again.", e.CastingTakenUp(casting=casting.serial))
            else:
                self._log("Set aside; its cures run on.", e.CastingSetAside(casting=casting.serial))

    def action_skip(self) -> None:
        """Leave the chosen empty mold alone for half an hour."""
        if self.chosen is None:
            self.say("Choose an empty mold by its number first, then skip it.")
            return
        if self.session.floor.casting_in(self.chosen) is not None:
            self.say("That mold holds a casting: its clock cannot be skipped. Pause it instead.")
            return
        until = self.session.now + dt.timedelta(seconds=SKIP_SECONDS)
        self._log("Skipped for half an hour.", e.MoldRested(mold=self.chosen, until=until))

    def action_lose_batch(self) -> None:
        """Say that the batch in hand set or was thrown away."""
        task = self.session.floor.in_hand(self.active)
        if task is None or task.batch is None:
            self.say("There is no batch in hand.")
            return
        self._log(f"Batch {task.batch} lost.", e.BatchLost(batch=task.batch))

    def action_weigh(self) -> None:
        """Log the chosen casting's weight."""
        if casting := self.chosen_casting():
            self.ask_quantity(
                f"What does casting {casting.serial} weigh?",
                Mass,
                lambda grams: e.CastingWeighed(casting=casting.serial, grams=grams),
            )

    def action_wall(self) -> None:
        """Log a caliper reading of the chosen casting."""
        if casting := self.chosen_casting():
            self.ask_quantity(
                f"How thick is the wall of casting {casting.serial}?",
                Length,
                lambda mm: e.WallRead(casting=casting.serial, millimetres=mm),
            )

    def ask_quantity(
        self, question: str, kind: type[Mass] | type[Length], event: Callable[[float], e.AnyEvent]
    ) -> None:
        """Ask for a quantity with its unit, and log the event made of it."""

        def problem(value: str) -> str | None:
            try:
                kind.parse(value)
            except ValueError as error:
                return str(error)
            return None

        def taken(value: str | None) -> None:
            if value is not None:
                self._log(f"Logged: {value}.", event(float(kind.parse(value))))

        self.app.push_screen(AskValue(question, placeholder=kind.example, check=problem), taken)

    def action_note(self) -> None:
        """Write a note on the chosen mold or casting."""
        mold = self.chosen
        casting = self.session.floor.casting_in(mold) if mold else None

        def taken(value: str | None) -> None:
            if value:
                serial = casting.serial if casting else None
                self._log("Noted.", e.Noted(note=value, casting=serial, mold=mold))

        self.app.push_screen(AskValue("Write the note.", check=_note_problem), taken)

    def action_mold_service(self) -> None:
        """Take the chosen mold out of service, or put it back."""
        if self.chosen is None:
            self.say("Choose a mold by its number first.")
        elif mold_in_service(self.session.shop, self.session.floor, self.chosen):
            self._log("Mold taken out of service.", e.MoldTakenOut(mold=self.chosen))
        else:
            self._log("Mold back in service.", e.MoldPutBack(mold=self.chosen))

    def action_away(self) -> None:
        """Say that the active person has gone, or is back."""
        name = self.session.shop.people[self.active].name
        if self.active in self.session.floor.away:
            self._log(f"{name} is back.", e.PersonBack(who=self.active))
        else:
            self._log(f"{name} is away.", e.PersonLeft(who=self.active))

    def _log(self, message: str, event: e.AnyEvent) -> None:
        def verb() -> str:
            self.session.log(self.active, event)
            return message

        self.attempt(verb)


def _minutes_problem(value: str) -> str | None:
    try:
        minutes = float(value)
    except ValueError:
        minutes = -1.0
    if not 0 <= minutes <= 24 * 60:
        return f"Found {value!r}; type a number of minutes from 0 to 1440."
    return None


def _note_problem(value: str) -> str | None:
    try:
        printable(value)
    except ValueError as error:
        return str(error)
    return None
