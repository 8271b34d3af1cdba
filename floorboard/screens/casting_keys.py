"""What can be asked and logged about one casting, the same on every screen that shows castings."""

from __future__ import annotations

import datetime as dt
from abc import abstractmethod
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from textual.message import Message

from floorboard.floor import events as e
from floorboard.floor.clock import steady_seconds
from floorboard.floor.waits import next_wait
from floorboard.screens.confirm_gate import LOOK_AGAIN_SECONDS
from floorboard.screens.dialogs import AskChoice, AskSeveral, AskValue
from floorboard.screens.gated_keys import GatedKeys
from floorboard.shop.errors import FloorboardError
from floorboard.shop.printable import printable
from floorboard.shop.quantities import Length, Mass
from floorboard.usecases.entry_words import entry_words
from floorboard.usecases.presses import BEGINNINGS

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.floor.casting import Casting
    from floorboard.usecases.presses import Press
    from floorboard.usecases.session import Session

# A quantity is typed in so many words at the most: "1 3/8 in".
QUANTITY_WORDS = 3
LONGEST_POINT = 60
# Where a wall is usually read; any other name is typed.
WALL_POINTS = ("rim", "shoulder", "side", "foot", "base", "back")
# Said at two stations at once these would count twice, or undo each other.
ONCE = (
    e.CastingRejected,
    e.CastingSentBack,
    e.CastingSetAside,
    e.CastingTakenUp,
    e.BatchLost,
    e.MoldTakenOut,
    e.MoldPutBack,
    e.MoldRested,
    e.PersonLeft,
    e.PersonBack,
)


