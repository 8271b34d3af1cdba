import datetime as dt
import itertools
import zoneinfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.shop.calendar import due_utc, shop_day, stretches, utc_of
from floorboard.shop.shop import Order, Person, Stretch

LISBON, CHICAGO, AUCKLAND = "Europe/Lisbon", "America/Chicago", "Pacific/Auckland"


def person(shifts: list[str], breaks: list[str] = (), days: str = "mon-sun") -> Person:
    def pattern(text: str) -> dict[str, str]:
        start, end = text.split("-")
        return {"days": days, "start": start, "end": end}

    return Person.model_validate(
        {
            "name": "A",
            "shifts": [pattern(text) for text in shifts],
            "breaks": [pattern(text) for text in breaks],
        }
    )


def utc(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text).replace(tzinfo=dt.UTC)


def shown(intervals) -> list[str]:
    return [f"{start:%d %H:%M}-{end:%d %H:%M}" for start, end in intervals]


def on(who: Person, zone: str, start: str, end: str) -> list[str]:
    return shown(stretches(who, zone, utc(start), utc(end)))


def test_a_shift_is_cut_by_its_breaks() -> None:
    maia = person(["07:30-17:00"], ["10:00-10:15", "12:30-13:00", "15:00-15:10"])
    # Lisbon keeps UTC in winter.
    assert on(maia, LISBON, "2026-03-12", "2026-03-13") == [
        "12 07:30-12 10:00",
        "12 10:15-12 12:30",
        "12 13:00-12 15:00",
        "12 15:10-12 17:00",
    ]


def test_only_what_lies_between_the_two_moments_is_given() -> None:
    maia = person(["07:30-17:00"], ["10:00-10:15"])
    assert on(maia, LISBON, "2026-03-12T09:40", "2026-03-12T10:20") == [
        "12 09:40-12 10:00",
        "12 10:15-12 10:20",
    ]
    assert on(maia, LISBON, "2026-03-12T12:00", "2026-03-12T12:00") == []


def test_a_shift_past_midnight_is_one_stretch_and_belongs_to_the_day_it_starts() -> None:
    friday_night = Person(
        name="N", shifts=(Stretch(days="fri", start="22:00", end="06:00"),), breaks=()
    )
    assert on(friday_night, LISBON, "2026-03-09", "2026-03-16") == ["13 22:00-14 06:00"]
    # Asked in the middle of it, the part to come is still there.
    assert on(friday_night, LISBON, "2026-03-14T01:00", "2026-03-14T12:00") == ["14 01:00-14 06:00"]


def test_shifts_that_touch_or_overlap_are_one_stretch() -> None:
    assert on(
        person(["08:00-12:00", "12:00-16:00", "15:00-17:00"]), LISBON, "2026-03-12", "2026-03-13"
    ) == ["12 08:00-12 17:00"]


def test_a_break_past_midnight_and_breaks_that_overlap_are_taken_out_once() -> None:
    who = person(["20:00-04:00"], ["23:45-00:15", "00:10-00:30"])
    assert on(who, LISBON, "2026-03-12T12:00", "2026-03-13T12:00") == [
        "12 20:00-12 23:45",
        "13 00:30-13 04:00",
    ]


@pytest.mark.parametrize(
    ("zone", "evening", "hours"),
    [
        # The changes of 2026: EU directive 2000/84/EC (last Sundays of March and October);
        # US Energy Policy Act of 2005 (second Sunday of March, first of November); New Zealand
        # Time Order 2007 (last Sunday of September, first of April).
        (LISBON, dt.date(2026, 3, 28), 7),
        (LISBON, dt.date(2026, 10, 24), 9),
        (CHICAGO, dt.date(2026, 3, 7), 7),
        (CHICAGO, dt.date(2026, 10, 31), 9),
        (AUCKLAND, dt.date(2026, 9, 26), 7),
        (AUCKLAND, dt.date(2026, 4, 4), 9),
    ],
)
def test_a_night_shift_of_eight_wall_hours_is_shorter_or_longer_when_clocks_change(
    zone, evening, hours
) -> None:
    noon = utc_of(evening, dt.time(12), zone)
    [(start, end)] = stretches(person(["22:00-06:00"]), zone, noon, noon + dt.timedelta(hours=24))
    assert (end - start) == dt.timedelta(hours=hours)
    local = end.astimezone(zoneinfo.ZoneInfo(zone))
    assert (local.hour, local.minute) == (6, 0)


