"""The tally as a screen: step through days, take longer ranges, save a report."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar
from zoneinfo import ZoneInfo

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from floorboard.screens.call_over import CallOver
from floorboard.screens.dialogs import AskChoice, AskValue
from floorboard.screens.key_bar import KeyBar, items_of
from floorboard.screens.sheet import Sheet
from floorboard.screens.tally_screen.tally_view import tally_sheet
from floorboard.screens.tally_screen.tally_work import TallyWork
from floorboard.screens.tally_screen.which_days import (
    WhichDays,
    days_of,
    read_date,
    today,
)

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from floorboard.records.tally_model import Tally
    from floorboard.screens.tally_screen.which_days import Kind
    from floorboard.usecases.session import Session

# The counts shown follow the log so soon, unless they are of so many days that it takes long.
FOLLOW_SECONDS = 3.0
FOLLOW_DAYS = 8
BAR_CELLS = 12


class TallyScreen(TallyWork):
    """The counts of a stretch of time."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,full_stop,t", "leave", "Back", key_display="Esc"),
        Binding("minus,left", "step_days(-1)", "Before", key_display="-"),
        Binding("plus,right", "step_days(1)", "After", key_display="+"),
        Binding("0", "take('today')", "Today"),
        Binding("1", "take('day')", "Day", show=False),
        Binding("2", "take('week')", "Week"),
        Binding("3", "take('month')", "Month"),
        Binding("4", "take('year')", "Year"),
        Binding("5", "take('shift')", "Shift"),
        Binding("6", "order", "Order"),
        Binding("7", "range", "From-to"),
        Binding("w", "save", "Save report"),
        Binding("x", "stop", "Stop"),
    ]
    CSS = """
    TallyScreen { background: $background; }
    TallyScreen #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    TallyScreen #sheet { height: 1fr; padding: 0 1; }
    TallyScreen #said { height: auto; min-height: 1; max-height: 4; background: $panel; padding: 0 1; }
    """
    AUTO_FOCUS = "#sheet"

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.session = session
        self._ascii = ascii_only
        self.which = days_of("day", today(session.shop, session.now))
        self.tally: Tally | None = None
        self._shown: tuple[WhichDays, int] | None = None

    def compose(self) -> ComposeResult:
        """Lay out the title, the sheet and the line that says what goes on."""
        yield CallOver(self.session, ascii_only=self._ascii)
        yield Static("Tally", id="title")
        yield Sheet(id="sheet")
        yield Static("", id="said")
        steps = ("leave", "step_days(-1)", "step_days(1)", "take('today')", "save")
        longer = ("take('week')", "take('month')", "take('year')", "stop", "take('shift')")
        keys = (*steps, *longer, "order", "range", "take('day')")
        yield KeyBar(items_of(self, keys), tall=self.app.is_web)

    def on_mount(self) -> None:
        """Take today's tally, and again when the log has grown."""
        self.ask(self.which)
        self.set_interval(FOLLOW_SECONDS, self.follow)

    def on_resize(self) -> None:
        """Lay the sheet out for the new width."""
        self.show_sheet()

    # --- what comes of it ------------------------------------------------------------------------

    def on_tally_work_went(self, event: TallyWork.Went) -> None:
        """Say how far it is."""
        if self.taking:
            done, parts = event.progress.part, event.progress.parts
            full = round(done / parts * BAR_CELLS)
            filled, empty = ("#", ".") if self._ascii else ("█", "░")
            bar = filled * full + empty * (BAR_CELLS - full)
            self.say(f"{bar} {event.progress.words}, {done} of {parts}. X stops.")

    def on_tally_work_taken(self, event: TallyWork.Taken) -> None:
        """Show it, unless something else was asked for meanwhile."""
        if event.which != self.which:
            return
        new = self._shown is None or self._shown[0] != event.which
        self.tally = event.tally
        self._shown = event.which, event.seq
        self.show_sheet()
        if new:
            self.query_one(Sheet).scroll_home(animate=False)
        self.say("" if new else "Counted anew.")

    def on_screen_work_refused(self, event: TallyWork.Refused) -> None:
        """Say why there is none."""
        self.say(event.words)

    def follow(self) -> None:
        """Take the tally again if the log has grown since, and it does not take long."""
        if self._shown is None or self.taking:
            return
        which, seq = self._shown
        short = which.kind != "order" and (which.last - which.first).days < FOLLOW_DAYS
        if which == self.which and short and seq != self.session.floor.last_seq:
            self.ask(which)

    def show_sheet(self) -> None:
        """Lay out the tally for the width there is."""
        tally = self.tally
        if tally is None:
            return
        zone = ZoneInfo(tally.zone)
        title = f"Tally: {tally.title}"
        if tally.start <= tally.as_of < tally.end:
            title += f", as of {tally.as_of.astimezone(zone):%H:%M}"
        self.query_one("#title", Static).update(Content(title))
        sheet = self.query_one(Sheet)
        sheet.show(tally_sheet(tally, sheet.width, self.session.shop.shop.units))

    # --- keys ------------------------------------------------------------------------------------

    def action_step_days(self, by: int) -> None:
        """Go to the days before or after."""
        if not self.which.steps:
            self.say("Only days, weeks, months and years have a before and an after. 0 is today.")
            return
        there = self.which.stepped(by)
        if by > 0 and there.first > today(self.session.shop, self.session.now):
            self.say("That is still to come.")
            return
        self.ask(there)

    def action_take(self, kind: Kind | str) -> None:
        """Take the day, week, month or year that the days shown end in; or today; or the shift."""
        now = today(self.session.shop, self.session.now)
        if kind == "today":
            self.ask(days_of("day", now))
        elif kind == "shift":
            self.ask(WhichDays("shift", now, now))
        else:
            last = min(self.which.last, now)
            self.ask(days_of(kind, last))  # type: ignore[arg-type]

    def action_order(self) -> None:
        """Take an order's tally."""
        orders = self.session.shop.orders
        if not orders:
            self.say("The shop has no orders. Add one in the set-up.")
            return
        choices = [(key, f"{order.name or key}, {order.due}") for key, order in orders.items()]

        def taken(order: str | None) -> None:
            if order is not None:
                now = today(self.session.shop, self.session.now)
                self.ask(WhichDays("order", now, now, order))

        self.app.push_screen(AskChoice("The castings begun for which order?", choices), taken)

    def action_range(self) -> None:
        """Ask for a first and a last day."""

        def first_typed(text: str | None) -> None:
            if text is None:
                return
            first = read_date(text)

            def last_problem(value: str) -> str | None:
                problem = date_problem(value)
                if problem is None and read_date(value) < first:
                    problem = f"That is before {first}; type the last day, not the first."
                return problem

            def last_typed(value: str | None) -> None:
                if value is not None:
                    self.ask(WhichDays("days", first, read_date(value)))

            ask = AskValue("To which day?", placeholder=str(first), check=last_problem)
            self.app.push_screen(ask, last_typed)

        ask = AskValue(
            "From which day?", placeholder=str(self.which.first), check=date_problem, longest=30
        )
        self.app.push_screen(ask, first_typed)

    def action_stop(self) -> None:
        """Stop the tally being taken; what is shown stays."""
        if not self.taking or self._worker is None:
            self.say("No tally is being taken.")
            return
        self._worker.cancel()
        if self._shown is not None:
            self.which = self._shown[0]
        self.say("Stopped. What is shown is what was counted before.")

    def action_save(self) -> None:
        """Ask for a kind of report and write it."""
        tally, reports = self.tally, self.session.reports
        if tally is None:
            self.say("There is no tally to save yet.")
            return
        if reports is None:
            self.say("This board cannot write files. Use: floorboard tally --csv")
            return

        def taken(kind: str | None) -> None:
            if kind is not None:
                self.save_as(kind, tally)

        self.app.push_screen(AskChoice("Save the report as what?", reports.kinds()), taken)

    def on_tally_work_saved(self, event: TallyWork.Saved) -> None:
        """Say where it was written."""
        self.say(f"Written to {event.path}")

    def say(self, message: str) -> None:
        """Say what goes on, what was done or why not."""
        self.last_said = message
        self.query_one("#said", Static).update(Content(message))

    def action_leave(self) -> None:
        """Go back to the floor."""
        self.dismiss()


def date_problem(value: str) -> str | None:
    """Return what is wrong with a typed date, if anything is."""
    try:
        read_date(value)
    except ValueError as problem:
        return str(problem)
    return None