class CastingKeys(GatedKeys):
    """A screen that logs what happened to castings. Each key asks the session; none owns a rule."""

    session: Session
    active: str
    _choice: tuple[object, ...] | None = None
    # Whether what is shown anew follows from what was confirmed here.
    _carries_on = False

    @abstractmethod
    def show_floor(self) -> None:
        """Draw everything as it stands now."""

    @abstractmethod
    def chosen_casting(self) -> Casting | None:
        """Return the casting that is chosen, and say so if there is none."""

    @dataclass
    class FloorChanged(Message, namespace="floor_keys"):
        """The log has new entries: the plan should be drawn up anew."""

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

    def log_event(self, message: str, *events: e.AnyEvent) -> None:
        """Log events of the active person, all or none.

        What is true once only is refused if another station logged about the same meanwhile.
        """
        once = any(isinstance(event, ONCE) for event in events)
        log = self.session.log_as_seen if once else self.session.log

        def verb() -> str:
            log(self.active, *events)
            return message

        self.attempt(verb)

    def choice(self) -> tuple[object, ...]:
        """Return what this hand has chosen; it differs whenever the hand chose anew."""
        return (self.active,)

    def must_look(self, press: Press | None) -> bool:
        """Take in what confirm does now; return whether that has to be looked at first.

        What this hand has chosen, and the next stage of what it has in hand, it knows.
        """
        choice = self.choice()
        chosen = self._choice is not None and choice != self._choice
        self._choice = choice
        goes_on = self._carries_on and press is not None and press.kind not in BEGINNINGS
        # Which order a casting is for is on no screen before it is begun.
        what = replace(press, order=None) if press is not None else None
        before = self.gate.since
        fresh = self.gate.shows(what, steady_seconds(), mine=chosen or goes_on)
        if self.gate.since > before:
            self.set_timer(LOOK_AGAIN_SECONDS, self.show_floor)
        return fresh

    def attempt_confirm(self, verb: Callable[[], str]) -> None:
        """Confirm something that may be refused; its next stage, if that follows, is no news."""

        def confirmed() -> str:
            message = verb()
            self._choice, self._carries_on = self.choice(), True
            return message

        self.attempt(confirmed)
        self._carries_on = False

    # --- the chosen casting ----------------------------------------------------------------------

    def action_reject(self) -> None:
        """Scrap the chosen casting, with its reason."""
        if casting := self.chosen_casting():
            self.ask_reject(casting)

    def action_set_aside(self) -> None:
        """Set the chosen casting aside, or take it up again."""
        if casting := self.chosen_casting():
            self.pause_or_go_on(casting)

    def action_weigh(self) -> None:
        """Log the chosen casting's weight."""
        if casting := self.chosen_casting():
            self.ask_weight(casting)

    def action_wall(self) -> None:
        """Log a caliper reading of the chosen casting."""
        if casting := self.chosen_casting():
            self.ask_wall(casting)

    def reasons(self) -> list[tuple[str, str]]:
        """Return the shop's reasons, as choices."""
        return [(key, reason.name) for key, reason in self.session.shop.reasons.items()]

    def action_strike(self) -> None:
        """Strike the last entry keyed at this station."""

        def verb() -> str:
            struck = self.session.strike_last(self.active)
            if struck is None:
                return "There is nothing left to strike at this station."
            return f"Struck: {entry_words(struck, self.session.shop, self.session.castings)}."

        self.attempt(verb)

    def ask_reject(self, casting: Casting) -> None:
        """Ask why a casting is scrapped, and log it."""
        serial = casting.serial
        layers = casting.layers_applied

        def taken(reason: str | None) -> None:
            if reason is not None:
                layer = layers - 1 if layers and casting.in_mold else None
                event = e.CastingRejected(casting=serial, reason=reason, layer=layer)
                self.log_event(f"Rejected: {serial}.", event)

        self.app.push_screen(AskChoice(f"Why is casting {serial} scrapped?", self.reasons()), taken)

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
                    AskChoice(f"Why is casting {casting.serial} sent back?", self.reasons()),
                    lambda reason: reason_taken(int(step), reason),
                )

        def reason_taken(step: int, reason: str | None) -> None:
            if reason is not None:
                event = e.CastingSentBack(casting=casting.serial, step=step, reason=reason)
                self.log_event(f"Sent back: {casting.serial}.", event)

        self.app.push_screen(AskChoice("Back to which step?", steps), step_taken)

    def ask_inspection(self, casting: Casting) -> None:
        """Ask what was seen in a casting, and of defects the layer they came from; log it."""
        serial = casting.serial
        names = dict(self.reasons())

        def seen(found: list[str] | None) -> None:
            if found is None:
                return
            if not found:
                passed = e.CastingInspected(casting=serial, passed=True)
                steps = step_by_inspection(self.session.floor.castings.get(serial))
                done = "; the inspection on its route is done" if steps else ""
                self.log_event(f"Inspected: {serial} passed{done}.", passed, *steps)
                return
            choices = [("", "Not known"), *layer_choices(casting)]
            self.app.push_screen(
                AskChoice("Which layer did it come from?", choices),
                lambda layer: layer_taken(found, layer),
            )

        def layer_taken(found: list[str], layer: str | None) -> None:
            if layer is None:
                return
            event = e.CastingInspected(
                casting=serial,
                passed=False,
                defects=tuple(found),
                layer=int(layer) if layer else None,
            )
            words = ", ".join(names[reason].lower() for reason in found)
            self.log_event(f"Seen in {serial}: {words}. R scraps it, W sends it back.", event)

        question = f"What is wrong with casting {serial}? Mark all, or none if it passes."
        self.app.push_screen(AskSeveral(question, self.reasons()), seen)

    def ask_weight(self, casting: Casting) -> None:
        """Ask what a casting weighs, and log it."""
        self.ask_quantity(
            f"What does casting {casting.serial} weigh?",
            Mass,
            lambda grams: e.CastingWeighed(casting=casting.serial, grams=grams),
        )

    def ask_wall(self, casting: Casting) -> None:
        """Ask for a caliper reading, with the point it was read at if that has a name; log it."""

        def problem(value: str) -> str | None:
            try:
                read_wall(value)
            except ValueError as error:
                return str(error)
            return None

        def taken(value: str | None) -> None:
            if value is not None:
                point, millimetres = read_wall(value)
                event = e.WallRead(casting=casting.serial, point=point, millimetres=millimetres)
                self.log_event(f"Logged: {value.strip()}.", event)

        question = f"How thick is the wall of casting {casting.serial}? 'rim 9 mm' says where."
        self.app.push_screen(
            AskValue(question, placeholder="9 mm", check=problem, words=WALL_POINTS), taken
        )

    def ask_quantity(
        self, question: str, kind: type[Mass] | type[Length], event: Callable[[float], e.AnyEvent]
    ) -> None:
        """Ask for a quantity with its unit, and log the event made of it."""

        def problem(value: str) -> str | None:
            try:
                event(float(kind.parse(value)))
            except ValueError as error:
                return str(error)
            return None

        def taken(value: str | None) -> None:
            if value is not None:
                self.log_event(f"Logged: {value}.", event(float(kind.parse(value))))

        self.app.push_screen(AskValue(question, placeholder=kind.example, check=problem), taken)

    def ask_minutes_ago(self, confirm: Callable[[dt.datetime], None]) -> None:
        """Ask how many minutes ago something was done, and confirm it as of then."""

        def taken(value: str | None) -> None:
            if value is not None:
                confirm(self.session.now - dt.timedelta(minutes=float(value)))

        question = "How many minutes ago was it done?"
        self.app.push_screen(AskValue(question, placeholder="5", check=minutes_problem), taken)

    def ask_note(self, casting: Casting | None, mold: str | None) -> None:
        """Ask for a note on a casting or a mold, and log it."""

        words = [name for _, name in self.reasons()]

        def taken(value: str | None) -> None:
            if value:
                serial = casting.serial if casting else None
                self.log_event("Noted.", e.Noted(note=value, casting=serial, mold=mold))

        self.app.push_screen(AskValue("Write the note.", check=note_problem, words=words), taken)

    def pause_or_go_on(self, casting: Casting) -> None:
        """Set a casting aside, or take it up again."""
        serial = casting.serial
        if casting.set_aside:
            self.log_event("Taken up again.", e.CastingTakenUp(casting=serial))
        else:
            self.log_event("Set aside; its cures run on.", e.CastingSetAside(casting=serial))


