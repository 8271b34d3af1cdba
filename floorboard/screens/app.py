"""The Textual app: themes, screens, and the worker that plans while people work."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.message import Message

from floorboard.screens.endings import install_endings
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.theme import DARK, LIGHT

if TYPE_CHECKING:
    from floorboard.planning.plan import Plan
    from floorboard.usecases.session import Session


class BoardApp(App[None]):
    """The board."""

    TITLE = "floorboard"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("q", "quit", "Quit"),
        Binding("l", "change_light", "Light", show=False, tooltip="Dark or light ground"),
    ]

    class PlanDrawnUp(Message):
        """A plan for the floor as it stood is ready."""

        def __init__(self, plan: Plan) -> None:
            super().__init__()
            self.plan = plan

    def __init__(self, session: Session, *, ascii_only: bool = False, light: bool = False) -> None:
        super().__init__()
        self.session = session
        self.counts_text = ""
        self.warning_text = ""
        self._light = light
        self._ascii_only = ascii_only

    def on_mount(self) -> None:
        """Show the floor, then plan."""
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.theme = LIGHT.name if self._light else DARK.name
        install_endings(self)
        self.push_screen(FloorScreen(self.session, ascii_only=self._ascii_only))
        self.call_after_refresh(self.draw_up_plan)
        self.set_interval(5.0, self._plan_if_stale)

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
        """Follow the new plan, unless the floor has moved on meanwhile."""
        if self.session.adopt(event.plan):
            for screen in self.screen_stack:
                if isinstance(screen, FloorScreen):
                    screen.show_floor()

    def action_change_light(self) -> None:
        """Change between dark and light ground."""
        self.theme = DARK.name if self.theme == LIGHT.name else LIGHT.name
