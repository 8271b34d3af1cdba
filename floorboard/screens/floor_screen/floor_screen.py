"""The floor screen: who does what next, every mold, the last entries."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar
from zoneinfo import ZoneInfo

from rich.text import Text
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from floorboard.floor.standing import castings_after_mold
from floorboard.screens.actions import bindings
from floorboard.screens.call_bar import CallBar
from floorboard.screens.call_desk import CallDesk
from floorboard.screens.confirm_gate import LOOK_FIRST
from floorboard.screens.countdown import clock_line
from floorboard.screens.digits import DigitReader
from floorboard.screens.fit import fit
from floorboard.screens.floor_screen.board import Board
from floorboard.screens.floor_screen.floor_keys import FloorKeys
from floorboard.screens.floor_screen.floor_layout import FloorLayout
from floorboard.screens.floor_screen.floor_view import mold_rows
from floorboard.screens.floor_screen.log_pane import LogPane
from floorboard.screens.floor_screen.next_view import PanelFacts, panel_facts
from floorboard.screens.floor_screen.person_panel import PersonPanel
from floorboard.screens.floor_screen.top_line import TopLine, TopLineView
from floorboard.screens.key_bar import KeyBar, floor_items
from floorboard.screens.warning_words import length_words
from floorboard.usecases.changes import last_to_strike
from floorboard.usecases.entry_words import event_words

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.binding import BindingType

    from floorboard.floor.events import Entry
    from floorboard.screens.calls import Call
    from floorboard.screens.floor_screen.wall_parts import WallHands
    from floorboard.usecases.presses import Press
    from floorboard.usecases.session import Session

LOG_LINES = 24
WALL_LOG_LINES = 60


class FloorScreen(FloorLayout, FloorKeys):
    """The board of the whole shop."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("floor")]
    AUTO_FOCUS = "#board"
    digits_choose = True

    def __init__(
        self, session: Session, *, ascii_only: bool = False, tall_keys: bool = False
    ) -> None:
        super().__init__()
        self.tall_keys = tall_keys
        self.session = session
        self.ascii_only = ascii_only
        self.active = next(iter(session.shop.people))
        self.chosen: str | None = None
        self._digits = DigitReader()
        # What the panels show holds for one shop, floor, plan and choice.
        self._facts_of: tuple[object, ...] | None = None
        self._facts: dict[str, PanelFacts] = {}
        self._log_seq = -1
        self._log_read = False
        self._zone = ZoneInfo(session.shop.shop.zone)
        self._shop_shown = session.shop
        self._top = TopLine(id="top")
        self._call = CallBar(id="call", ascii_only=ascii_only)
        self._panels = [PersonPanel(p, ascii_only=ascii_only) for p in session.shop.people]
        self._board = Board(id="board", ascii_only=ascii_only)
        self._log = LogPane(id="foot")
        # On a wall screen the log stands beside the molds, the hands beneath them.
        self._wall_log: LogPane | None = None
        self._hands: WallHands | None = None
        self._status = Static("", id="status")

    def compose(self) -> ComposeResult:
        """Lay out the screen from top to bottom in the order the eye needs it."""
        yield self._top
        yield self._call
        with Horizontal(id="panels"):
            yield from self._panels
        with Horizontal(id="middle"), Vertical(id="left"):
            yield self._board
        yield self._log
        yield self._status
        yield KeyBar(floor_items(), tall=self.tall_keys)

    def on_resize(self) -> None:
        """Show as many panels as there is room for."""
        self.show_floor()

    def show_floor(self) -> None:
        """Draw everything as it stands now."""
        if not self.laid_out or not self.size:
            return
        self._follow_shop()
        session, now = self.session, self.session.now
        rows = mold_rows(session.shop, session.floor, session.plan, now)
        self._show_panels()
        self._lay_out(len(rows))
        self._board.show(rows, self.chosen)
        self._show_top()
        if self._log_read:
            self._show_log()
        else:
            # The molds are painted before the log is read.
            self.call_after_refresh(self._read_log)
        self._show_status()

    def _lay_out(self, molds: int) -> None:
        """Give panels, molds and log the lines they have; on a wall screen show more besides."""
        full = [panel.lines_wanted for panel in self._panels if panel.display]
        wall = self.share_out(molds, max(full, default=0), tall_keys=self.tall_keys)
        if wall and self._hands is None and self._board.is_attached:
            self._add_wall_parts()
        if self._hands is not None:
            self._hands.display = wall
            self._hands.show()

    def _add_wall_parts(self) -> None:
        from floorboard.screens.floor_screen.wall_parts import WallHands

        self._hands = WallHands(self.session, ascii_only=self.ascii_only)
        self._wall_log = LogPane(id="wall-log")
        self.query_one("#left").mount(self._hands)
        self.query_one("#middle").mount(self._wall_log)
        self._log_seq = -1

    def _read_log(self) -> None:
        if not self._log_read:
            self._log_read = True
            self.show_floor()

    def _follow_shop(self) -> None:
        """Take in a shop that was set up anew, here or at another station."""
        shop = self.session.shop
        if shop is self._shop_shown:
            return
        self._shop_shown = shop
        self._zone = ZoneInfo(shop.shop.zone)
        self._log_seq = -1
        if self.active not in shop.people:
            self.active = next(iter(shop.people))
        if self.chosen not in shop.molds:
            self.chosen = None
        if [panel.person for panel in self._panels] != list(shop.people):
            self._panels = [PersonPanel(p, ascii_only=self.ascii_only) for p in shop.people]
            holder = self.query_one("#panels")
            holder.remove_children()
            holder.mount_all(self._panels)

    def molds_in_order(self) -> list[str]:
        """Return the molds as the board lists them."""
        return [row.mold for row in self._board.rows]

    def _show_panels(self) -> None:
        session, now = self.session, self.session.now
        most = self.panels_there_is_room_for()
        basis = (session.shop, session.floor, session.plan, self.active, self.chosen)
        if self._facts_of is None or any(
            old is not new for old, new in zip(self._facts_of, basis, strict=True)
        ):
            self._facts_of, self._facts = basis, {}
        shown = self._people_shown(most)
        for panel in self._panels:
            person = panel.person
            if panel.display != (person in shown):
                panel.display = person in shown
            if person in shown:
                facts = self._facts_for(person).at(now)
                active = person == self.active
                if active and self.must_look(facts.press):
                    facts = replace(facts, key=LOOK_FIRST)
                panel.show(facts, active)

    def _facts_for(self, person: str) -> PanelFacts:
        facts = self._facts.get(person)
        if facts is None:
            session, press = self.session, self.press_of(person)
            chosen = person == self.active and self.chosen is not None
            facts = panel_facts(
                session.shop, session.floor, session.plan, person, press, chosen=chosen
            )
            self._facts[person] = facts
        return facts

    def _people_shown(self, most: int) -> list[str]:
        """Return the people with a panel: the active one, then those with work, in the shop's order."""
        people = list(self.session.shop.people)
        busy = [p for p in people if p != self.active and self.session.plan.for_person(p)]
        idle = [p for p in people if p != self.active and p not in busy]
        return [self.active, *busy, *idle][:most]

    def press_of(self, person: str) -> Press | None:
        """Return what confirm does for a person; the chosen mold goes before the plan."""
        if person == self.active and self.chosen is not None:
            return self.session.press_for_mold(self.chosen, person)
        return self.session.press_for(person)

    def _show_log(self) -> None:
        session = self.session
        if session.floor.last_seq == self._log_seq:
            return
        self._log_seq = session.floor.last_seq
        latest = session.store.latest(LOG_LINES if self._wall_log is None else WALL_LOG_LINES)
        for pane in (self._log, self._wall_log):
            if pane is not None:
                pane.show(latest, session.shop, session.castings, self._zone, self._entry)
        last = last_to_strike(session.store, session.station)
        self._strikes = (
            event_words(last.event, session.shop, session.castings) if last is not None else ""
        )

    def _entry(self, seq: int) -> Entry | None:
        found = self.session.store.latest(1, before=seq + 1)
        return found[0] if found and found[0].seq == seq else None

    def _show_top(self) -> None:
        session = self.session
        now = session.now.astimezone(self._zone)
        clock = clock_line(session.now, self._zone)
        call = self.current_call()
        top = self._top
        self._call.show(call, session.now, f"{now:%H:%M:%S %Z}")
        if top.display != (call is None):
            top.display = call is None
        top.show(
            TopLineView(
                shop=session.shop.shop.name,
                clock=clock,
                counts=self._counts(),
                warning=self.app_warning(),
            )
        )

    def _counts(self) -> tuple[str, ...]:
        """Return the day's counts and the plan's age, in phrases, the most wanted first."""
        session = self.session
        after_mold = len(castings_after_mold(session.floor))
        age = max(0.0, (session.now - session.plan.made_at).total_seconds())
        plan = f"plan {length_words(age)} old" if session.plan.tasks else "no plan yet"
        counts = getattr(self.app, "counts", None)
        if counts is None:
            return (plan,)
        return (*counts.phrases(), f"{after_mold} after the mold", plan)

    def current_call(self) -> Call | None:
        """Return what the board calls for, if anything."""
        desk = getattr(self.app, "desk", None)
        return desk.call if isinstance(desk, CallDesk) else None

    def app_warning(self) -> str:
        """Return what is wrong with the clock, the plan or the database, if anything is."""
        return str(getattr(self.app, "warning_text", ""))

    def _show_status(self) -> None:
        said = ""
        if self._digits.going_on(time.monotonic()) and not self.last_said:
            said = f"mold {self._digits.text}_  "
        elif self.last_said:
            said = f"{self.last_said}  "
        elif self.session.stock_warning:
            said = f"! {self.session.stock_warning}  "
        width = max(1, self._status.content_size.width or self.size.width - 2)
        strikes = f"[-] would strike: {self._strikes}" if self._strikes else ""
        shown = fit(said + strikes, width)
        if shown != self._status_shown:
            self._status_shown = shown
            parts = Text(no_wrap=True)
            parts.append(shown[: len(said)], style="bold")
            parts.append(shown[len(said) :])
            self._status.update(parts, layout=False)

    _status_shown = ""
    _strikes = ""

    def say(self, message: str) -> None:
        """Say what was done, or why it was not. The next digit begins a new mold number."""
        self.last_said = message
        self._digits.forget()
        self._show_status()

    def on_person_panel_tapped(self, event: PersonPanel.Tapped) -> None:
        """A tap on the active panel confirms; on another it changes the person."""
        if event.was_active:
            self.action_confirm()
        else:
            self.active = event.person
            self.show_floor()

    def on_board_mold_chosen(self, event: Board.MoldChosen) -> None:
        """Choose a mold, or let it go by choosing it again."""
        self.choose(None if self.chosen == event.mold else event.mold)

    def choose(self, mold: str | None) -> None:
        """Choose a mold for the keys that follow."""
        self.chosen = mold
        if mold is not None:
            self._board.show_row_of(mold)
        self.show_floor()

    def type_digit(self, digit: str) -> None:
        """Choose a mold by its number, typed digit by digit."""
        number = self._digits.typed(digit, time.monotonic())
        mold = self.session.mold_numbered(number)
        # What is chosen by the first digit of a number that is none must not stay chosen.
        self.last_said = "" if mold is not None else f"There is no mold {number}."
        self.choose(mold)
