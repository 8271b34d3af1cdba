"""The ticket screen: one addition at a time, as large as fits, and one key for each."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar
from zoneinfo import ZoneInfo

from rich.text import Text
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widgets import Static

from floorboard.screens.actions import bindings
from floorboard.screens.call_over import CallOver
from floorboard.screens.confirm_gate import LOOK_FIRST
from floorboard.screens.fit import fit
from floorboard.screens.floor_screen.floor_keys import FloorKeys
from floorboard.screens.key_bar import KeyBar, KeyItem, items_of
from floorboard.screens.ticket_screen import ticket_drawing as drawing
from floorboard.screens.ticket_screen.drawn import Drawn
from floorboard.screens.ticket_screen.live_scale import LiveScale
from floorboard.screens.ticket_screen.ticket_keys import TicketKeys
from floorboard.screens.ticket_screen.ticket_view import in_units_of, ticket_view
from floorboard.screens.ticket_screen.typed_weight import typed_weight
from floorboard.usecases.batch_ticket import in_shop_units, room_celsius
from floorboard.usecases.mix_desk import MixDesk

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.binding import BindingType

    from floorboard.screens.ticket_screen.ticket_model import TicketView
    from floorboard.usecases.session import Session

# Wider than this, the working time left has a place of its own beside the headline.
CLOCK_FROM_WIDTH = 76

# What the bar at the foot offers at each stage, the most used first.
KEYS_AT: dict[str, tuple[str, ...]] = {
    "nothing": ("temperature", "change_person", "leave"),
    "choose": (
        *("confirm", "toggle_layer", "percent", "temperature", "leave", "print_ticket"),
        *("minutes", "other_mix", "pour_earlier", "tare", "cautions", "change_person"),
    ),
    "weigh": (
        "confirm",
        "type_weight",
        "strike",
        "lot_empty",
        "leave",
        "print_ticket",
        "cautions",
        "lose_batch",
    ),
    "check": ("confirm", "keep", "type_weight", "leave", "cautions"),
    "stir": ("confirm", "strike", "leave", "cautions", "lose_batch"),
    "pour": ("confirm", "strike", "leave", "cautions", "lose_batch"),
}
KEPT = ("confirm",)
STRIKE = "Strike the last entry keyed at this station"
ADD = "Add the layer to the batch, or leave it out"
PERSON = "Change whose desk it is"
LEAVE = "Let go of what was typed, or go back to the floor"


class TicketScreen(TicketKeys):
    """What to weigh, stir and pour now."""

    CSS_PATH = "ticket.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(bound for bound in bindings("floor") if bound.id in KEPT),
        Binding("minus", "strike", "Strike", id="strike", key_display="-", tooltip=STRIKE),
        Binding("backspace", "rub_out", "Rub out", tooltip="Take back the last digit typed"),
        Binding("w", "type_weight", "Weight", tooltip="Type the weight; digits alone do too"),
        Binding("r", "put_right", "Put right", tooltip="Take the correction for what is over"),
        Binding("k", "keep", "Keep", tooltip="Take the weight and leave the batch as it is"),
        Binding("down", "next_row", "Down", tooltip="Go down the layers that may share it"),
        Binding("up", "previous_row", "Up", tooltip="Go up the layers that may share it"),
        Binding("plus", "toggle_layer", "Add", key_display="+", tooltip=ADD),
        Binding("u", "pour_earlier", "Earlier", tooltip="Pour it before the one above it"),
        Binding("g", "other_mix", "Mix", tooltip="Make a batch of another mix"),
        Binding("e", "percent", "Per cent", tooltip="Change a percentage for this batch"),
        Binding("i", "minutes", "Minutes", tooltip="Take the percentage for a working time"),
        Binding("b", "tare", "Bucket", tooltip="Say what the scale shows with the empty bucket"),
        Binding("d", "temperature", "Degrees", tooltip="Enter today's temperature of the room"),
        Binding("n", "lot_empty", "Lot empty", tooltip="The lot in use is empty; the next follows"),
        Binding("c", "cautions", "Cautions", tooltip="What to mind with this mix, in full"),
        Binding("p", "print_ticket", "Print", tooltip="Write the ticket as a page to print"),
        Binding("x", "lose_batch", "Batch lost", tooltip="Say that the batch set or was lost"),
        Binding("asterisk", "change_person", "Person", key_display="*", tooltip=PERSON),
        Binding("escape,m", "leave", "Floor", key_display="Esc", tooltip=LEAVE),
    ]
    HORIZONTAL_BREAKPOINTS = [(0, "narrow"), (CLOCK_FROM_WIDTH, "middling"), (110, "wide")]
    VERTICAL_BREAKPOINTS = [(0, "small"), (24, "medium"), (36, "large"), (54, "huge")]
    AUTO_FOCUS = ""

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.session = session
        self.ascii_only = ascii_only
        self.desk = MixDesk(session, next(iter(session.shop.people)))
        self.typed = ""
        self.live = LiveScale(None)
        self._zone = ZoneInfo(session.shop.shop.zone)

    def compose(self) -> ComposeResult:
        """Lay out the screen from top to bottom in the order the eye needs it."""
        yield CallOver(self.session, ascii_only=self.ascii_only)
        yield Static("", id="top")
        with Horizontal(id="upper"):
            yield Drawn(id="headline")
            yield Drawn(id="clock")
        with Horizontal(id="lower"):
            yield Drawn(id="additions")
            yield Drawn(id="side")
        yield Static("", id="said")
        yield KeyBar(self._keys(), tall=self.app.is_web)

    def on_mount(self) -> None:
        """Take over person and mold from the floor, then show the ticket every second."""
        floor = next((x for x in self.app.screen_stack if isinstance(x, FloorKeys)), None)
        if floor is not None:
            self.desk = MixDesk(self.session, floor.active, floor.chosen)
        settings = getattr(self.app, "settings", None)
        if settings is not None and settings.scale is not None:
            self.live = LiveScale(settings.scale)
            self.listen_to_scale()
        self.show_ticket()
        self.set_interval(1.0, self.tick)

    def on_unmount(self) -> None:
        """Let go of the scale."""
        self.live.close()

    def on_resize(self) -> None:
        """Draw for the new size."""
        self.call_after_refresh(self.show_ticket)

    def tick(self) -> None:
        """Show the new second; take in what other stations logged."""
        if self.session.refresh():
            self.app.post_message(FloorKeys.FloorChanged())
        self.show_ticket()

    def show_ticket(self) -> None:
        """Draw everything as it stands now."""
        if not self.is_mounted:
            return
        self.desk.keep_up()
        view = in_units_of(self.session.shop, ticket_view(self.desk, self.session.now))
        if self.must_look() and view.enter:
            view = replace(view, enter=LOOK_FIRST)
        live = self.live_words()
        clock = self.size.width >= CLOCK_FROM_WIDTH
        ascii_only = self.ascii_only
        self._show(
            "headline",
            (view, live),
            lambda w, h, p: drawing.headline_lines(view, live, w, h, p, ascii_only),
        )
        self._show("clock", view, lambda w, h, p: drawing.clock_lines(view, w, h, p, ascii_only))
        self._show(
            "additions",
            view.additions,
            lambda w, h, p: drawing.addition_lines(view.additions, w, h, p, ascii_only),
        )
        self._show(
            "side",
            (view, clock),
            lambda w, h, p: drawing.side_lines(view, w, h, p, ascii_only, clock),
        )
        self.query_one("#clock").display = clock
        self.query_one(KeyBar).show(self._keys())
        self._show_top(view)
        self._show_said()

    def _show(self, part: str, shows: object, draw: drawing.Draw) -> None:
        # The palette is part of what shows: changing it draws everything again.
        self.query_one(f"#{part}", Drawn).show((shows, self.app.theme), draw)

    def _show_top(self, view: TicketView) -> None:
        width = self.size.width - 2
        now = self.session.now.astimezone(self._zone)
        celsius = room_celsius(self.session.floor)
        room = "" if celsius is None else f"  {celsius:.3g} C"
        right = f" {view.person}{room}  {now:%H:%M:%S}"
        text = fit(f"Ticket: {view.title}", max(10, width - len(right))) + right
        self.query_one("#top", Static).update(Text(text, style="bold", no_wrap=True))

    def _show_said(self) -> None:
        text = Text(no_wrap=True, overflow="ellipsis")
        if self.typed:
            text.append(f"{self.typed}_ ", style="bold")
            in_hand = self.desk.in_hand
            read = (
                None
                if in_hand is None
                else typed_weight(self.session.shop, in_hand.making, self.typed)
            )
            text.append(f" {read.words}; Enter takes it" if read is not None else " no weight")
        else:
            text.append(self.last_said)
        self.query_one("#said", Static).update(text)

    def layer_at(self, line: int) -> int | None:
        """Return which of the listed layers stands on a line of the side."""
        side = self.query_one("#side", Drawn)
        each = drawing.lines_a_layer(side.content_size.width)
        view = ticket_view(self.desk, self.session.now)
        shown = drawing.layers_shown(view, *side.content_size, self.size.width >= CLOCK_FROM_WIDTH)
        place = drawing.first_layer(view, shown) + line // each
        return place if line // each < shown and place < len(view.layers) else None

    def _keys(self) -> list[KeyItem]:
        """Return the keys that do something now."""
        names = KEYS_AT[self.desk.stage]
        if self.desk.anything_off and self.desk.stage != "check":
            names = (names[0], "put_right", *names[1:])
        return items_of(self, names)

    def say(self, message: str) -> None:
        """Say what was done, or why it was not."""
        self.last_said = in_shop_units(self.session.shop, message)
        self._show_said()
