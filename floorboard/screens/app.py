"""The Textual app: themes, keys and views, the second's round, and the workers beside the screen."""

from __future__ import annotations

import gc
import os
import sys
from typing import TYPE_CHECKING, Any, ClassVar
from zoneinfo import ZoneInfo

from textual import events
from textual.app import SystemCommand

from floorboard.floor.clock import steady_seconds
from floorboard.screens.actions import bindings
from floorboard.screens.board_work import BoardWork
from floorboard.screens.call_desk import CallDesk
from floorboard.screens.closed_screens import ClosedScreens
from floorboard.screens.endings import install_endings
from floorboard.screens.fault_log import FaultLog
from floorboard.screens.faults import OPENED_AGAIN
from floorboard.screens.floor_screen.floor_keys import FloorKeys
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.key_guard import KeyGuard, say
from floorboard.screens.looks import palette_of
from floorboard.screens.machine_watch import MachineWatch
from floorboard.screens.place import is_served, opening_view, remember_view
from floorboard.screens.settings import BoardSettings
from floorboard.screens.speaker import Speaker
from floorboard.screens.theme import palettes_for, theme_of, wants_ascii
from floorboard.screens.views import FAR, FLOOR, VIEWS, screen_of, view_bindings
from floorboard.screens.warning_words import ahead_words, jump_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from textual.binding import BindingType
    from textual.screen import Screen

    from floorboard.screens.bells import Pattern
    from floorboard.screens.call_bar import CallBar
    from floorboard.usecases.ports import Betterer
    from floorboard.usecases.session import Session


class BoardApp(BoardWork, ClosedScreens):
    """The board."""

    TITLE = "floorboard"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [*view_bindings(), *bindings("everywhere")]

    def __init__(
        self,
        session: Session,
        *,
        ascii_only: bool = False,
        light: bool = False,
        settings: BoardSettings | None = None,
        betterer: Callable[[], Betterer] | None = None,
        faults: FaultLog | None = None,
        fault: str = "",
    ) -> None:
        # Without this the framework turns every colour to a grey under NO_COLOR.
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self.session = session
        self.make_betterer = betterer
        self.faults = faults or FaultLog(None)
        self.fault_text = OPENED_AGAIN if fault else ""
        self._fault_before = fault
        self.settings = settings or BoardSettings()
        self.warning_text = ""
        self.machine = MachineWatch()
        # A served board runs beside others on the server, far from who should hear it.
        command = () if is_served() else self.settings.call_command
        self.speaker = Speaker(command)
        # Whether fields come with a keypad; somebody may ask for it, or put it away.
        self.taps = is_served()
        self.desk = CallDesk(session, self.speaker, self.ring)
        self.last_input_at = steady_seconds()
        self.guard: KeyGuard | None = None
        self._light = light
        self._ascii_only = ascii_only or wants_ascii(encoding=sys.stdout.encoding or "ascii")

    def on_mount(self) -> None:
        """Show the floor, then plan."""
        self._use_palettes()
        install_endings(self)
        if self.settings.confirm_key:
            self.set_keymap({"confirm": f"enter,{self.settings.confirm_key}"})
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
        gc.enable()
        self.draw_up_plan()

    def on_unmount(self) -> None:
        """Fall silent, and end the process that looks for better plans."""
        self.speaker.close()
        if self.betterer is not None:
            self.betterer.close()

    # --- every second ----------------------------------------------------------------------------

    def look_round(self) -> None:
        """Take in what other stations logged, call, warn, and show the new second."""
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
        for screen in reversed(self.screen_stack):
            if isinstance(screen, FloorKeys):
                screen.show_floor()
            if not screen.is_modal:
                return

    def _warning(self) -> str:
        zone = ZoneInfo(self.session.shop.shop.zone)
        jump = self.machine.look()
        if jump is not None:
            return jump_words(jump, zone)
        ahead = ahead_words(self.session.floor.last_at, self.session.now)
        return ahead or self.fault_text or self.plan_problem or self.speaker.problem

    def ring(self, pattern: Pattern) -> None:
        """Ring the terminal's bell in a pattern."""
        for stroke in pattern.strokes:
            if stroke:
                self.set_timer(stroke, self.bell)
            else:
                self.bell()

    # --- keys ------------------------------------------------------------------------------------

    async def on_event(self, event: events.Event) -> None:
        """Let through what a hand meant; remember when somebody last touched the board."""
        if isinstance(event, events.InputEvent) and not event.is_forwarded:
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
        # A picture or a test has no terminal that could lack colours.
        colors = "truecolor" if self.is_headless else self.console.color_system
        palettes = palettes_for(colors, self.no_color)
        self._palettes = [palette.name for palette in palettes]
        for palette in palettes:
            self.register_theme(theme_of(palette))
        light = [palette.name for palette in palettes if not palette.dark]
        self.theme = light[0] if self._light and light else self._palettes[0]

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
