"""Lists of options take any key at any size of the screen."""

from __future__ import annotations

import pytest
from textual.app import App, ComposeResult

from floorboard.screens.options import Options


class ListApp(App[None]):
    """A list, and nothing else."""

    def compose(self) -> ComposeResult:
        yield Options("one", "two", "three")


@pytest.mark.parametrize("key", ["pageup", "pagedown"])
async def test_a_page_key_on_a_list_without_room_does_nothing(key):
    app = ListApp()
    async with app.run_test(size=(20, 5)) as pilot:
        options = app.query_one(Options)
        options.highlighted = 1
        options.styles.height = 0
        await pilot.pause()
        # As when the key comes before the list has been laid out anew.
        options._clear_caches()
        await pilot.press(key)
        assert options.highlighted == 1
        options.styles.height = 3
        await pilot.pause()
        await pilot.press(key)
        assert options.highlighted == (0 if key == "pageup" else 2)
