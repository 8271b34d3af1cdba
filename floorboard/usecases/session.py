"""One station at work: the shop, the floor and the plan it sees, and what it may log.

Screens and commands hold a session. It keeps no state of its own that the log does not have: it
reads the floor again after every entry, its own or another station's, and plans anew.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.floor.events import CastingBegun, EntryStruck, ShopLoaded
from floorboard.floor.fold import fold
from floorboard.floor.fork import fork
from floorboard.planning.plan import empty_plan
from floorboard.shop.errors import FloorboardError
from floorboard.usecases import changes
from floorboard.usecases.changes import Hand
from floorboard.usecases.named_castings import NamedCastings
from floorboard.usecases.presses import next_press, press_for_mold

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from floorboard.floor.clock import Clock
    from floorboard.floor.events import AnyEvent, Entry
    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop
    from floorboard.usecases.batch_in_hand import BatchInHand
    from floorboard.usecases.ports import Planner, Store
    from floorboard.usecases.presses import Press
    from floorboard.usecases.report_port import Reports
    from floorboard.usecases.stock_book import StockBook
    from floorboard.usecases.stock_notes import StockNotingPlanner

# Entries after which the floor is read from the store again rather than carried on.
REREAD = (CastingBegun, EntryStruck, ShopLoaded)

# A floor carried on keeps what is over; past so many batches it is read again, which drops them.
MOST_BATCHES = 60

# A plan is drawn up anew at least this often, so that it never speaks of a time gone by.
STALE_SECONDS = 60.0


class NoShop(FloorboardError):
    """The database holds no shop yet."""


class Session:
    """A station's view of the floor.

    Raises
    ------
    NoShop
        On opening, if the database is empty.
    """

    def __init__(self, store: Store, planner: Planner, clock: Clock, station: str = "") -> None:
        shop = store.shop()
        if shop is None:
            raise NoShop("The database holds no shop yet. Load one with: floorboard shop load FILE")
        self.store = store
        # As handed in; `planner` notes what runs out besides.
        self.base_planner = planner
        self.clock = clock
        self.station = station
        # What writes tallies as files; a board that may not write any has none.
        self.reports: Reports | None = None
        self.shop: Shop = shop
        self.floor: Floor = store.floor()
        self._named = NamedCastings(store.casting)
        now = clock.now()
        self.plan: Plan = empty_plan(now, now, 0)

    # What weighs and mixes is imported when it is first needed: the floor is painted before it.

    @cached_property
    def book(self) -> StockBook:
        """The account of lots."""
        from floorboard.usecases.stock_book import StockBook

        return StockBook(self.store.stock)

    @cached_property
    def _noting(self) -> StockNotingPlanner:
        from floorboard.usecases.stock_notes import StockNotingPlanner

        return StockNotingPlanner(self.base_planner, self.book)

    @cached_property
    def planner(self) -> Planner:
        """The planner, whose plans also note what runs out."""
        return self._noting

    @property
    def castings(self) -> NamedCastings:
        """The castings that entries name, closed ones too."""
        self._named.floor = self.floor.castings
        return self._named

    @property
    def now(self) -> dt.datetime:
        """This moment, in UTC."""
        return self.clock.now()

    @property
    def zone(self) -> ZoneInfo:
        """The shop's time zone."""
        return ZoneInfo(self.shop.shop.zone)

    def refresh(self) -> bool:
        """Read the floor again if anyone has logged since; return whether anything is new."""
        if self.store.last_seq() == self.floor.last_seq:
            return False
        shop = self.store.shop()
        if shop is not None:
            self.shop = shop
        self.floor = self.store.floor()
        # What others logged, and what a strike takes back, may be about any casting.
        self._named.forget()
        return True

    def plan_is_stale(self) -> bool:
        """Return whether the plan knows less than the log, or is too old to follow."""
        age = (self.now - self.plan.made_at).total_seconds()
        return self.plan.seq != self.floor.last_seq or age > STALE_SECONDS or age < 0

    def replan(self) -> Plan:
        """Draw up a plan for the floor as it stands, keeping close to the last one."""
        previous = self.plan if self.plan.tasks else None
        self.plan = self.planner.plan(self.shop, self.floor, self.now, previous)
        return self.plan

    def adopt(self, plan: Plan) -> bool:
        """Follow a better plan, if it still speaks of the floor as it stands."""
        if plan.seq != self.floor.last_seq:
            return False
        self.plan = self._noting.noted(plan)
        return True

    @property
    def stock_warning(self) -> str:
        """What the plan will find short or expired, in a sentence; empty if there is nothing."""
        # Before the first plan there is nothing to warn of.
        return self._noting.warning if "_noting" in self.__dict__ else ""

    def press_for(self, person: str) -> Press | None:
        """Return what confirm would do for a person."""
        return next_press(self.floor, self.plan, person)

    def press_for_mold(self, mold: str, person: str) -> Press | None:
        """Return what confirm would do for a chosen mold."""
        return press_for_mold(self.floor, mold, person)

    def confirm(self, press: Press, at: dt.datetime | None = None) -> list[Entry]:
        """Log a press, as of now or as of an earlier moment."""
        from floorboard.usecases.confirm import confirm

        now = self.now
        entries = confirm(
            self.store,
            self.shop,
            self.floor,
            press,
            book=self.book,
            at=at or now,
            logged_at=now,
            station=self.station,
        )
        self.take_in(entries)
        return entries

    def hand(self, person: str | None, at: dt.datetime | None = None) -> Hand:
        """Return who keys something in, here and now."""
        now = self.now
        return Hand(person, self.station, at or now, now)

    def log(self, person: str | None, *events: AnyEvent) -> list[Entry]:
        """Log events as of now."""
        entries = changes.log(self.store, self.hand(person), *events)
        self.take_in(entries)
        return entries

    def log_as_seen(self, person: str | None, *events: AnyEvent) -> list[Entry]:
        """Log events as of now, all or none.

        Raises
        ------
        floorboard.shop.errors.StaleFloor
            If someone else logged about the same casting, batch or mold since the floor was read.
        """
        now = self.now
        entries = self.store.append(
            [(now, event) for event in events],
            logged_at=now,
            person=person,
            station=self.station,
            expected_seq=self.floor.last_seq,
        )
        self.take_in(entries)
        return entries

    def batch_in_hand(self, serial: str) -> BatchInHand | None:
        """Return a batch of the floor with its ticket and what was logged of its making."""
        from floorboard.usecases.batch_in_hand import batch_in_hand

        return batch_in_hand(self.store, self.shop, self.floor, serial)

    def strike_last(self, person: str | None) -> Entry | None:
        """Strike the last entry keyed at this station; return the entry struck, or None."""
        last = changes.last_to_strike(self.store, self.station)
        if last is None:
            return None
        changes.strike(self.store, self.hand(person), last.seq)
        self.refresh()
        return last

    def take_in(self, entries: Sequence[Entry]) -> None:
        """Go on from entries just logged: onto a copy of the floor, since a plan may be reading it."""
        follows_on = entries and entries[0].seq == self.floor.last_seq + 1
        grown = len(self.floor.batches) > MOST_BATCHES
        if follows_on and not grown and not any(isinstance(e.event, REREAD) for e in entries):
            self.floor = fold(entries, {}, onto=fork(self.floor, entries))
            self._named.forget(s for entry in entries for s in entry.event.touched_castings())
        else:
            self.refresh()

    def mold_numbered(self, number: int) -> str | None:
        """Return the mold keyed by a number."""
        return self.shop.mold_by_number(number)


def local(moment: dt.datetime, shop: Shop) -> dt.datetime:
    """Return a moment in the shop's zone."""
    return moment.astimezone(ZoneInfo(shop.shop.zone))
