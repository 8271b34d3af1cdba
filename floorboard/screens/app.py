"""The Textual app: themes, keys and views, the second's round, and the workers beside the screen."""

from __future__ import annotations

import gc
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.app import SystemCommand

from floorboard.floor.clock import steady_seconds
from floorboard.screens.actions import bindings
from floorboard.screens.board_work import BoardWork
from floorboard.screens.closed_screens import ClosedScreens
from floorboard.screens.endings import install_endings
from floorboard.screens.fault_log import FaultLog
from floorboard.screens.faults import OPENED_AGAIN
from floorboard.screens.first_look import Opening
from floorboard.screens.looks import palette_of
from floorboard.screens.place import is_served, opening_view, remember_view
from floorboard.screens.saying import say
from floorboard.screens.settings import BoardSettings
from floorboard.screens.theme import (
    first_palette,
    own_colours,
    palettes_shown,
    theme_of,
    wants_ascii,
)
from floorboard.screens.views import FAR, FLOOR, VIEWS, screen_of, view_bindings

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from textual.binding import BindingType
    from textual.filter import LineFilter
    from textual.screen import Screen

    from floorboard.screens.bells import Pattern
    from floorboard.screens.call_bar import CallBar
    from floorboard.screens.call_desk import CallDesk
    from floorboard.screens.key_guard import KeyGuard
    from floorboard.screens.machine_watch import MachineWatch
    from floorboard.screens.speaker import Speaker
    from floorboard.usecases.ports import Betterer
    from floorboard.usecases.session import Session


