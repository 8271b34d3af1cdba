import sys

import pytest

from floorboard.mixing.refusal import MixingError
from floorboard.mixing.ticket import Serving, ticket_for
from floorboard.mixing.weighings import Weighings
from floorboard.usecases.bench_scale import BenchScale, open_serial
from tests.mixing.mixes import MATERIALS, mix


class FakePort:
    """A port that sends its lines and is then torn out."""

    def __init__(self, *lines: bytes) -> None:
        self.lines = list(lines)
        self.closed = 0

    def readline(self) -> bytes:
        if not self.lines:
            raise OSError("device disconnected")
        return self.lines.pop(0)

    def close(self) -> None:
        self.closed += 1
        raise OSError("device disconnected")


def scale_on(*lines: bytes) -> BenchScale:
    scale = BenchScale(lambda: FakePort(*lines))
    assert scale.replug() is None
    return scale


@pytest.fixture
def weighings() -> Weighings:
    serving = Serving(mold="m1", layer=0, grams=300)
    return Weighings(ticket=ticket_for("x", mix(), MATERIALS, [serving], tare_grams=400))


def test_still_readings_are_taken_one_after_the_other(weighings) -> None:
    scale = scale_on(b"ST,GS,+00600.2 g\r\n", b"700.1 g\r\n")
    weighings, why = scale.take(weighings, 1)
    assert why == ""
    weighings, _ = scale.take(weighings, 2)
    assert [(one.grams, one.source) for one in weighings.actual] == [
        (200.2, "scale"),
        (99.9, "scale"),
    ]


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (b"US,GS,+00600.2 g\r\n", "not still yet"),
        (b"rubbish\r\n", "expected a weight"),
        (b"", "sent nothing yet"),
        (b"ST,GS,-00003.0 g\r\n", "shows -3 g: zero it"),
        (b"ST,GS,+00003.0 g\r\n", "less than the 400 g that were in before"),
    ],
)
def test_what_is_no_still_weight_changes_nothing_and_says_why(weighings, line, why) -> None:
    after, sentence = scale_on(line).take(weighings, 1)
    assert after is weighings
    assert why in sentence


def test_a_scale_unplugged_mid_ticket_loses_nothing_and_typing_goes_on(weighings) -> None:
    ports = [FakePort(b"600 g\n"), FakePort(b"700 g\n")]
    scale = BenchScale(lambda: ports.pop(0))
    scale.replug()
    weighings, _ = scale.take(weighings, 1)
    weighings, sentence = scale.take(weighings, 2)
    assert "type the weight; what was weighed so far is kept" in sentence
    assert not scale.plugged_in
    assert scale.read().grams is None
    typed = weighings.take(2, 101)
    assert [(one.grams, one.source) for one in typed.actual] == [(200, "scale"), (101, "typed")]
    assert scale.replug() is None
    assert scale.take(typed, 2)[0].by_place() == {0: 200, 1: 100}


def test_a_port_that_cannot_be_opened_is_told_in_a_sentence() -> None:
    reading = BenchScale(lambda: open_serial("no-such-port")).replug()
    assert reading.grams is None
    assert "type the weight" in reading.sentence


def test_without_the_extra_it_says_how_to_get_it(monkeypatch) -> None:
    monkeypatch.setitem(sys.modules, "serial", None)
    with pytest.raises(MixingError, match=r"pip install 'floorboard\[scale\]'"):
        open_serial("COM3")
    assert not BenchScale(lambda: open_serial("COM3")).replug().taken
