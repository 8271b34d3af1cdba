"""Rounds of a shop, and how many molds keep one person busy."""

from __future__ import annotations

import itertools

import pytest

from floorboard.planning import keep_busy as keep_busy_module
from floorboard.planning.errors import PlanningError
from floorboard.planning.keep_busy import keep_busy
from floorboard.planning.rotation_draft import ShopRound
from floorboard.planning.shop_rotation import shop_round
from floorboard.shop.file import read_shop_file
from floorboard.shop.locations import seed_file
from floorboard.shop.shop import Shop
from tests.planning import urn_shop as u
from tests.planning.four_layers import four_layer_shop


def keeps_its_rules(shop: Shop, found: ShopRound) -> None:
    """Check a round in exact seconds: hands, order of each mold, cures and windows."""
    period = found.round_seconds
    assert period is not None
    spans = sorted((t.start_seconds % period, t.end_seconds - t.start_seconds) for t in found.turns)
    for (start, length), (after, _) in itertools.pairwise(spans):
        assert start + length <= after
    assert spans[-1][0] + spans[-1][1] <= period + spans[0][0]
    for mold in found.molds:
        piece = shop.pieces[shop.molds[mold].piece]
        layers = [t for t in found.turns if t.mold == mold and t.kind == "layer"]
        layers.sort(key=lambda turn: turn.index)
        waited = 0.0
        for before, turn in itertools.pairwise(layers):
            wait = (turn.ready_seconds - before.end_seconds) % period
            assert wait >= piece.layers[before.index].partial_cure
            assert wait <= (piece.layers[before.index].recoat_by or period)
            waited += wait + turn.end_seconds - turn.ready_seconds
        # What is left of the round after the layers holds the full cure and the turning round.
        left = period - waited - (layers[0].end_seconds - layers[0].ready_seconds)
        assert left >= piece.full_cure + piece.demold + piece.ready


def test_four_layers_by_one_person_saturate_with_the_fourth_mold() -> None:
    # Common practice, no source: about 34 min of hands in a cycle of 114 min, so about three molds
    # keep one person busy and a fifth adds nothing. By the ratio 114 / 34 = 3.35.
    shop = four_layer_shop(mix_ahead=False)
    busy = keep_busy(shop, "shell", most=5)
    assert (busy.hands_seconds, busy.cycle_seconds) == (34 * 60, 114 * 60)
    assert busy.ratio == pytest.approx(114 / 34, abs=0.001)
    rounds = {row.molds: row.round_seconds for row in busy.rows}
    assert rounds[1] == 114 * 60
    # Four and five molds leave no minute idle: 34 min of hands for each.
    assert (rounds[4], rounds[5]) == (4 * 34 * 60, 5 * 34 * 60)
    assert all(row.proved for row in busy.rows)
    assert busy.enough == 4
    assert "by the ratio about 3.4 molds keep one person busy" in busy.sentences[0]
    assert any("With 3 molds one person is at work 85% of a round" in s for s in busy.sentences)
    assert "A mold more than 4 adds nothing." in busy.sentences


def test_sharing_mixes_lets_one_person_keep_up_a_shorter_round() -> None:
    shop = u.shop_with(
        molds={f"urn-{n}": {"number": n, "piece": "urn"} for n in range(1, 4)}, stations={}
    )
    alone = shop_round(shop, list(shop.molds), share=False)
    shared = shop_round(shop, list(shop.molds), share=True, seconds=10)
    assert alone.round_seconds is not None
    assert shared.round_seconds is not None
    assert shared.round_seconds < alone.round_seconds
    assert any(turn.shares_mix for turn in shared.turns)
    assert not any(turn.shares_mix for turn in alone.turns)
    keeps_its_rules(shop, alone)
    keeps_its_rules(shop, shared)


def test_two_people_find_a_round_of_every_mold_of_the_demo_shop() -> None:
    shop = read_shop_file(seed_file("demo.toml"))
    found = shop_round(shop, list(shop.molds), people=2, seconds=1)
    assert len(found.molds) == 8
    assert found.round_seconds is not None
    assert not found.impossible
    assert {turn.person for turn in found.turns} == {1, 2}
    for person in (1, 2):
        mine = sorted((t for t in found.turns if t.person == person), key=lambda t: t.start_seconds)
        assert all(a.end_seconds <= b.start_seconds for a, b in itertools.pairwise(mine))
        assert mine[-1].end_seconds - found.round_seconds <= mine[0].start_seconds


def test_walks_between_molds_lengthen_the_round() -> None:
    near = shop_round(four_layer_shop(2), ["shell-1", "shell-2"])
    far = shop_round(four_layer_shop(2, walk="5 min"), ["shell-1", "shell-2"])
    assert near.round_seconds is not None
    assert far.round_seconds is not None
    assert far.round_seconds > near.round_seconds
    keeps_its_rules(four_layer_shop(2), near)


def test_a_round_needs_a_mold_and_mixes_that_last() -> None:
    with pytest.raises(PlanningError, match="A round needs a mold"):
        shop_round(u.shop_with(), [])
    urn = {**u.URN, "layers": [{**u.URN["layers"][0], "apply": "12 min"}]}
    with pytest.raises(PlanningError, match="outlasts its mix"):
        shop_round(u.shop_with(pieces={"urn": urn}), ["urn-1"])
    with pytest.raises(PlanningError, match="no mold of 'urn'"):
        keep_busy(u.shop_with(molds={}), "urn")


def test_a_layer_that_just_fills_the_bucket_goes_round() -> None:
    # 1.5 mm x 480 cm2 x 1.85 g/ml = 133.2 g, in floating point a hair more.
    layer = {"mix": "face", "thickness": "1.5 mm", "area": "480 cm2", "apply": "3 min"}
    face = {**u.SHOP["mixes"]["face"], "set_density": "1.85 g/ml", "largest_batch": "133.2 g"}
    shop = u.shop_with(
        pieces={"urn": {**u.URN, "layers": [layer]}}, mixes={"face": {**face, "loss": {}}}
    )
    assert shop_round(shop, ["urn-1"]).round_seconds is not None


def test_all_rounds_together_are_searched_for_no_longer_than_asked(monkeypatch) -> None:
    given: list[float] = []

    def slow(shop, molds, people, *, share, seconds):
        # The smallest round is proved in no time; the rest take all they are given.
        used = seconds if given else 0.0
        given.append(seconds)
        return ShopRound(
            molds=molds,
            people=people,
            round_seconds=None,
            impossible=False,
            bound_seconds=60,
            proved=False,
            castings_per_hour=0,
            hands_used=0,
            turns=(),
            runtime_seconds=used,
        )

    monkeypatch.setattr(keep_busy_module, "shop_round", slow)
    keep_busy(four_layer_shop(), "shell", 2, most=5, seconds=10)
    assert len(given) >= 5
    assert given[1] > given[0]
    assert sum(given[1:]) == pytest.approx(10)