class BoardApp(BoardWork, ClosedScreens):
    """The board, on a session; or on one about to open, whose first look is painted before it."""

    TITLE = "floorboard"
    ENABLE_COMMAND_PALETTE = True
    # The framework reads no style sheet of the screen beneath all others, so the app has it.
    CSS_PATH = Path(__file__).parent / "floor_screen" / "floor.tcss"
    desk: CallDesk
    machine: MachineWatch
    speaker: Speaker
    BINDINGS: ClassVar[list[BindingType]] = [*view_bindings(), *bindings("everywhere")]

    def __init__(
        self,
        session: Session | Opening,
        *,
        ascii_only: bool = False,
        light: bool = False,
        settings: BoardSettings | None = None,
        betterer: Callable[[], Betterer] | None = None,
        faults: FaultLog | None = None,
        fault: str = "",
    ) -> None:
        super().__init__(ansi_color=own_colours())
        self._opening = session if isinstance(session, Opening) else None
        self._paints = False
        self._unpainted = ExitStack()
        # What was typed before there was anything to take it.
        self._typed_ahead: list[events.Event] = []
        self.make_betterer = betterer
        self.faults = faults or FaultLog(None)
        self.fault_text = OPENED_AGAIN if fault else ""
        self._fault_before = fault
        self.settings = settings or BoardSettings()
        self.warning_text = ""
        # Whether fields come with a keypad; somebody may ask for it, or put it away.
        self.taps = is_served()
        self.last_input_at = steady_seconds()
        self.guard: KeyGuard | None = None
        self._light = light
        self._ascii_only = ascii_only or wants_ascii(encoding=sys.stdout.encoding or "ascii")
        self._use_palettes()
        if not isinstance(session, Opening):
            self._take(session)

    def _take(self, session: Session) -> None:
        """Work on a session from here on."""
        # None of this is needed to show a first look.
        from floorboard.screens.call_desk import CallDesk
        from floorboard.screens.machine_watch import MachineWatch
        from floorboard.screens.speaker import Speaker

        self.session = session
        self.machine = MachineWatch()
        # A served board runs beside others on the server, far from who should hear it.
        self.speaker = Speaker(() if is_served() else self.settings.call_command)
        self.desk = CallDesk(session, self.speaker, self.ring)

    def on_mount(self) -> None:
        """Show the floor as soon as there is any of it to see."""
        install_endings(self)
        if self.settings.confirm_key:
            self.set_keymap({"confirm": f"enter,{self.settings.confirm_key}"})
        if self._opening is None:
            self._show_board()
        else:
            self._unpainted.enter_context(self.batch_update())

    def get_default_screen(self) -> Screen[Any]:
        """Return what lies beneath all screens: the first look, if one was had."""
        if self._opening is None or self._opening.look is None:
            return super().get_default_screen()
        from floorboard.screens.floor_screen.opening_screen import OpeningScreen

        look, tall = self._opening.look, is_served()
        return OpeningScreen(look, ascii_only=self._ascii_only, tall_keys=tall)

    def on_ready(self) -> None:
        """Paint now: until here everything is only laid out, and drawn once."""
        if self._opening is not None:
            self._unpainted.close()
            self._paints = True
            self.screen.refresh()
            # Textual 8.2.8 would wait for its next sixtieth of a second.
            self.screen._on_timer_update()  # noqa: SLF001

    def post_display_hook(self) -> None:
        """Once the first look is on the screen, open what is behind it."""
        if self._opening is not None and self._paints and getattr(self.screen, "drawn", False):
            self.call_later(self._open)

    def _open(self) -> None:
        """Open the session that has been waited for, and let in what was typed meanwhile."""
        if self._opening is None:
            return
        self._take(self._opening.open_session())
        self._opening = None
        self._show_board()
        for event in self._typed_ahead:
            self.post_message(event)

    def _show_board(self) -> None:
        """Show the floor, take keys, then plan."""
        from floorboard.screens.floor_screen.floor_screen import FloorScreen
        from floorboard.screens.key_guard import KeyGuard

        if not self.is_headless:
            self.guard = KeyGuard(self)
        self.push_screen(
            FloorScreen(self.session, ascii_only=self._ascii_only, tall_keys=is_served())
        )
        if again := opening_view([view.name for view in VIEWS]):
            self.action_open_view(again)
        if self._fault_before:
            self.notify(self._fault_before, severity="error", markup=False)
        self.call_after_refresh(self._painted)
        self.set_interval(1.0, self.look_round)
        if self.make_betterer is not None:
            self.set_interval(0.5, self.follow_better_plan)

    def _painted(self) -> None:
        """Do what the first frame did not wait for."""
        if not self.is_headless:
            # What is there by now stays: going through it time and again would only hold up keys.
            gc.freeze()
        gc.enable()
        self.draw_up_plan()
        self.warm_betterer()

    def on_unmount(self) -> None:
        """Fall silent, and end the process that looks for better plans."""
        if self.has_session:
            self.speaker.close()
        if self.betterer is not None:
            self.betterer.close()

    # --- every second ----------------------------------------------------------------------------

    def look_round(self) -> None:
        """Take in what other stations logged, call, warn, and show the new second."""
        from floorboard.screens.floor_screen.floor_screen import FloorScreen

        news = self.session.refresh()
        if news or (self.session.plan_is_stale() and not self.planning):
            self.draw_up_plan()
        self.count_day()
        steady = steady_seconds()
        self.desk.look(steady)
        self.warning_text = self._warning()
        self.show_floor()
        after = self.session.shop.shop.far_view_after
        untouched = steady - self.last_input_at
        if after is not None and untouched >= after and isinstance(self.screen, FloorScreen):
            self.action_open_view(FAR)

    def show_floor(self) -> None:
        """Draw what can be seen of the floor: the screen on top and those that show around it."""
        from floorboard.screens.floor_screen.floor_keys import FloorKeys

        for screen in reversed(self.screen_stack):
            if isinstance(screen, FloorKeys):
                screen.show_floor()
            if not screen.is_modal:
                return

    def _warning(self) -> str:
        from floorboard.screens.warning_words import ahead_words, jump_words

        jump = self.machine.look()
        if jump is not None:
            return jump_words(jump, self.session.zone)
        ahead = ahead_words(self.session.floor.last_at, self.session.now)
        return ahead or self.fault_text or self.plan_problem or self.speaker.problem

    def ring(self, pattern: Pattern) -> None:
        """Ring the terminal's bell in a pattern."""
        for stroke in pattern.strokes:
            if stroke:
                self.set_timer(stroke, self.bell)
            else:
                self.bell()

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Draw for a plain console, if the terminal is one."""
        filters = super().get_line_filters()
        if not self._ascii_only:
            return filters
        if self._console is None:
            from floorboard.screens.console_font import ConsoleFont

            self._console = ConsoleFont()
        return [*filters, self._console]

    _ascii_only = False
    _console: LineFilter | None = None

    # --- keys ------------------------------------------------------------------------------------

    async def on_event(self, event: events.Event) -> None:
        """Let through what a hand meant; remember when somebody last touched the board."""
        if isinstance(event, events.InputEvent) and not event.is_forwarded:
            if self._opening is not None:
                self._typed_ahead.append(event)
                return
            if not isinstance(event, events.MouseMove):
                self.last_input_at = steady_seconds()
            guard = self.guard
            if isinstance(event, events.Key) and guard is not None and await guard.takes(event):
                return
        await super().on_event(event)

    async def pass_on(self, event: events.Key) -> None:
        """Carry out a key that was held back."""
        await super().on_event(event)

    def on_paste(self) -> None:
        """A paste is no typing: nothing is done with it outside a field."""
        say(self.screen, "Pasted text is taken only in a field. Nothing was done.")

    def on_label_scanned(self) -> None:
        """A label scanned where none is asked for does nothing."""
        say(self.screen, "Scan a label on the board or in the far view. Nothing was done.")

    def on_call_bar_heard(self, event: CallBar.Heard) -> None:
        """Take a tapped call as heard."""
        event.stop()
        self.action_heard()

    def action_heard(self) -> None:
        """Hush the call shown, and the warning of a clock that was set or a board that stumbled."""
        warned = self.machine.hear() or bool(self.fault_text)
        self.fault_text = ""
        call = self.desk.hear()
        if call is None and not warned:
            say(self.screen, "Nothing is calling.")
        self.look_round()

    def action_key_sheet(self) -> None:
        """Show every key that works now; a tap presses it."""
        from floorboard.screens.key_sheet import KeySheet, LiveKey

        async def press(key: LiveKey | None) -> None:
            if key is not None:
                await self.run_action(key.action, key.node)

        self.push_screen(KeySheet(self.screen, ascii_only=self._ascii_only), press)

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Offer in the palette what the keys do, and nothing else."""
        from functools import partial

        from floorboard.screens.key_sheet import live_keys

        for key in live_keys(screen.active_bindings):
            press = partial(self.run_action, key.action, key.node)
            yield SystemCommand(key.label, f"{key.keys}: {key.tip}", press)

    def action_open_view(self, name: str) -> None:
        """Open a view over the floor; from another view it takes that one's place."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        remember_view(name)
        screen = screen_of(name, self.session, ascii_only=self._ascii_only)
        self.push_screen(screen, lambda _: remember_view(FLOOR))

    # --- colours ---------------------------------------------------------------------------------

    def _use_palettes(self) -> None:
        """Start with the palette asked for, out of those the terminal can show."""
        palettes = palettes_shown(self)
        self._palettes = [palette.name for palette in palettes]
        for palette in palettes:
            self.register_theme(theme_of(palette))
        self.theme = first_palette(palettes, light=self._light).name

    def coming_colours(self) -> str:
        """Say which colours show now, and which the key for them brings."""
        now, coming = palette_of(self.theme), palette_of(self._next_palette())
        if now is coming:
            return f"This terminal shows {now.words} alone"
        return f"Change from {now.words} to {coming.words}"

    def _next_palette(self) -> str:
        place = self._palettes.index(self.theme) if self.theme in self._palettes else -1
        return self._palettes[(place + 1) % len(self._palettes)]

    def action_change_colours(self) -> None:
        """Go on to the next palette: dark, light, strong contrast."""
        self.theme = self._next_palette()
        say(self.screen, f"Colours: {palette_of(self.theme).words}. F9: {self.coming_colours()}.")
