"""The mix desk's commands: tickets, corrections, working times, layers, stock, traces, costs."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from pydantic import TypeAdapter

from floorboard.cli.main import cli
from floorboard.cli.schema import schemas
from floorboard.floor import events as e
from floorboard.mixing.backwards import LayersFrom
from floorboard.mixing.correction import Correction
from floorboard.mixing.stock_outlook import StockLine
from floorboard.mixing.ticket import Ticket
from floorboard.mixing.working_time import WorkingTime
from floorboard.shop.errors import FloorboardError
from floorboard.shop.file import write_shop
from floorboard.usecases.cost_reports import OrderCostReport, PieceCostReport, ScrapReport
from floorboard.usecases.costs import CastingCostSoFar
from floorboard.usecases.lot_lines import LotLine
from floorboard.usecases.traces import CastingTraced, LotTraced
from tests.desk_shop import Desk, desk_shop
from tests.usecases.test_stock_of_the_desk import make
from tests.usecases.test_weighing import LOTS, begin_batch, weigh


@pytest.fixture(scope="module")
def worked(tmp_path_factory) -> tuple[Path, str, tuple[str, ...]]:
    """A database on which a shared batch was made; one of its castings was rejected, one is good."""
    order = {"fair": {"piece": "bowl", "quantity": 3, "due": "2026-03-20"}}
    desk = Desk(tmp_path_factory.mktemp("desk"), desk_shop(orders=order))
    desk.receive(*LOTS)
    batch = begin_batch(desk, "m1", "m2")
    make(desk, batch)
    serials = tuple(casting.serial for casting in desk.session.floor.open_castings())
    desk.session.log("ana", e.CastingRejected(casting=serials[0], reason="void"))
    desk.session.log("ana", e.CastingWeighed(casting=serials[1], grams=684.0))
    desk.close()
    return desk.path, batch, serials


@pytest.fixture
def shop_file(tmp_path: Path) -> Path:
    path = tmp_path / "shop.toml"
    path.write_text(write_shop(desk_shop()), encoding="utf-8")
    return path


def run(*words: object) -> str:
    result = CliRunner().invoke(cli, [str(word) for word in words])
    assert result.exit_code == 0, (result.output, result.exception)
    return result.output


def refused(*words: object) -> str:
    result = CliRunner().invoke(cli, [str(word) for word in words])
    assert result.exit_code != 0
    if isinstance(result.exception, FloorboardError):
        return str(result.exception)
    return result.output


def test_a_ticket_for_layers_of_a_shop_file_adds_them_up_in_order(shop_file: Path) -> None:
    text = run("ticket", "bowl:1", "bowl:2", "--shop", shop_file)
    assert "for 1. Bowl, layer 1: 323.0 g" in text
    assert "2. Powder A                    400.0 g  scale shows      600.0 g" in text
    assert "The supplier's safety data sheet and local rules come before" in text


def test_a_ticket_is_scaled_and_its_percentages_changed(shop_file: Path) -> None:
    ticket = Ticket.model_validate_json(
        run(
            "ticket", "bowl:1", "--times", 2, "--percent", "glass=12", "--shop", shop_file, "--json"
        )
    )
    parts = ticket.batch.by_material
    assert sum(parts.values()) == pytest.approx(646, abs=0.2)
    assert parts["glass"] == pytest.approx(0.12 * (parts["powder"] + parts["liquid"]), abs=0.1)
    over = run("ticket", "bowl:1", "--percent", "glass=13", "--shop", shop_file)
    assert "13 % of all parts is over the supplier's range, which ends at 12 %" in " ".join(
        over.split()
    )


def test_an_amount_may_be_a_weight_an_area_or_what_there_is_of_a_part(shop_file: Path) -> None:
    with_powder = run("ticket", "--mix", "shell", "--with", "powder=200 g", "--shop", shop_file)
    assert "Shell: 323.0 g" in with_powder
    # 10 w / (d A): 323 g at 1.8 g/ml over 900 cm2 is 1.99 mm.
    area = run(
        "ticket", "--mix", "shell", "--area", "900 cm2", "--thickness", "2 mm",
        "--shop", shop_file,
    )  # fmt: skip
    assert "Shell: 324.0 g" in area
    assert "one of --amount" in refused("ticket", "--mix", "shell", "--shop", shop_file)


def test_an_amount_may_be_the_surface_of_a_mesh_file(shop_file: Path, tmp_path: Path) -> None:
    square = tmp_path / "square.obj"
    square.write_text("v 0 0 0\nv 300 0 0\nv 300 300 0\nv 0 300 0\nf 1 2 3\nf 1 3 4\n")
    text = run(
        "ticket", "--mix", "shell", "--mesh", square, "--thickness", "2 mm", "--shop", shop_file
    )
    assert "Shell: 324.0 g" in text


def test_layers_may_add_up_to_the_last_good_casting(worked) -> None:
    path, _, _ = worked
    ticket = Ticket.model_validate_json(
        run("ticket", "bowl:1", "--like", "last", "--database", path, "--json")
    )
    # The good casting weighs 684 g where its two layers of 323 g should: each layer 342 g.
    assert ticket.servings[0].grams == pytest.approx(342)


def test_a_ticket_can_be_printed_as_a_page(shop_file: Path, tmp_path: Path) -> None:
    page = tmp_path / "ticket.html"
    run("ticket", "bowl:1", "--shop", shop_file, "--html", page)
    assert "Chopped glass" in page.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["bowl"], "it has 2 layers; say which, as 'bowl:1'"),
        (["bowl:3"], "found layer '3', expected 1 to 2"),
        (["vase:1"], "no mold, casting or piece"),
        (["bowl:1", "--times", "9"], "at most the 2000 g the bucket holds"),
        (["bowl:1", "--percent", "sand=2"], "no additive of this mix"),
        (["bowl:1", "--percent", "glass"], "expected a name and a percentage"),
        (["--mix", "shell", "--amount", "12"], "expected a weight with its unit"),
        (["--mix", "mud", "--amount", "12 g"], "expected one of: shell, plain"),
        ([], "Name the layers"),
    ],
)
def test_a_ticket_that_cannot_be_made_is_refused_in_a_sentence(shop_file, words, why) -> None:
    assert why in " ".join(refused("ticket", *words, "--shop", shop_file).split())


def test_an_over_pour_is_put_right_from_the_figures_alone(shop_file: Path) -> None:
    words = ["correct", "--mix", "shell", "--amount", "646 g", "liquid=212 g", "--shop", shop_file]
    text = run(*words)
    assert "Liquid B is 12 g over its 200 g." in text
    assert "Powder A" in text
    assert "424.0 g" in text
    found = Correction.model_validate_json(run(*words, "--json"))
    assert found.ratio_returns
    assert found.made_grams == pytest.approx(646 * 1.06, abs=0.2)
    assert "not in this batch" in refused(
        "correct", "--mix", "shell", "--amount", "646 g", "sand=2 g", "--shop", shop_file
    )


def test_a_bucket_with_nothing_over_gets_one_advice(shop_file: Path) -> None:
    words = ["correct", "--mix", "shell", "--amount", "646 g", "--shop", shop_file]
    text = run(*words, "liquid=190 g")
    assert "Nothing is over: add what is still missing." in text
    assert "leave it" not in text
    # A tenth of a percent over is inside every tolerance: put right first, or leave it.
    little = run(*words, "liquid=200.2 g").splitlines()
    assert "Add what is listed" in " ".join(little[:2])
    assert little[-1].startswith("Or leave it: with the rest as on the ticket")


def test_an_over_pour_of_a_batch_on_the_floor_is_read_from_the_log(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    batch = begin_batch(desk, "m1", "m2")
    weigh(desk, batch, 212.0)
    desk.close()
    assert "12 g over its 200 g" in run("correct", "--batch", batch, "--database", desk.path)
    assert f"expected one of: {batch}" in refused(
        "correct", "--batch", "B9", "--database", desk.path
    )


def test_minutes_become_a_percentage_and_a_percentage_minutes(shop_file: Path) -> None:
    there = WorkingTime.model_validate_json(
        run("working-time", "shell", "--wanted", "20 min", "--shop", shop_file, "--json")
    )
    assert there.seconds == pytest.approx(1200)
    back = run("working-time", "shell", "--percent", f"{there.percent:.6f}", "--shop", shop_file)
    assert "20 min of working time" in back
    assert "18 min of working time" in run(
        "working-time", "shell", "--temperature", "10 C", "--shop", shop_file
    )
    assert "the ends of the table" in refused(
        "working-time", "shell", "--wanted", "3 h", "--shop", shop_file
    )


def test_layers_are_counted_from_what_is_left(shop_file: Path, worked) -> None:
    words = ["layers", "bowl:1", "--have", "powder=740 g", "--shop", shop_file]
    assert run(*words).startswith("3 layers of 323.0 g (Shell); then Powder A runs out.")
    assert LayersFrom.model_validate_json(run(*words, "--json")).layers == 3
    from_stock = LayersFrom.model_validate_json(
        run("layers", "bowl:1", "--database", worked[0], "--json")
    )
    assert set(from_stock.left_grams) == {"powder", "liquid", "quick", "glass"}
    assert "--have" in refused("layers", "bowl:1", "--shop", shop_file)


def test_stock_is_received_counted_wasted_made_up_and_listed(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    desk.close()
    at = ("--database", desk.path)
    run("stock", "receive", "salt", "S1", "1 kg", "--expires", "2999-01-31", "--cost", "18", *at)
    run("stock", "receive", "powder", "P1", "25 kg", *at)
    run("stock", "open", "powder", "P1", *at)
    run("stock", "waste", "powder", "200 g", "--note", "wet", *at)
    run("stock", "count", "powder", "P1", "24.5 kg", *at)
    made = run("stock", "make-up", "quick", "520 g", *at)
    assert "40.0 g of salt in 480.0 g of water" in made
    lines = {
        x.material: x
        for x in TypeAdapter(list[StockLine]).validate_json(run("stock", "--json", *at))
    }
    assert lines["powder"].on_hand_grams == 24_500
    assert lines["salt"].on_hand_grams == 960
    lots = TypeAdapter(list[LotLine]).validate_json(run("stock", "lots", "--json", *at))
    assert {lot.material: lot.good_until for lot in lots}["salt"] == "2999-01-31"
    assert "Quick stock" in run("stock", "lots", *at)
    assert "Powder A" in run("stock", *at)
    assert "is open since" in refused("stock", "open", "powder", "P1", *at)
    assert "expected a date" in refused(
        "stock", "receive", "salt", "S2", "1 kg", "--expires", "soon", *at
    )


def test_a_lot_is_traced_to_its_castings_and_a_casting_to_its_lots(worked) -> None:
    path, batch, serials = worked
    text = run("trace", "lot", "P1", "--database", path)
    assert "Lot P1 of powder went into 2 castings:" in text
    assert f"by 1 batch: {batch}" in text
    found = LotTraced.model_validate_json(run("trace", "lot", "P1", "--database", path, "--json"))
    assert found.castings == serials
    assert "lot G1" in run("trace", "casting", serials[0], "--database", path)
    back = CastingTraced.model_validate_json(
        run("trace", "casting", serials[0], "--database", path, "--json")
    )
    assert back.batches == (batch,)
    assert "found no lot 'X'" in refused("trace", "lot", "X", "--database", path)


def test_costs_are_said_by_casting_piece_order_and_scrap(worked) -> None:
    path, _, serials = worked
    days = ("--from", "2026-03-01", "--to", "2026-03-05")
    at = ("--database", path)
    casting = CastingCostSoFar.model_validate_json(
        run("cost", "casting", serials[0], "--json", *at)
    )
    scrap = ScrapReport.model_validate_json(run("cost", "scrap", *days, "--json", *at))
    assert scrap.lines[0].cost.total == pytest.approx(casting.whole.total)
    assert "1 for void" in run("cost", "scrap", *days, *at)
    piece = PieceCostReport.model_validate_json(run("cost", "piece", "bowl", *days, "--json", *at))
    assert (piece.ended, piece.good, piece.each_good) == (1, 0, None)
    assert "1 ended in these days, 0 of them good" in run("cost", "piece", "bowl", *days, *at)
    order = OrderCostReport.model_validate_json(run("cost", "order", "fair", "--json", *at))
    assert order.expected.total == pytest.approx(3 * piece.as_defined.whole.total)
    assert "Order fair: 3 of bowl" in run("cost", "order", "fair", *at)
    assert "layer 1, batch B260302-01" in run("cost", "casting", serials[0], *at)
    assert "Nothing was scrapped" in run(
        "cost", "scrap", "--from", "2026-01-01", "--to", "2026-01-02", *at
    )
    assert "expected one of: fair" in refused("cost", "order", "x", *at)


def test_every_command_of_the_desk_has_help_and_a_schema() -> None:
    known = schemas()
    for words in (
        ("ticket",),
        ("correct",),
        ("working-time",),
        ("layers",),
        ("stock",),
        ("stock", "lots"),
        ("trace", "lot"),
        ("trace", "casting"),
        ("cost", "casting"),
        ("cost", "piece"),
        ("cost", "order"),
        ("cost", "scrap"),
    ):
        assert "--json" in run(*words, "--help")
        assert " ".join(words) in known


def test_the_demo_shop_can_be_asked_without_a_database() -> None:
    assert "Fibre shell" in run("ticket", "owl:2", "--demo")
    assert "P-2598" in run("stock", "lots", "--demo")


def test_a_mix_that_cannot_be_weighed_is_refused_with_its_line(tmp_path: Path) -> None:
    from floorboard.usecases.check_shop import ticket_mistakes

    shop = desk_shop()
    mix = shop.mixes["shell"]
    lost = mix.model_copy(update={"stages": mix.stages[:2]})
    broken = shop.model_copy(update={"mixes": {**shop.mixes, "shell": lost}})
    ((place, sentence),) = list(ticket_mistakes(broken))
    assert place == ("mixes", "shell", "stages")
    assert "none that adds glass" in sentence
    assert list(ticket_mistakes(shop)) == []


def test_what_only_the_ticket_finds_wrong_is_told_with_its_line(shop_file, monkeypatch) -> None:
    from floorboard.usecases import check_shop

    mistake = (("mixes", "shell", "stages"), "found none that adds glass, which the mix takes")
    monkeypatch.setattr(check_shop, "ticket_mistakes", lambda shop: [mistake])
    lines = shop_file.read_text(encoding="utf-8").splitlines()
    number = lines.index("stages = [") + 1
    said = refused("shop", "check", shop_file)
    assert f"line {number}, mixes.shell.stages: found none that adds glass" in said
    load = refused("shop", "load", shop_file, "--database", shop_file.with_suffix(".db"))
    assert "none that adds glass" in load


def test_names_do_as_well_as_ids_in_any_capitals():
    by_id = run("ticket", "owl:1", "--demo")
    assert run("ticket", "BARN owl, hollow:1", "--demo") == by_id
    assert run("working-time", "fibre Shell", "--demo") == run("working-time", "shell", "--demo")
    put_right = ("correct", "--mix", "Fibre shell", "--amount", "646 g", "Acrylic Binder=212 g")
    assert "Acrylic binder" in run(*put_right, "--demo")


def test_an_empty_mold_waits_for_no_layer_and_says_so():
    said = refused("ticket", "2", "--demo")
    assert "mold 2 empty" in said
    assert "'2:1'" in said


def test_the_example_of_a_wanted_working_time_is_one_the_demo_can_give():
    said = run("working-time", "shell", "--wanted", "20 min", "--temperature", "16 C", "--demo")
    assert "at 16 C: 20 min of working time" in said


def test_the_log_of_a_casting_nobody_began_is_a_sentence(worked):
    path, _, serials = worked
    assert serials[0] in run("log", "--casting", serials[0], "--database", path)
    assert "The log has no casting nonsense." in refused(
        "log", "--casting", "nonsense", "--database", path
    )
