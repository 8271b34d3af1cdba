"""The finishing queue: what may begin, what must wait, and what can be done together."""

from __future__ import annotations

import datetime as dt

import pytest

from floorboard.floor import events as e
from floorboard.floor.fold import fold
from floorboard.records.dry_casting import believable
from floorboard.records.finishing_queue import finishing_queue
from floorboard.shop.build import build_of
from tests.log_of import log_of
from tests.tiny_shop import START, after, tiny_shop

ROUTE = [
    {"kind": "trim", "takes": "4 min"},
    {"kind": "dry", "takes": "2 h", "to_constant_weight": True, "station": "rack"},
    {"kind": "seal", "takes": "3 min", "coating": True, "together": 4, "each_more": "1 min"},
    {"kind": "pack", "takes": "2 min"},
]
PIECE = {**tiny_shop().model_dump(mode="json")["pieces"]["bowl"], "route": ROUTE}
SHOP = tiny_shop(pieces={"bowl": PIECE}, stations={"rack": {"name": "Rack", "places": 3}})
BUILD = build_of(SHOP, "bowl")
# Two weighings less than 0.1 % apart, two hours apart: dry by the shop's rule.
DRY = ((60, 1000.4), (190, 1000.0))
GOOD_AIR = e.ConditionsRead(room_celsius=20, humidity_percent=50, surface_celsius=20)


def trimmed(casting: str, weighings=()):
    """Return the lines of a casting trimmed at minute 50, and weighed at given minutes."""
    begun = e.CastingBegun(casting=casting, mold="m1", piece="bowl", build=BUILD.digest())
    return [
        (0, begun),
        (10, e.LayerApplied(casting=casting, layer=0)),
        (30, e.LayerApplied(casting=casting, layer=1)),
        (40, e.Demolded(casting=casting)),
        (50, e.StepDone(castings=(casting,), step=0)),
        *((at, e.CastingWeighed(casting=casting, grams=grams)) for at, grams in weighings),
    ]


def queue_at(minute, *lines):
    floor = fold(log_of(*lines), {BUILD.digest(): BUILD})
    return finishing_queue(SHOP, floor, after(minute))


def only(queue):
    return queue.castings[0]


def test_a_casting_dries_until_its_time_is_over_and_its_weighings_say_dry():
    assert only(queue_at(100, *trimmed("c1"))).state == "drying"
    assert only(queue_at(200, *trimmed("c1"))).state == "to weigh"
    weighed = trimmed("c1", ((60, 1010.0), (190, 1000.0)))
    line = only(queue_at(200, *weighed, (195, GOOD_AIR)))
    assert line.state == "to weigh"
    assert "Not dry yet: 0.99 % lighter" in line.sentence
    assert line.drying.weigh_again_at == after(190 + 120)
    assert only(queue_at(200, *trimmed("c1", DRY), (195, GOOD_AIR))).state == "ready"


def test_a_forecast_says_when_it_will_be_dry_from_four_weighings_on():
    # An excess of 50 g that halves each hour over 1000 g: 1000 + 50 * 2^-t.
    weighings = [(50 + 60 * t, round(1000 + 50 * 2**-t, 1)) for t in range(5)]
    line = only(queue_at(300, *trimmed("c1", weighings)))
    # Less than 0.1 % in two hours once 50 * 2^-t * (4 - 1) < 1: after 7.2 h.
    assert line.drying.earliest_at <= after(50 + 60 * 7.2) <= line.drying.latest_at
    assert abs(line.drying.likely_at - after(50 + 60 * 7.2)) < dt.timedelta(minutes=40)


@pytest.mark.parametrize(
    ("air", "state", "said"),
    [
        (GOOD_AIR, "ready", "Clear of the dew point"),
        # 20 C and 50 %: dew point 9.3 C (published coating table), so 12 C is 2.7 C above it.
        (GOOD_AIR.model_copy(update={"surface_celsius": 12.0}), "wait", "Wait: the surface"),
        (e.ConditionsRead(room_celsius=20), "ready", "Read the humidity and the surface"),
        (GOOD_AIR.model_copy(update={"room_celsius": 300.0}), "ready", "cannot be"),
    ],
)
def test_a_sealer_waits_for_the_air_and_asks_for_what_was_not_read(air, state, said):
    queue = queue_at(200, *trimmed("c1", DRY), (195, air))
    assert only(queue).state == state
    assert said in queue.coating.sentence


def test_old_readings_are_to_be_taken_again():
    queue = queue_at(500, *trimmed("c1", DRY), (195, GOOD_AIR))
    assert queue.coating.sentence.startswith("Read 5 h ago; read again")


def test_castings_ready_for_the_same_step_share_sessions_of_as_many_as_it_takes():
    lines = [line for n in range(6) for line in trimmed(f"c{n}", DRY)]
    queue = queue_at(200, *sorted(lines, key=lambda line: line[0]), (195, GOOD_AIR))
    assert [len(session.castings) for session in queue.sessions] == [4, 2]
    # 3 min for the first, 1 min for each further one.
    assert queue.sessions[0].minutes == pytest.approx(6)


def test_the_rack_holds_what_dries_and_what_was_not_taken_from_it():
    lines = [*trimmed("c1"), *trimmed("c2")]
    ordered = sorted(lines, key=lambda line: line[0])
    assert [rack.held for rack in queue_at(200, *ordered).racks] == [2]


def test_impossible_weights_are_left_out_and_said_to_be():
    weighings = [*DRY, (100, 0.0), (110, 90_000.0)]
    line = only(queue_at(200, *trimmed("c1", sorted(weighings)), (195, GOOD_AIR)))
    assert (line.drying.weighings, line.drying.left_out, line.drying.dry) == (2, 2, True)
    assert believable([], START) == ([], 0)


def test_a_casting_sealed_before_it_was_dry_is_flagged_by_the_fold_and_goes_on():
    lines = [*trimmed("c1"), (60, e.StepDone(castings=("c1",), step=2))]
    floor = fold(log_of(*lines), {BUILD.digest(): BUILD})
    assert floor.castings["c1"].flags[-1].rule == "not dry"
    assert only(finishing_queue(SHOP, floor, after(61))).step == 3
