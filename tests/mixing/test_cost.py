import pytest

from floorboard.mixing.batch import batch_for
from floorboard.mixing.cost import (
    Cost,
    casting_cost,
    hands_cost,
    materials_cost,
    order_cost,
    piece_cost,
    scrap_by_reason,
    share_of_batch,
)
from floorboard.mixing.refusal import MixingError
from floorboard.shop.build import Build
from floorboard.shop.pieces import Piece
from tests.mixing.mixes import MATERIALS, material, mix

PRICED = {
    **MATERIALS,
    "powder-a": material("powder", price="25.00 for 25 kg"),
    "liquid-b": material("liquid", price="5.00 for 1 kg"),
    "quick-salt": material("powder", price="26.00 for 1 kg"),
    "sealer": material("liquid", price="20.00 for 1 kg"),
}


def test_materials_cost_their_price_by_the_gram() -> None:
    # 200 g at 0.001 and 100 g at 0.005.
    batch = batch_for(mix(), PRICED, 300)
    assert materials_cost(batch.by_material, PRICED).materials == pytest.approx(0.7)


def test_the_price_of_the_lot_comes_before_the_material_s() -> None:
    assert materials_cost({"powder-a": 200}, PRICED, {"powder-a": 0.002}).total == pytest.approx(
        0.4
    )


def test_a_stock_solution_costs_what_is_dissolved_in_it() -> None:
    # 13 g of a 1:12 stock hold 1 g of salt at 0.026.
    cost = materials_cost({"quick-stock": 13}, PRICED)
    assert cost.materials == pytest.approx(0.026)
    assert cost.unpriced == ()


def test_a_material_without_a_price_is_named_not_taken_for_free() -> None:
    cost = materials_cost({"powder-a": 100, "glass": 5, "water": 9}, PRICED)
    assert cost.materials == pytest.approx(0.1)
    assert cost.unpriced == ("glass",)


def test_layers_share_their_batch_by_what_they_were_served() -> None:
    batch = Cost(materials=3.0, hands=1.5)
    shares = [share_of_batch(batch, grams, 900) for grams in (300, 600)]
    assert [one.total for one in shares] == pytest.approx([1.5, 3.0])
    with pytest.raises(MixingError, match="found 901 g of a batch that served 900 g"):
        share_of_batch(batch, 901, 900)


def test_a_casting_costs_its_layers_its_handling_and_its_route() -> None:
    piece = Piece.model_validate(
        {
            "name": "Bowl",
            "layers": [{"mix": "m", "amount": "300 g", "apply": "7 min"}],
            "ready": "6 min",
            "full_cure": "35 min",
            "demold": "4 min",
            "route": [
                {"kind": "sand", "takes": "30 min"},
                {"kind": "dry", "takes": "2 d"},
                {"kind": "seal", "takes": "15 min", "uses": {"sealer": "50 g"}},
            ],
        }
    )
    build = Build(piece_id="bowl", piece=piece, mixes={"m": mix()}, materials=PRICED)
    cost = casting_cost(build, hourly=30)
    # Weighing 60 s, mixing 90 s, applying 7 min at 0.50 a minute; 300 g cost 0.70.
    assert cost.layers[0].materials == pytest.approx(0.7)
    assert cost.layers[0].hands == pytest.approx(4.75)
    assert cost.handling.total == pytest.approx(5.0)
    assert [step.total for step in cost.steps] == pytest.approx([15.0, 0.0, 8.5])
    assert cost.whole.total == pytest.approx(0.7 + 4.75 + 5 + 15 + 8.5)


def test_good_castings_bear_the_rejects() -> None:
    spent = [Cost(materials=2, hands=8), Cost(materials=2, hands=8), Cost(materials=1, hands=3)]
    assert piece_cost(spent, good=2).total == pytest.approx(12)
    with pytest.raises(MixingError, match="found 0 good castings"):
        piece_cost(spent, good=0)


def test_an_order_costs_its_castings_and_the_scrap_on_the_way() -> None:
    one = Cost(materials=2, hands=8)
    assert order_cost(one, 9).total == pytest.approx(90)
    assert order_cost(one, 9, scrap_share=0.1).total == pytest.approx(100)
    with pytest.raises(MixingError, match="scrap share of 1"):
        order_cost(one, 9, scrap_share=1)


def test_scrap_is_added_up_by_reason_dearest_first() -> None:
    lines = scrap_by_reason(
        [
            ("void", Cost(materials=1, hands=2)),
            ("warp", Cost(materials=4, hands=6, unpriced=("glass",))),
            ("void", hands_cost(3600, 3)),
        ]
    )
    assert [(line.reason, line.castings, line.cost.total) for line in lines] == [
        ("warp", 1, 10),
        ("void", 2, 6),
    ]
    assert lines[0].cost.unpriced == ("glass",)
