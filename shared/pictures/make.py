"""Make the README's pictures from the running program: python shared/pictures/make.py

The demo shop at the moment its clock starts, drawn by Textual's own SVG export, so that the pictures
show what a newcomer sees.
"""

from __future__ import annotations

import asyncio
import re
import tempfile
from pathlib import Path

from floorboard.cli.board import fill_demo
from floorboard.cli.compose import ShopPlanner
from floorboard.floor.clock import FixedClock
from floorboard.screens.app import BoardApp
from floorboard.usecases.session import Session

FOLDER = Path(__file__).parent
# Name of the picture -> the key pressed first, and the size in cells.
PICTURES: dict[str, tuple[str, tuple[int, int]]] = {
    "board": ("6", (120, 36)),
    "far": ("slash", (100, 28)),
    "hands": ("h", (120, 32)),
}


async def make(name: str, key: str, size: tuple[int, int], database: Path) -> None:
    """Make one picture."""
    store, start = fill_demo(database)
    app = BoardApp(Session(store, ShopPlanner(), FixedClock(start), "bench"))
    async with app.run_test(size=size) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        if key:
            await pilot.press(key)
            await app.workers.wait_for_complete()
            await pilot.pause()
        picture = app.export_screenshot(title="floorboard")
    store.close()
    # No font is fetched: whoever looks has a monospaced one.
    picture = re.sub(r"@font-face\s*\{[^}]*\}", "", picture)
    (FOLDER / f"{name}.svg").write_text(picture, encoding="utf-8")


def main() -> None:
    """Make every picture."""
    for name, (key, size) in PICTURES.items():
        with tempfile.TemporaryDirectory() as folder:
            asyncio.run(make(name, key, size, Path(folder) / "demo.db"))
        print(f"{name}.svg made")


if __name__ == "__main__":
    main()
