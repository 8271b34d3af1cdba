"""What the finishing screen shows and what Enter does there, without a screen."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.floor import events as e
from floorboard.records.coating import VAPOUR_CAUTION
from floorboard.records.finishing_queue import finishing_queue
from floorboard.screens.casting_keys import read_wall
from floorboard.screens.countdown import length_text
from floorboard.screens.finishing_screen.finishing_press import press_of_castings
from floorboard.screens.finishing_screen.finishing_sheet import (
    coating_lines,
    detail_lines,
    row_lines,
)
from floorboard.screens.finishing_screen.finishing_view import (
    details,
    finishing_rows,
    session_of,
)
from floorboard.screens.finishing_screen.read_air import read_air
from tests.log_of import begun, floor_of
from tests.tiny_shop import after, tiny_shop

SHOP = tiny_shop()


def drying_log(count: int = 2):
    """Return the lines of castings trimmed one minute apart, from minute 60 on, that dry since."""
    lines = []
    for number in range(count):
        serial = f"c{number + 1}"
        lines.append((number, begun(serial, f"m{number % 3 + 1}")))
        lines.append((number + 0.5, e.Demolded(casting=serial)))
        lines.append((60 + number, e.StepDone(castings=(serial,), step=0)))
    return sorted(lines, key=lambda line: line[0])


def rows_at(log, minute, marked=()):
    now = after(minute)
    return finishing_rows(SHOP, finishing_queue(SHOP, floor_of(*log), now), now, marked)


def test_a_drying_casting_counts_down_to_its_next_step():
    row = rows_at(drying_log(1), 70)[0]
    assert (row.state, row.step_name, row.time, row.counts_to) == (
        "drying",
        "seal",
        "1h50",
        "to opening",
    )


def test_a_casting_that_may_be_taken_up_says_how_long_it_has_waited():
    row = rows_at(drying_log(1), 190)[0]
    assert (row.state, row.time, row.counts_to) == ("ready", "10 min", "open")


def test_alike_castings_share_a_session_and_are_marked_together():
    queue = finishing_queue(SHOP, floor_of(*drying_log(3)), after(200))
    assert session_of(queue, "c2") == ("c1", "c2", "c3")
    assert rows_at(drying_log(3), 200)[0].shares == 3


def test_enter_begins_the_marked_castings_together():
    log = drying_log(3)
    queue = finishing_queue(SHOP, floor_of(*log), after(200))
    answer = press_of_castings(floor_of(*log), queue.castings, "ana")
    assert answer.press is not None
    assert (answer.press.kind, answer.press.castings) == ("begin step", ("c1", "c2", "c3"))
    assert answer.doubt == ""


def test_more_than_a_session_takes_is_said_with_the_number():
    log = drying_log(5)
    queue = finishing_queue(SHOP, floor_of(*log), after(200))
    answer = press_of_castings(floor_of(*log), queue.castings, "ana")
    assert answer.said == "seal takes 4 castings at a time; 5 are marked."


def test_castings_at_different_steps_are_not_begun_together():
    log = drying_log(2)
    log.append((190, e.StepDone(castings=("c1",), step=2)))
    queue = finishing_queue(SHOP, floor_of(*log), after(200))
    answer = press_of_castings(floor_of(*log), queue.castings, "ana")
    assert answer.press is None
    assert answer.said == "The marked castings wait for different steps. Mark alike ones."


def test_what_still_dries_is_asked_about_first():
    log = drying_log(1)
    queue = finishing_queue(SHOP, floor_of(*log), after(70))
    answer = press_of_castings(floor_of(*log), queue.castings, "ana")
    assert answer.doubt == "c1: It is still drying."


def test_a_session_in_hand_is_ended_whole_by_any_of_its_castings():
    log = drying_log(3)
    log.append((200, e.StepBegun(castings=("c1", "c3"), step=2)))
    queue = finishing_queue(SHOP, floor_of(*log), after(201))
    of_c3 = [line for line in queue.castings if line.casting == "c3"]
    press = press_of_castings(floor_of(*log), of_c3, "ben").press
    assert (press.kind, press.castings, press.person) == ("end step", ("c1", "c3"), "ana")


def test_details_name_who_has_it_the_weighings_and_the_walls():
    log = drying_log(1)
    log.append((100, e.CastingWeighed(casting="c1", grams=700)))
    log.append((100, e.WallRead(casting="c1", millimetres=9.25)))
    log.append((190, e.StepBegun(castings=("c1",), step=2)))
    line = finishing_queue(SHOP, floor_of(*log), after(200)).castings[0]
    found = details(SHOP, floor_of(*log), line, after(200))
    assert found.head == "c1 Bowl: seal"
    assert "Ana has it in hand." in found.sentences
    assert "Walls read: 9.2 mm." in found.sentences


@pytest.mark.parametrize("width", [40, 58, 78, 118, 198])
def test_rows_and_details_fit_any_width_and_keep_state_and_serial(width):
    log = drying_log(3)
    rows = rows_at(log, 200, {"c1"})
    lines = row_lines(rows, width, ascii_only=False)
    assert all(line.cells <= width for line in lines)
    assert "ready" in lines[1].text
    assert "c1" in lines[1].text
    queue = finishing_queue(SHOP, floor_of(*log), after(200))
    found = details(SHOP, floor_of(*log), queue.castings[0], after(200))
    below = detail_lines(found, "Seal c1", width, 4)
    assert len(below) <= 4
    assert all(line.cells <= width for line in [*below, *coating_lines(queue.coating, width, 1)])


@pytest.mark.parametrize("most", [1, 2, 3])
@pytest.mark.parametrize("width", [58, 78])
def test_where_the_air_is_cut_short_the_vapour_is_not(width, most):
    said = f"Read 2 h ago; read again before coating. {'Clear of the dew point. ' * 6}"
    queue = finishing_queue(SHOP, floor_of(), after(0))
    words = {"wait": False, "sentence": said + VAPOUR_CAUTION}
    coating = queue.coating.model_copy(update=words)
    lines = coating_lines(coating, width, most)
    assert len(lines) <= most
    assert "Mind the vapour" in lines[0].text
    assert lines[0].text.startswith(" Air clear ")


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 s"),
        (44.2, "45 s"),
        (1255, "20 min"),
        (3545, "59 min"),
        (3601, "1h00"),
        (-45, "+45 s"),
        (-1255, "+20 min"),
        (-3599, "+59 min"),
        (-3660, "+1h01"),
    ],
)
def test_a_length_is_never_written_like_a_clock_time(seconds, text):
    assert length_text(seconds) == text


def test_an_empty_queue_says_so():
    assert row_lines([], 60, ascii_only=False)[0].text == "No casting is in finishing."


@pytest.mark.parametrize(
    ("typed", "wall"),
    [
        ("9 mm", ("", 9.0)),
        ("rim 9mm", ("rim", 9.0)),
        ("left wing tip 2.5 mm", ("left wing tip", 2.5)),
        # 3/8 in, by the inch of 25.4 mm (NIST SP 811).
        ("foot 3/8 in", ("foot", 9.525)),
    ],
)
def test_a_wall_is_read_with_or_without_its_point(typed, wall):
    point, millimetres = read_wall(typed)
    assert (point, pytest.approx(millimetres)) == (wall[0], wall[1])


@given(st.text(max_size=80))
def test_whatever_is_typed_for_a_wall_or_the_air_is_taken_or_said_in_a_sentence(text):
    for read in (read_wall, read_air):
        problem = problem_of(read, text)
        assert problem is None or problem.endswith((".", "'"))


def problem_of(read, text):
    try:
        read(text)
    except ValueError as problem:
        return str(problem)
    return None


def test_the_air_is_read_in_any_units_and_parts_may_be_left_out():
    assert read_air("21 C, 55 %, 18 C") == {
        "room_celsius": 21,
        "humidity_percent": 55,
        "surface_celsius": 18,
    }
    assert read_air("50 %") == {"humidity_percent": 50}
    assert read_air("50 F")["room_celsius"] == pytest.approx(10)


@pytest.mark.parametrize("typed", ["", "21", "21 C, 18 C, 17 C", "50 %, 60 %", "120 %", "70 C"])
def test_air_that_cannot_be_is_refused(typed):
    with pytest.raises(ValueError, match=r"."):
        read_air(typed)
