"""A list to choose from that takes any key at any size."""

from __future__ import annotations

from textual.widgets import OptionList


class Options(OptionList):
    """A list of options; a page of one that has no room on the screen is no step at all."""

    def action_page_up(self) -> None:
        """Go up a page, if one can be seen."""
        if self._has_room:
            super().action_page_up()  # type: ignore[no-untyped-call]

    def action_page_down(self) -> None:
        """Go down a page, if one can be seen."""
        if self._has_room:
            super().action_page_down()  # type: ignore[no-untyped-call]

    @property
    def _has_room(self) -> bool:
        # Textual 8.2.8 looks for the line of an option among lines it has not laid out.
        return self.scrollable_content_region.area > 0
