"""The charts: their series, how they are drawn where colours or characters lack, and their keys."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.app import App

from floorboard.floor import events as e
from floorboard.floor.history_rows import WorkRow
from floorboard.planning.plan import empty_plan
from floorboard.planning.planner import plan_shop
from floorboard.records.mold_report_model import MoldLine, MoldReport
from floorboard.records.quality_model import PieceQuality, WeightChart, WeightPoint
from floorboard.screens import looks
from floorboard.screens.charts_screen.chart_plots import (
    Chart,
    draw_day,
    draw_load,
    draw_molds,
    draw_weights,
    hour_ticks,
    stairs,
)
from floorboard.screens.charts_screen.charts_screen import ChartsScreen
from floorboard.screens.charts_screen.charts_view import (
    day_curve,
    hands_load,
    minutes_in,
    mold_bars,
    weight_curve,
)
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.theme import theme_of
from tests.board_run import board, press, session_on, settled
from tests.log_of import begun, floor_of
from tests.tiny_shop import START, after, tiny_shop

SHOP = tiny_shop()
FLOOR = floor_of()
NO_PLAN = empty_plan(START, START, 0)
# NIST/SEMATECH e-Handbook 6.3.2.2: ten individuals, their mean and their limits.
NIST = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
NIST_CENTER, NIST_LOWER, NIST_UPPER = 50.81, 45.8159, 55.8041


def work(kind, begin, end, *, shared=1, person="ana"):
    return WorkRow(kind, "c1", 0, None, "bowl", "m1", person, after(begin), after(end), shared)


def mold(number, pulls, retire=None, advised=None):
    return MoldLine(
        mold=f"m{number}",
        number=number,
        piece="bowl",
        name="Bowl",
        in_service=True,
        pulls=pulls,
        pulls_since_care=0,
        care_every=None,
        care_due=False,
        rejects_for_wear=0,
        retire_at=retire,
        method="unknown",
        expected_left=None,
        advised_pulls=advised,
        pulls_left=None,
        pulls_a_day=0.0,
        used_up_on=None,
        order_by=None,
        sentence="",
        notes=(),
    )


def weights(signals=()):
    points = tuple(
        WeightPoint(
            casting=f"c{place}",
            mold="m1",
            at=after(place),
            grams=grams,
            wall_mm=None,
            moving_range=None,
            ewma=NIST_CENTER,
            ewma_lower=NIST_LOWER,
            ewma_upper=NIST_UPPER,
            signals=("beyond a limit",) if place in signals else (),
        )
        for place, grams in enumerate(NIST)
    )
    chart = WeightChart(
        center=NIST_CENTER,
        sigma=1.6647,
        lower=NIST_LOWER,
        upper=NIST_UPPER,
        range_upper=6.0,
        baseline=10,
        settled=False,
        left_out=0,
        points=points,
        direction="steady",
        shift_grams=0.0,
        shift_mm=None,
        likely_layer=None,
        sentence="Weights of Bowl are steady.",
        baseline_sentence="Limits from 10 castings; provisional until there are 20.",
    )
    return PieceQuality(
        piece="bowl",
        name="Bowl",
        wall_mm=None,
        least_wall_mm=None,
        chart=chart,
        walls=(),
        sentences=(),
    )


MOLDS = MoldReport(
    as_of=START,
    molds=(mold(1, 64, retire=90), mold(2, 120, retire=200, advised=110), mold(3, 5)),
    demand=(),
    sentences=("Order a new mold.",),
)


def test_the_day_counts_what_was_demolded_then_what_the_plan_adds():
    plan = plan_shop(SHOP, floor_of((0, begun("c1", "m1"))), START)
    works = [work("demold", 10, 14), work("demold", 20, 24), work("layer", 24, 30)]
    curve = day_curve(SHOP, plan, works, after(60))
    assert curve.done[0] == (8.0, 0)
    assert curve.done[-1] == (9.0, 2)
    assert [count for _, count in curve.planned] == list(range(2, 2 + len(curve.planned)))
    assert curve.sentence.startswith("2 demolded by 09:00; the plan comes to ")


def test_a_day_without_a_plan_says_so():
    assert day_curve(SHOP, NO_PLAN, [], after(30)).sentence == "0 demolded by 08:30; no plan yet."


def test_work_past_midnight_goes_on_counting_hours():
    tokyo = SHOP.shop.model_copy(update={"zone": "Asia/Tokyo"})
    shop = SHOP.model_copy(update={"shop": tokyo})
    # 08:00 UTC is 17:00 there; at 23:50 the day has ten minutes left.
    curve = day_curve(shop, NO_PLAN, [work("demold", 400, 410)], after(410))
    assert curve.done[-1] == (pytest.approx(23.833, abs=0.001), 1)
    assert curve.last_hour >= 23.8


def test_a_session_of_several_castings_is_counted_once():
    works = [work("step", 0, 30, shared=3) for _ in range(3)]
    load = hands_load(SHOP, FLOOR, NO_PLAN, works, after(60))
    assert load.hours[0].used == pytest.approx(30)


def test_work_in_hand_counts_up_to_now_and_people_count_while_they_are_there():
    floor = floor_of((0, begun("c1", "m1")))
    load = hands_load(SHOP, floor, NO_PLAN, [], after(20))
    assert (load.hours[0].used, load.hours[0].there) == (20, 120)
    assert load.sentence.endswith("1060 minutes of hands are still free today.")


def test_full_hours_to_come_are_named():
    works = [work("layer", 0, 60), work("layer", 0, 60, person="ben")]
    load = hands_load(SHOP, FLOOR, NO_PLAN, works, after(30))
    assert load.sentence.startswith("Full hour: 08. ")


@given(st.lists(st.tuples(st.integers(0, 539), st.integers(1, 100), st.integers(1, 4)), max_size=8))
def test_the_hours_together_hold_all_the_work_of_the_day(tasks):
    works = [work("step", b, min(540, b + long), shared=n) for b, long, n in tasks]
    load = hands_load(SHOP, FLOOR, NO_PLAN, works, after(540))
    whole = sum((min(540, b + long) - b) / n for b, long, n in tasks)
    assert sum(hour.used for hour in load.hours) == pytest.approx(whole)


def test_the_nearer_of_a_molds_two_limits_counts_and_an_unknown_life_is_said():
    found = mold_bars(MOLDS)
    assert [(bar.label, bar.limit) for bar in found.bars] == [("1 bowl", 90), ("2 bowl", 110)]
    assert found.bars[1].share > 1
    assert found.sentences == ("Order a new mold.", "The life of 1 mold is not known yet.")


def test_a_weight_chart_keeps_its_limits_its_signals_and_its_sentence():
    curve = weight_curve(weights(signals=(8,)))
    assert (curve.lower, curve.center, curve.upper) == (NIST_LOWER, NIST_CENTER, NIST_UPPER)
    assert curve.signals == (8,)
    assert curve.sentence == "Weights of Bowl are steady."
    assert weight_curve(weights().model_copy(update={"chart": None})) is None


def test_spans_that_only_touch_have_nothing_in_common():
    assert minutes_in((after(0), after(10)), (after(10), after(20))) == 0


def test_counts_are_stairs_that_stand_until_they_grow():
    assert stairs(((8.0, 0), (9.0, 1), (9.0, 2))) == ([8, 9, 9, 9, 9], [0, 0, 1, 1, 2])


@given(st.floats(0, 23), st.floats(0.5, 24), st.integers(20, 200))
def test_hours_on_the_axis_lie_in_the_day_and_never_run_together(first, length, width):
    hours, labels = hour_ticks(first, first + length, width)
    assert all(first <= hour <= first + length for hour in hours)
    assert len(labels) * 3 <= max(width, 12)


DRAWN = {
    "day": draw_day(day_curve(SHOP, NO_PLAN, [work("demold", 10, 14)], after(60))),
    "load": draw_load(hands_load(SHOP, FLOOR, NO_PLAN, [work("layer", 0, 50)], after(60))),
    "molds": draw_molds(mold_bars(MOLDS)),
    "weights": draw_weights(weight_curve(weights(signals=(8,)))),
}


class OneChart(App[None]):
    """A chart alone."""

    def __init__(self, palette, *, ascii_only):
        super().__init__()
        self._palette = palette
        self.chart = Chart(ascii_only=ascii_only, id="chart")

    def compose(self):
        yield self.chart

    def on_mount(self):
        self.register_theme(theme_of(self._palette))
        self.theme = self._palette.name


@pytest.mark.parametrize("palette", looks.PALETTES.values(), ids=list(looks.PALETTES))
async def test_charts_are_drawn_in_the_palettes_colours_or_in_none(palette):
    app = OneChart(palette, ascii_only=False)
    async with app.run_test(size=(58, 16)) as pilot:
        for draw in DRAWN.values():
            app.chart.show(draw)
            await pilot.pause()
            drawn = app.chart.render()
            colors = {str(span.style) for span in drawn.spans}
            assert all(len(line) <= 58 for line in drawn.plain.splitlines())
            assert bool(colors - {"none", ""}) is not palette.plain


async def test_charts_in_ascii_use_ascii_alone():
    app = OneChart(looks.DARK, ascii_only=True)
    async with app.run_test(size=(58, 16)) as pilot:
        for name, draw in DRAWN.items():
            app.chart.show(draw)
            await pilot.pause()
            assert app.chart.render().plain.isascii(), name


async def test_a_chart_without_room_is_left_empty_rather_than_broken():
    app = OneChart(looks.DARK, ascii_only=False)
    async with app.run_test(size=(12, 4)):
        app.chart.show(DRAWN["day"])
        assert str(app.chart.render()) == ""


def said(pilot, name):
    return str(pilot.app.screen.query_one(f"#said-{name}").render())


@pytest.mark.parametrize(("size", "shown"), [((60, 20), 1), ((200, 60), 4)])
async def test_all_charts_show_where_there_is_room_else_one_at_a_time(tmp_path, size, shown):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=size) as pilot:
            await settled(pilot)
            await press(pilot, "d")
            screen = pilot.app.screen
            assert isinstance(screen, ChartsScreen)
            assert len(screen.shown) == shown
            assert said(pilot, "day").startswith("0 demolded by 08:00; the plan comes to ")
            assert "No piece has enough castings weighed" in said(pilot, "weights")
            await press(pilot, "2")
            assert screen.shown == ("load",)
            await press(pilot, "plus")
            assert screen.shown == ("molds",)
            await press(pilot, "minus", "minus")
            assert screen.shown == ("day",)
            await press(pilot, "0", "escape")
            assert isinstance(pilot.app.screen, FloorScreen)


async def test_the_charts_follow_the_log(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        async with board(session).run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter", "d")
            serial = session.floor.casting_in("m1").serial
            clock.forward(600)
            session.log("ana", e.DemoldBegun(casting=serial))
            clock.forward(120)
            session.log("ana", e.Demolded(casting=serial))
            pilot.app.screen.follow()
            await settled(pilot)
            assert said(pilot, "day").startswith("1 demolded by 08:12")


def test_a_day_may_begin_before_its_first_shift():
    early = [work("demold", -60, -50)]
    curve = day_curve(SHOP, NO_PLAN, early, after(0))
    assert curve.done[0][0] == pytest.approx(7 + 10 / 60)
