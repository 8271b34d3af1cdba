"""The demo shop's day so far: its definitions and its log, out of the seeds."""

from __future__ import annotations

import datetime as dt
import json
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.floor.events import EVENT, CastingBegun
from floorboard.shop.build import build_of
from floorboard.shop.file import read_shop
from floorboard.shop.locations import seed_file

if TYPE_CHECKING:
    from floorboard.shop.shop import Shop
    from floorboard.usecases.ports import Store

DEMO_SHOP = "demo.toml"
DEMO_LOG = "demo-day.jsonl"
# The demo's clock starts on a Thursday morning, in the shop's zone.
DEMO_START = dt.datetime(2026, 3, 12, 9, 40)  # noqa: DTZ001


def demo_shop() -> Shop:
    """Return the demo shop's definitions."""
    return read_shop(seed_file(DEMO_SHOP).read_text(encoding="utf-8"), DEMO_SHOP)


def demo_start(shop: Shop) -> dt.datetime:
    """Return the moment the demo's clock starts at, in UTC."""
    return DEMO_START.replace(tzinfo=ZoneInfo(shop.shop.zone)).astimezone(dt.UTC)


def load_demo(store: Store) -> dt.datetime:
    """Fill an empty store with the demo shop and its day so far; return when its clock starts."""
    shop = demo_shop()
    start = demo_start(shop)
    began = start - dt.timedelta(days=2)
    store.load_shop(shop, source=DEMO_SHOP, at=began, person=None, station="demo")
    digests: dict[str, str] = {}
    for line in seed_file(DEMO_LOG).read_text(encoding="utf-8").splitlines():
        entry = json.loads(line)
        event = EVENT.validate_python(entry["event"])
        if isinstance(event, CastingBegun):
            if event.piece not in digests:
                digests[event.piece] = store.keep_build(build_of(shop, event.piece))
            event = event.model_copy(update={"build": digests[event.piece]})
        at = dt.datetime.fromisoformat(entry["at"])
        store.append([(at, event)], logged_at=at, person=entry["person"], station=entry["station"])
    return start