def step_by_inspection(casting: Casting | None) -> tuple[e.StepDone, ...]:
    """Return the step of its route that a casting has done by passing an inspection, if it is next.

    One with a defect has not done it: it is scrapped, sent back or let go on by a key of its own.
    """
    wait = next_wait(casting) if casting is not None and not casting.closed else None
    if casting is None or wait is None or wait.kind != "step":
        return ()
    if casting.build.piece.route[wait.index].kind != "inspect":
        return ()
    return (e.StepDone(castings=(casting.serial,), step=wait.index),)


def layer_choices(casting: Casting) -> list[tuple[str, str]]:
    """Return a casting's layers as choices, the first as "0"."""
    return [
        (str(index), f"Layer {index + 1}" + (f", {layer.name}" if layer.name else ""))
        for index, layer in enumerate(casting.build.piece.layers)
    ]


def read_wall(text: str) -> tuple[str, float]:
    """Return the point's name, "" if none is typed, and the thickness in millimetres.

    Raises
    ------
    ValueError
        In a sentence, with an example.
    """
    words = text.split()
    for count in range(min(QUANTITY_WORDS, len(words)), 0, -1):
        try:
            thickness = float(Length.parse(" ".join(words[-count:])))
        except ValueError:
            continue
        point = " ".join(words[:-count])
        if len(point) > LONGEST_POINT:
            raise ValueError(f"The point's name is too long; use {LONGEST_POINT} letters at most.")
        return printable(point) if point else "", thickness
    raise ValueError(f"Found {text[:60]!r}; type a thickness such as '9 mm' or 'rim 9 mm'.")


def minutes_problem(value: str) -> str | None:
    """Return what is wrong with minutes typed, if anything is."""
    try:
        minutes = float(value)
    except ValueError:
        minutes = -1.0
    if not 0 <= minutes <= 24 * 60:
        return f"Found {value!r}; type a number of minutes from 0 to 1440."
    return None


def note_problem(value: str) -> str | None:
    """Return what is wrong with a note, if anything is."""
    try:
        printable(value)
    except ValueError as error:
        return str(error)
    return None
