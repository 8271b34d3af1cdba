"""What the keys of the floor screen do. Each asks the session; none owns a rule."""

from __future__ import annotations

import datetime as dt
from abc import abstractmethod
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.standing import mold_in_service, pulls_of
from floorboard.screens.casting_keys import CastingKeys
from floorboard.screens.dialogs import AskChoice
from floorboard.screens.scans import read_scan
from floorboard.usecases.press_words import press_words

if TYPE_CHECKING:
    from textual import events

    from floorboard.floor.casting import Casting
    from floorboard.screens.key_guard import LabelScanned
    from floorboard.usecases.presses import Press

SKIP_SECONDS = 1800.0


class FloorKeys(CastingKeys):
    """A screen with the floor's keys: one method an action."""

    chosen: str | None

    laid_out = False

    def on_mount(self) -> None:
        """Remember that the widgets are there to be shown."""
        self.laid_out = True

    def on_screen_resume(self) -> None:
        """Show what has happened while the screen was not there."""
        self.show_floor()

    @abstractmethod
    def choose(self, mold: str | None) -> None:
        """Choose a mold for the keys that follow."""

    @abstractmethod
    def press_of(self, person: str) -> Press | None:
        """Return what confirm does for a person."""

    @abstractmethod
    def type_digit(self, digit: str) -> None:
        """Choose a mold by its number, typed digit by digit."""

    @abstractmethod
    def molds_in_order(self) -> list[str]:
        """Return the molds as the board lists them."""

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

    # --- a plain day ---------------------------------------------------------------------------

    def action_confirm(self) -> None:
        """Log what the active panel says, as of now."""
        if not self.refused():
            self.confirm_at(self.press_of(self.active), None)

    def confirm_at(self, press: Press | None, at: dt.datetime | None) -> None:
        """Log what the active panel said, as of a moment."""
        if press is None:
            self.say("Nothing to confirm. Choose a mold by its number.")
            return
        words = press_words(self.session.shop, self.session.floor, press)

        def verb() -> str:
            entries = self.session.confirm(press, at)
            self.chosen = None
            # What was odd about it was noted with it.
            odd = [entry.event.note for entry in entries if isinstance(entry.event, e.Noted)]
            return " ".join([f"Logged: {words}.", *odd])

        self.attempt_confirm(verb)

    def choice(self) -> tuple[object, ...]:
        """Return what this hand has chosen: whose key confirm is, and the mold."""
        return self.active, self.chosen

    def action_begin(self) -> None:
        """Begin a casting in the chosen mold, or its next step."""
        if self.chosen is None:
            self.say("Choose an empty mold by its number first, then begin.")
            return
        self.action_confirm()

    def action_earlier(self) -> None:
        """Confirm with the time it really happened, in minutes ago."""
        # What was asked about is logged, whatever the plan asks for by the time it is answered.
        press = self.press_of(self.active)
        self.ask_minutes_ago(lambda at: self.confirm_at(press, at))

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

    def action_skip(self) -> None:
        """Leave the chosen empty mold alone for half an hour."""
        if self.chosen is None:
            self.say("Choose an empty mold by its number first, then skip it.")
            return
        if self.session.floor.casting_in(self.chosen) is not None:
            self.say("That mold holds a casting: its clock cannot be skipped. Pause it instead.")
            return
        until = self.session.now + dt.timedelta(seconds=SKIP_SECONDS)
        self.log_event("Skipped for half an hour.", e.MoldRested(mold=self.chosen, until=until))

    def action_lose_batch(self) -> None:
        """Say that the batch in hand set or was thrown away."""
        task = self.session.floor.in_hand(self.active)
        if task is None or task.batch is None:
            self.say("There is no batch in hand.")
            return
        self.log_event(f"Batch {task.batch} lost.", e.BatchLost(batch=task.batch))

    def action_note(self) -> None:
        """Write a note on the chosen mold or casting."""
        mold = self.chosen
        self.ask_note(self.session.floor.casting_in(mold) if mold else None, mold)

    def action_mold_service(self) -> None:
        """Take the chosen mold out of service, or put it back."""
        if self.chosen is None:
            self.say("Choose a mold by its number first.")
        elif self.chosen not in self.session.shop.molds:
            self.say("That mold is no longer the shop's; there is nothing to take out.")
        elif mold_in_service(self.session.shop, self.session.floor, self.chosen):
            self._ask_why_out(self.chosen)
        else:
            self.log_event("Mold back in service.", e.MoldPutBack(mold=self.chosen))

    def _ask_why_out(self, mold: str) -> None:
        """Ask why a mold is taken out, the likelier answer first, and log it."""
        shop, floor = self.session.shop, self.session.floor
        known = shop.molds[mold]
        choices = [("other", "For another reason, such as mending"), ("worn out", "Worn out")]
        if known.retire_at is not None and pulls_of(shop, floor, mold) >= known.retire_at:
            choices.reverse()

        def taken(cause: str | None) -> None:
            if cause is not None:
                worn = ", worn out" if cause == "worn out" else ""
                event = e.MoldTakenOut.model_validate({"mold": mold, "cause": cause})
                self.log_event(f"Mold taken out of service{worn}.", event)

        question = f"Why is mold {known.number} taken out? It counts for how long molds last."
        self.app.push_screen(AskChoice(question, choices), taken)

    def action_care(self) -> None:
        """Log that the chosen mold had its care."""
        mold = self.session.shop.molds.get(self.chosen or "")
        if self.chosen is None or mold is None:
            self.say("Choose a mold by its number first.")
            return
        again = f"; due again after {mold.care_every} pulls" if mold.care_every else ""
        said = f"Care of mold {mold.number} logged{again}."
        self.log_event(said, e.MoldCaredFor(mold=self.chosen))

    def action_away(self) -> None:
        """Say that the active person has gone, or is back."""
        name = self.session.shop.people[self.active].name
        if self.active in self.session.floor.away:
            self.log_event(f"{name} is back.", e.PersonBack(who=self.active))
        else:
            self.log_event(f"{name} is away.", e.PersonLeft(who=self.active))
