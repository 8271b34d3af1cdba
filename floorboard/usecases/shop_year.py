"""A shop's days made up quickly, with the truth about them: what the records are tried on.

People take up whatever opens first, one task at a time, inside their shifts; no plan is made.
Windows are missed now and then; castings are rejected, sent back, found bad after they were
finished; entries are logged twice, or by mistake and struck, some only the next morning. The same
seed gives the same days.
"""

from __future__ import annotations

import datetime as dt
import heapq
import math
import random
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.shop.build import build_of
from floorboard.shop.calendar import day_bounds
from floorboard.usecases.shop_year_people import Habits, Hand, Logged, hands_on
from floorboard.usecases.shop_year_truth import CastingTruth, Truth
from floorboard.usecases.shop_year_work import do_next, least_seconds_in_mold

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.shop.build import Build
    from floorboard.shop.shop import Shop

_SECOND = dt.timedelta(seconds=1)


@dataclass(slots=True)
class UnderWay:
    """A casting under way: what comes next (ready, layer, demold or step) and when it opens."""

    truth: CastingTruth
    build: Build
    opens: dt.datetime
    stage: str = "ready"
    index: int = 0
    grams: float = 0.0
    thinner: float = 1.0
    sent_back: bool = False


class ShopYear:
    """The made-up days of a shop; `truth` grows as they are made.

    Parameters
    ----------
    first_day
        The local day to begin with; days are then made one after another.
    """

    def __init__(
        self, shop: Shop, first_day: dt.date, *, seed: int = 1, habits: Habits | None = None
    ) -> None:
        self.shop, self.date = shop, first_day
        self.habits = habits or Habits()
        self.rng = random.Random(seed)
        self.truth = Truth()
        self.builds = {piece: build_of(shop, piece) for piece in shop.pieces}
        self.digests = {piece: build.digest() for piece, build in self.builds.items()}
        self.castings: dict[str, UnderWay] = {}
        self.queue: list[tuple[dt.datetime, str]] = []
        self.hands: list[Hand] = []
        self.out: list[Logged] = []
        self._held: set[str] = set()
        self._finished: list[str] = []
        self._mistakes: list[int] = []
        self._pulls: dict[str, int] = {}
        self._numbers = self._handles = self._batches = 0

    def days(self, count: int) -> Iterator[list[Logged]]:
        """Yield the lines of each of the next local days, in the order in which they are logged."""
        for _ in range(count):
            lines = self._day()
            self.date += dt.timedelta(days=1)
            yield lines

    def corrections(self) -> list[Logged]:
        """Return the strikes of mistakes that would come the next morning; for the last day."""
        self.out = []
        self._correct(day_bounds(self.date, self.shop.shop.zone).start_utc)
        return self.out

    def _correct(self, at: dt.datetime) -> None:
        for handle in self._mistakes:
            self.strike(handle, at, self.hands[0].name)
        self._mistakes = []

    def change_shop(self, shop: Shop) -> None:
        """Go on with other definitions; castings under way keep the build they began with."""
        self.shop = shop
        self.builds = {piece: build_of(shop, piece) for piece in shop.pieces}
        self.digests = {piece: build.digest() for piece, build in self.builds.items()}

    def _day(self) -> list[Logged]:
        self.out, self._numbers, self._batches = [], 0, 0
        self.hands = [] if self.date in self.habits.days_off else hands_on(self.shop, self.date)
        if not self.hands:
            return self.out
        self._morning()
        end = day_bounds(self.date, self.shop.shop.zone).end_utc
        tomorrow: list[tuple[dt.datetime, str]] = []
        while self.queue and self.queue[0][0] < end:
            opens, serial = heapq.heappop(self.queue)
            casting = self.castings.get(serial)
            # A casting that joined another's session has moved on from this place in the queue.
            if casting is None or casting.opens != opens:
                continue
            if not do_next(self, casting):
                tomorrow.append((opens, serial))
        for place in tomorrow:
            heapq.heappush(self.queue, place)
        self._evening()
        self.out.sort(key=lambda line: (line.logged_at, line.handle))
        return self.out

    def _morning(self) -> None:
        start = self.hands[0].shift[0][0]
        self._correct(start - 60 * _SECOND)
        self.log(start - 30 * _SECOND, self.hands[0].name, self._conditions())
        if self.date.day == 1 or not self.truth.castings:
            self._receive_lots(start)
        if len(self.hands) > 1 and self.rng.random() < self.habits.person_away:
            away = self.hands.pop(self.rng.randrange(len(self.hands)))
            self.log(away.shift[0][0], self.hands[0].name, e.PersonLeft(who=away.name))
            self.log(away.shift[-1][1], self.hands[0].name, e.PersonBack(who=away.name))
        for mold in self.shop.molds:
            if self.rng.random() < self.habits.begin:
                self.begin(mold, start)

    def _conditions(self) -> e.ConditionsRead:
        season = math.cos((self.date.timetuple().tm_yday - 200) / 365.25 * 2 * math.pi)
        room = round(19 + 5 * season + self.rng.gauss(0, 1.5), 1)
        return e.ConditionsRead(
            room_celsius=room,
            surface_celsius=round(room - 0.5, 1),
            humidity_percent=min(95.0, max(25.0, round(self.rng.gauss(60, 12), 1))),
        )

    def _receive_lots(self, at: dt.datetime) -> None:
        for material in self.shop.materials:
            lot = f"{material}-{self.date:%y%m}"
            event = e.LotReceived(material=material, lot=lot, grams=500_000, cost=400)
            self.log(at - 20 * _SECOND, self.hands[0].name, event)

    def begin(self, mold: str, opens: dt.datetime) -> None:
        """Begin a casting in a free mold, if it can leave it before the last shift ends."""
        piece = self.shop.molds[mold].piece
        build = self.builds[piece]
        last = max(hand.shift[-1][1] for hand in self.hands)
        length = dt.timedelta(seconds=1.3 * least_seconds_in_mold(build))
        if mold in self._held or opens + length > last:
            return
        self._held.add(mold)
        self._numbers += 1
        serial = f"{self.date:%y%m%d}-{self._numbers:02d}"
        thin = self.habits.thin_from is not None and self.date >= self.habits.thin_from
        truth = CastingTruth(serial, piece, mold, "")
        casting = UnderWay(truth, build, opens, thinner=1 - self.habits.thin_by if thin else 1.0)
        self.castings[serial] = casting
        self.wait(casting, "ready", 0, opens)

    def wait(self, casting: UnderWay, stage: str, index: int, opens: dt.datetime) -> None:
        """Let a casting wait for its next task."""
        casting.stage, casting.index, casting.opens = stage, index, opens
        heapq.heappush(self.queue, (opens, casting.truth.serial))

    def log(self, at: dt.datetime, person: str, event: e.AnyEvent) -> int:
        """Write down a line and return its handle."""
        self._handles += 1
        self.out.append(Logged(self._handles, at, at, person, event))
        return self._handles

    def strike(self, handle: int, at: dt.datetime, person: str) -> None:
        """Strike a line written before."""
        self._handles += 1
        self.out.append(Logged(self._handles, at, at, person, None, handle))

    def batch_serial(self) -> str:
        """Return the next number of a batch."""
        self._batches += 1
        return f"B{self.date:%y%m%d}-{self._batches:02d}"

    def leave_mold(self, casting: UnderWay, at: dt.datetime) -> None:
        """Free a casting's mold, and begin the next one in it where the day still allows."""
        mold = casting.truth.mold
        self._held.discard(mold)
        self._pulls[mold] = self._pulls.get(mold, 0) + 1
        care = self.shop.molds[mold].care_every
        if care and self._pulls[mold] % care == 0:
            self.log(at + _SECOND, casting.truth.begun_by, e.MoldCaredFor(mold=mold))
        if self.rng.random() < self.habits.begin:
            self.begin(mold, at + 5 * _SECOND)

    def close(self, casting: UnderWay, *, finished: bool) -> None:
        """Let go of a casting that is finished or scrapped."""
        serial = casting.truth.serial
        del self.castings[serial]
        self.truth.castings[serial] = casting.truth
        if finished:
            self._finished.append(serial)

    def know(self, casting: UnderWay) -> None:
        """Take a casting into the truth once it is begun."""
        self.truth.castings[casting.truth.serial] = casting.truth

    def maybe_mistake(self, at: dt.datetime, person: str) -> None:
        """Now and then a wrong key: a casting rejected or demolded that is not, struck later."""
        begun = [c for c in self.castings.values() if c.truth.stands]
        if not begun:
            return
        other = self.rng.choice(begun).truth.serial
        if self.rng.random() < self.habits.struck_entry:
            handle = self.log(at + 2 * _SECOND, person, e.Demolded(casting=other))
            self.strike(handle, at + 40 * _SECOND, person)
        elif self.rng.random() < self.habits.struck_next_morning and not self._mistakes:
            last = max(hand.shift[-1][1] for hand in self.hands)
            event = e.CastingRejected(casting=other, reason="other")
            self._mistakes.append(self.log(last + 60 * _SECOND, person, event))

    def _evening(self) -> None:
        """Find some of the castings finished before today bad after all."""
        at = max(hand.shift[-1][1] for hand in self.hands) + 30 * _SECOND
        midnight = day_bounds(self.date, self.shop.shop.zone).start_utc
        kept = []
        for serial in self._finished:
            truth = self.truth.castings[serial]
            if truth.stands[-1][0] >= midnight:
                kept.append(serial)
            elif self.rng.random() < self.habits.found_bad_later:
                self.log(at, self.hands[0].name, e.CastingRejected(casting=serial, reason="warp"))
                truth.reason = "warp"
                truth.stands.append((at, "scrapped"))
        self._finished = kept
