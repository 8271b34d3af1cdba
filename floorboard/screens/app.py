"""The Textual app: themes, screens, and the worker that plans while people work."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.message import Message

from floorboard.screens.endings import install_endings
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.place import opening_view, remember_view
from floorboard.screens.theme import palettes_for, theme_of, wants_ascii
from floorboard.screens.views import FLOOR, VIEWS, screen_of, view_bindings

if TYPE_CHECKING:
    from floorboard.planning.plan import Plan
    from floorboard.usecases.ports import Betterer
    from floorboard.usecases.session import Session


class BoardApp(App[None]):
    """The board."""

    TITLE = "floorboard"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("q", "quit", "Quit"),
        Binding("f9", "change_colours", "Colours", show=False, tooltip="Dark, light, strong"),
        *view_bindings(),
    ]

    class PlanDrawnUp(Message):
        """A plan for the floor as it stood is ready."""

        def __init__(self, plan: Plan) -> None:
            super().__init__()
            self.plan = plan

    def __init__(
        self,
        session: Session,
        *,
        ascii_only: bool = False,
        light: bool = False,
        betterer: Betterer | None = None,
    ) -> None:
        # Without this the framework turns every colour to a grey under NO_COLOR.
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self.session = session
        self.counts_text = ""
        self.warning_text = ""
        self._light = light
        self._betterer = betterer
        self._ascii_only = ascii_only or wants_ascii(encoding=sys.stdout.encoding or "ascii")

    def on_mount(self) -> None:
        """Show the floor, then plan."""
        self._use_palettes()
        install_endings(self)
        self.push_screen(FloorScreen(self.session, ascii_only=self._ascii_only))
        if again := opening_view([view.name for view in VIEWS]):
            self.action_open_view(again)
        self.call_after_refresh(self.draw_up_plan)
        self.set_interval(5.0, self._plan_if_stale)
        if self._betterer is not None:
            self.set_interval(0.5, self._follow_better_plan)

    def on_unmount(self) -> None:
        """End the process that looks for better plans."""
        if self._betterer is not None:
            self._betterer.close()

    def _plan_if_stale(self) -> None:
        if self.session.plan_is_stale():
            self.draw_up_plan()

    def on_floor_keys_floor_changed(self) -> None:
        """Plan anew after every entry."""
        self.draw_up_plan()

    @work(thread=True, exclusive=True, group="plan", exit_on_error=False)
    def draw_up_plan(self) -> None:
        """Draw up a plan beside the screen; the floor it reads is never changed in place."""
        session = self.session
        shop, floor, now = session.shop, session.floor, session.now
        previous = session.plan if session.plan.tasks else None
        plan = session.planner.plan(shop, floor, now, previous)
        self.post_message(self.PlanDrawnUp(plan))

    def on_board_app_plan_drawn_up(self, event: PlanDrawnUp) -> None:
        """Follow the new plan, unless the floor has moved on meanwhile, and look for a better one."""
        session = self.session
        if session.adopt(event.plan):
            self._show_floor()
            if self._betterer is not None:
                plan = event.plan
                self._betterer.start(session.shop, session.floor, plan.made_at, plan)

    def _follow_better_plan(self) -> None:
        better = self._betterer.poll() if self._betterer is not None else None
        if better is not None and self.session.adopt(better):
            self._show_floor()

    def _show_floor(self) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, FloorScreen):
                screen.show_floor()

    def action_open_view(self, name: str) -> None:
        """Open a view over the floor; from another view it takes that one's place."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        remember_view(name)
        screen = screen_of(name, self.session, ascii_only=self._ascii_only)
        self.push_screen(screen, lambda _: remember_view(FLOOR))

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

    def action_change_colours(self) -> None:
        """Go on to the next palette: dark, light, strong contrast."""
        place = self._palettes.index(self.theme) if self.theme in self._palettes else -1
        self.theme = self._palettes[(place + 1) % len(self._palettes)]