def test_a_break_in_the_skipped_hour_takes_nothing_and_in_the_repeated_hour_its_own_length() -> (
    None
):
    night = person(["22:00-06:00"], ["01:15-01:45"])
    # Lisbon, 29 March 2026: 01:00 becomes 02:00 at 01:00 UTC.
    assert on(night, LISBON, "2026-03-28T12:00", "2026-03-29T12:00") == ["28 22:00-29 05:00"]
    # 25 October 2026: 02:00 becomes 01:00 at 01:00 UTC; the first 01:15 counts.
    assert on(night, LISBON, "2026-10-24T12:00", "2026-10-25T12:00") == [
        "24 21:00-25 00:15",
        "25 00:45-25 06:00",
    ]


def test_a_time_that_is_skipped_means_the_moment_of_the_change() -> None:
    assert utc_of(dt.date(2026, 3, 29), dt.time(1, 30), LISBON) == utc("2026-03-29T01:00")
    # Apia skipped the whole of 30 December 2011 (IANA tz database, Pacific/Apia).
    assert utc_of(dt.date(2011, 12, 30), dt.time(12), "Pacific/Apia") == utc("2011-12-30T10:00")


def test_a_day_of_the_shop_is_23_24_or_25_hours_long() -> None:
    lengths = [
        (day.end_utc - day.start_utc) / dt.timedelta(hours=1)
        for day in (
            shop_day(utc("2026-03-08T18:00"), CHICAGO),
            shop_day(utc("2026-03-12T18:00"), CHICAGO),
            shop_day(utc("2026-11-01T18:00"), CHICAGO),
        )
    ]
    assert lengths == [23, 24, 25]
    # Five in the morning in London is still the evening before in Chicago.
    assert shop_day(utc("2026-03-12T04:59"), CHICAGO).date == dt.date(2026, 3, 11)
    assert shop_day(utc("2026-03-12T05:00"), CHICAGO).date == dt.date(2026, 3, 12)


def test_a_date_is_due_at_its_end_and_a_time_at_that_time() -> None:
    def order(due: object) -> Order:
        return Order.model_validate({"piece": "owl", "quantity": 1, "due": due})

    assert due_utc(order(dt.date(2026, 3, 13)), CHICAGO) == utc("2026-03-14T05:00")
    assert due_utc(order("2026-03-13"), CHICAGO) == utc("2026-03-14T05:00")
    assert due_utc(order("2026-03-13T12:00:00"), CHICAGO) == utc("2026-03-13T17:00")
    assert due_utc(order("2026-03-13T12:00:00Z"), CHICAGO) == utc("2026-03-13T12:00")


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="has no time zone"):
        shop_day(dt.datetime.fromisoformat("2026-03-12T09:40"), LISBON)


minutes = st.integers(0, 24 * 60 - 1).map(lambda m: f"{m // 60:02d}:{m % 60:02d}")
pattern = st.lists(
    st.tuples(minutes, minutes).filter(lambda ends: ends[0] != ends[1]), min_size=1, max_size=3
)


@given(
    shifts=pattern,
    breaks=pattern,
    zone=st.sampled_from([LISBON, CHICAGO, AUCKLAND]),
    # Days round both changes of each zone.
    start=st.sampled_from(["2026-03-07", "2026-03-28", "2026-04-04", "2026-09-26", "2026-10-31"]),
)
def test_every_minute_is_free_exactly_when_it_is_in_a_shift_and_in_no_break(
    shifts, breaks, zone, start
) -> None:
    who = person([f"{a}-{b}" for a, b in shifts], [f"{a}-{b}" for a, b in breaks])
    begin = utc(start)
    intervals = stretches(who, zone, begin, begin + dt.timedelta(days=2))
    assert intervals == sorted(intervals)
    assert all(first[1] < second[0] for first, second in itertools.pairwise(intervals))

    def within(moment: dt.datetime, spans) -> bool:
        # Straight from the definition, day by day, apart from the code under test.
        local = moment.astimezone(zoneinfo.ZoneInfo(zone))
        for date in (local.date() - dt.timedelta(days=1), local.date()):
            for span in spans:
                ends = date if span.end > span.start else date + dt.timedelta(days=1)
                if utc_of(date, span.start, zone) <= moment < utc_of(ends, span.end, zone):
                    return True
        return False

    for step in range(0, 2 * 24 * 60, 97):
        moment = begin + dt.timedelta(minutes=step)
        free = any(a <= moment < b for a, b in intervals)
        assert free == (within(moment, who.shifts) and not within(moment, who.breaks))
