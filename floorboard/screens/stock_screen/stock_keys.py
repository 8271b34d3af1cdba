"""What the keys of the stock screen do: each asks what it needs, then logs or shows."""

from __future__ import annotations

import datetime as dt
from abc import abstractmethod
from typing import TYPE_CHECKING

from textual.screen import Screen

from floorboard.floor.event_fields import countable
from floorboard.screens.dialogs import AskChoice, AskValue
from floorboard.screens.floor_screen.floor_keys import FloorKeys
from floorboard.screens.lines_dialog import ShowLines
from floorboard.shop.calendar import shop_day
from floorboard.shop.errors import FloorboardError
from floorboard.shop.quantities import Mass
from floorboard.shop.units import show_grams
from floorboard.usecases import stock_changes
from floorboard.usecases.cost_text import casting_text as cost_of_casting
from floorboard.usecases.costs import CostBook
from floorboard.usecases.entry_words import entry_words
from floorboard.usecases.trace_text import casting_text, lot_text
from floorboard.usecases.traces import trace_casting, trace_lot

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.floor.events import AnyEvent
    from floorboard.usecases.session import Session


class StockKeys(Screen[None]):
    """A screen with the stock's keys: one method an action."""

    session: Session
    with_empty: bool

    @property
    @abstractmethod
    def material(self) -> str | None:
        """The material gone to."""

    @property
    @abstractmethod
    def lot(self) -> str | None:
        """The lot gone to."""

    @abstractmethod
    def say(self, message: str) -> None:
        """Say what was done, or why it was not."""

    @abstractmethod
    def show_stock(self) -> None:
        """Draw everything as it stands now."""

    def action_receive(self) -> None:
        """Take in a lot: which material, its name, weight, date and cost."""
        shop = self.session.shop
        first = self.material
        order = sorted(shop.materials, key=lambda key: key != first)
        choices = [(key, shop.materials[key].name) for key in order]

        def material_taken(material: str | None) -> None:
            if material is not None:
                self._ask(
                    "What is on the lot's label?",
                    lambda lot: self._ask_weight(
                        f"How much of lot {lot} came in?",
                        lambda grams: self._ask_date(material, lot, grams),
                    ),
                    placeholder="P-2611",
                )

        self.app.push_screen(AskChoice("A lot of which material?", choices), material_taken)

    def _ask_date(self, material: str, lot: str, grams: float) -> None:
        def taken(date: str) -> None:
            self._ask(
                "What did the whole lot cost? Empty if it does not matter.",
                lambda cost: self._receive(material, lot, grams, date, cost),
                placeholder="38.50",
                check=_cost_problem,
            )

        self._ask(
            "The supplier's date? Empty for the material's shelf life.",
            taken,
            placeholder="2026-09-30",
            check=_date_problem,
        )

    def _receive(self, material: str, lot: str, grams: float, date: str, cost: str) -> None:
        self.attempt(
            lambda: stock_changes.receive(
                self.session.shop,
                material,
                lot,
                grams,
                expires=dt.date.fromisoformat(date.strip()) if date.strip() else None,
                cost=float(cost) if cost.strip() else None,
            )
        )

    def action_open_lot(self) -> None:
        """Say that the chosen lot was opened."""
        if chosen := self._chosen():
            shop, book = self.session.shop, self.session.book
            self.attempt(lambda: stock_changes.open_lot(shop, book, *chosen))

    def action_count(self) -> None:
        """Say what was found of the chosen lot."""
        if chosen := self._chosen():
            shop, book = self.session.shop, self.session.book
            self._ask_weight(
                f"How much of lot {chosen[1]} is there?",
                lambda grams: self.attempt(lambda: stock_changes.count(shop, book, *chosen, grams)),
            )

    def action_waste(self) -> None:
        """Say that some of the chosen lot was wasted."""
        if chosen := self._chosen():
            material, lot = chosen
            session = self.session
            self._ask_weight(
                f"How much of lot {lot} was wasted?",
                lambda grams: self.attempt(
                    lambda: stock_changes.waste(
                        session.shop, session.book, material, grams, session.now, lot=lot
                    )
                ),
            )

    def action_make_up(self) -> None:
        """Make up a stock solution out of what is in stock."""
        shop = self.session.shop
        solutions = [(k, m.name) for k, m in shop.materials.items() if m.solution is not None]
        if not solutions:
            self.say("The shop has no stock solution; add one to a material in the set-up.")
            return

        def taken(material: str | None) -> None:
            if material is not None:
                self._ask_weight(
                    f"How much {shop.materials[material].name} is made up?",
                    lambda grams: self._make_up(material, grams),
                )

        self.app.push_screen(AskChoice("Which solution is made up?", solutions), taken)

    def _make_up(self, material: str, grams: float) -> None:
        session = self.session
        shop, book, now = session.shop, session.book, session.now
        day = shop_day(now, shop.shop.zone).date

        def verb() -> list[AnyEvent]:
            name = stock_changes.lot_name_for(shop, book, material, day)
            return stock_changes.make_up(shop, book, material, name, grams, now)

        self.attempt(verb)

    def action_trace(self) -> None:
        """Show the castings the chosen lot went into."""
        if chosen := self._chosen():
            material, lot = chosen
            session = self.session
            self.show_lines(
                f"Lot {lot}",
                lambda: [*lot_text(trace_lot(session.store, session.shop, lot, material))],
            )

    def action_trace_casting(self) -> None:
        """Show the lots behind a casting, and what it has cost so far."""
        session = self.session
        serials = sorted(session.floor.castings, reverse=True)

        def lines(serial: str) -> list[str]:
            costs = CostBook(session.store, session.shop, session.book).casting(serial)
            traced = trace_casting(session.store, session.shop, serial)
            return [*casting_text(traced), "", *cost_of_casting(session.shop, costs)]

        self._ask(
            "Which casting? Its serial number.",
            lambda serial: self.show_lines(f"Casting {serial}", lambda: lines(serial.strip())),
            placeholder=serials[0] if serials else "260312-04",
        )

    def action_empty_lots(self) -> None:
        """Show lots that are used up too, or hide them."""
        self.with_empty = not self.with_empty
        self.say("Lots that are used up are shown." if self.with_empty else "Used-up lots hidden.")
        self.show_stock()

    def action_strike(self) -> None:
        """Strike the last entry keyed at this station."""
        try:
            struck = self.session.strike_last(None)
        except FloorboardError as refusal:
            self.say(str(refusal))
            return
        words = "There is nothing left to strike at this station."
        if struck is not None:
            words = entry_words(struck, self.session.shop, self.session.castings)
            words = f"Struck: {words}."
        self._changed(words)

    def action_leave(self) -> None:
        """Go back to the floor."""
        self.dismiss()

    def attempt(self, verb: Callable[[], list[AnyEvent]]) -> None:
        """Log what a verb returns, or say its refusal in its own words."""
        try:
            entries = self.session.log_as_seen(None, *verb())
        except FloorboardError as refusal:
            self.session.refresh()
            self.say(str(refusal))
            return
        words = "; ".join(
            entry_words(entry, self.session.shop, self.session.castings) for entry in entries
        )
        self._changed(f"{words}.")

    def show_lines(self, title: str, lines: Callable[[], list[str]]) -> None:
        """Show lines over the screen, or say why there are none."""
        try:
            found = lines()
        except FloorboardError as refusal:
            self.say(str(refusal))
            return
        self.app.push_screen(ShowLines(title, found))

    def _changed(self, words: str) -> None:
        self.say(words)
        self.show_stock()
        self.app.post_message(FloorKeys.FloorChanged())

    def _chosen(self) -> tuple[str, str] | None:
        material, lot = self.material, self.lot
        if material is None or lot is None:
            self.say("Go to a lot first; R takes one in.")
            return None
        return material, lot

    def _ask(
        self,
        question: str,
        taken: Callable[[str], None],
        *,
        placeholder: str = "",
        check: Callable[[str], str | None] | None = None,
    ) -> None:
        def answered(value: str | None) -> None:
            if value is not None:
                taken(value)

        self.app.push_screen(AskValue(question, placeholder=placeholder, check=check), answered)

    def _ask_weight(self, question: str, taken: Callable[[float], None]) -> None:
        example = show_grams(self.session.shop, 2500)
        self._ask(
            question,
            lambda value: taken(float(Mass.parse(value))),
            placeholder=example,
            check=_mass_problem,
        )


def _mass_problem(value: str) -> str | None:
    try:
        Mass.parse(value)
    except ValueError as error:
        return f"{error}."
    return None


def _date_problem(value: str) -> str | None:
    if not value.strip():
        return None
    try:
        countable(dt.date.fromisoformat(value.strip()))
    except ValueError:
        return f"Found {value!r}; type a date such as 2026-09-30, or nothing."
    return None


def _cost_problem(value: str) -> str | None:
    if not value.strip():
        return None
    try:
        cost = float(value)
    except ValueError:
        cost = -1.0
    return None if 0 <= cost <= 1e9 else f"Found {value!r}; type an amount of money, or nothing."
