"""The ticket screen by its keys, on a real database."""

from __future__ import annotations

import threading

import pytest

from floorboard.cli.report_files import ReportFiles
from floorboard.floor import events as e
from floorboard.mixing.scale_line import read_scale_line
from floorboard.screens.key_guard import LabelScanned
from floorboard.screens.ticket_screen.ticket_keys import TicketKeys
from floorboard.usecases.bench_scale import BenchScale
from floorboard.usecases.costs import CostBook
from floorboard.usecases.traces import trace_lot
from tests.desk_shop import desk_shop
from tests.screens.desk_run import desk_run


async def test_a_shared_batch_is_made_and_poured_by_enter_alone(tmp_path) -> None:
    async with desk_run(tmp_path, "m1", "m2") as run:
        await run.press("m", "down", "plus")
        assert "A batch for 2 layers" in run.shown("headline")
        await run.press("enter")
        assert "1. Liquid B" in run.shown("headline")
        # Two weighings and a stir, then twice a weighing and a stir, then two layers.
        for _ in range(7):
            run.forward(0.5)
            await run.press("enter")
        assert "Pour layer 1 into mold 1" in run.shown("headline")
        assert "working time left" in run.shown("clock")
        await run.press("enter")
        for _ in range(2):
            run.forward(4)
            await run.press("enter")
        floor = run.desk.session.floor
        assert [casting.layers_applied for casting in floor.open_castings()] == [1, 1]
        assert all(casting.flags == [] for casting in floor.open_castings())
        assert run.kinds().count("batch staged") == 3
        assert run.kinds().count("batch wetted") == 1


async def test_an_over_pour_is_flagged_shown_put_right_and_followed_by_stock_and_cost(
    tmp_path,
) -> None:
    async with desk_run(tmp_path, "m1", "m2") as run:
        await run.press("m", "down", "plus", "enter")
        await run.type("212")
        assert "212.0 g of Liquid B; Enter takes it" in run.said
        await run.press("enter")
        assert "material weighed" not in run.kinds()
        assert "takes it and puts it right" in run.shown("headline")
        assert "684.8 g" in run.shown()
        assert "12 g over its" in run.shown("side")
        await run.press("enter")
        assert run.kinds()[-2:] == ["material weighed", "batch corrected"]
        assert "636.0" not in run.said
        assert "424.0 g" in run.shown("additions")
        for _ in range(9):
            await run.press("enter")
        session = run.desk.session
        assert session.book.lot(session.shop, "liquid", "L1").on_hand_grams == 10_000 - 212
        serials = trace_lot(session.store, session.shop, "L1").castings
        assert len(serials) == 2
        cost = CostBook(session.store, session.shop, session.book).casting(serials[0])
        assert cost.layers[0].cost.materials == pytest.approx(
            (0.424 * 2 + 0.212 * 8 + 0.0106 * 40 / 520 * 20 + 0.0382 * 5) / 2
        )


async def test_a_weight_outside_its_tolerance_can_be_kept_or_typed_anew(tmp_path) -> None:
    async with desk_run(tmp_path, "m1", "m2") as run:
        await run.press("m", "down", "plus", "enter")
        await run.type("2120")
        await run.press("enter")
        assert "cannot be put right" in run.shown("headline")
        await run.type("190")
        await run.press("enter")
        assert "too little" in run.shown("headline")
        await run.press("k")
        assert "kept at 190.0 g" in run.said
        assert "R puts it right" in " ".join(run.shown("side").split())


async def test_a_reading_typed_off_the_scale_is_told_from_a_weight(tmp_path) -> None:
    async with desk_run(tmp_path, "m1", "m2") as run:
        await run.press("m", "down", "plus", "enter", "enter")
        await run.type("602.5")
        assert "scale at 602.5 g: 402.5 g of Powder A" in run.said
        await run.press("backspace", "escape")
        assert run.ticket.typed == ""
        await run.type("402.5")
        await run.press("enter")
        weighed = run.desk.store.latest(3)
        assert [x.event.grams for x in weighed if x.event.kind == "material weighed"] == [402.5]


async def test_minus_strikes_a_weighing_and_it_is_asked_for_again(tmp_path) -> None:
    async with desk_run(tmp_path, "m1") as run:
        await run.press("m", "enter", "enter")
        assert "2. Powder A" in run.shown("headline")
        await run.press("minus")
        assert "Struck: Batch" in run.said
        assert "1. Liquid B" in run.shown("headline")


async def test_percentages_minutes_bucket_and_temperature_are_asked_for(tmp_path) -> None:
    async with desk_run(tmp_path, "m1") as run:
        await run.press("m")
        assert "No temperature was read yet" in run.shown("side")
        await run.press("d")
        await run.fill("10")
        assert "Working time 18 min" in run.shown("clock")
        assert "temperature" not in run.shown("side")
        await run.press("i")
        await run.fill("45")
        assert "quick 0 %" in run.shown("headline")
        await run.press("b")
        await run.fill("400 g")
        await run.press("e", "2")
        await run.fill("13")
        assert "over the" in run.shown("side")
        await run.press("enter")
        event = next(x.event for x in run.desk.store.latest(3) if x.event.kind == "batch begun")
        assert (event.percents, event.tare_grams) == ({"quick": 0.0, "glass": 13.0}, 400.0)
        assert event.working_seconds == 45 * 60


async def test_a_lot_that_is_empty_is_said_and_the_next_one_follows(tmp_path) -> None:
    async with desk_run(tmp_path, "m1", "m2") as run:
        run.desk.receive(("liquid", "L2", 500.0))
        await run.press("m", "down", "plus", "enter", "n")
        await run.fill("120")
        assert "add 80.0 g more, open lot L2" in run.shown("headline")
        await run.press("enter")
        assert "L1 + L2" in run.shown("additions")


async def test_a_batch_can_be_lost_and_the_next_is_offered(tmp_path) -> None:
    async with desk_run(tmp_path, "m1") as run:
        await run.press("m", "enter", "enter", "x", "1")
        assert run.kinds()[-1] == "batch lost"
        assert "A batch for 1 layer" in run.shown("headline")


async def test_the_ticket_is_printed_and_says_where(tmp_path) -> None:
    async with desk_run(tmp_path, "m1", size=(200, 60)) as run:
        run.desk.session.reports = ReportFiles(tmp_path)
        await run.press("m", "p")
        page = tmp_path / "ticket-shell.html"
        assert str(page) in run.said
        assert "Mold 1" in page.read_text() or "mold 1" in page.read_text()


async def test_layers_taken_at_another_station_are_let_go(tmp_path) -> None:
    async with desk_run(tmp_path, "m1", "m2") as run:
        await run.press("m")
        casting = run.desk.session.floor.casting_in("m1").serial
        batch = e.BatchBegun(
            batch="B9",
            mix="shell",
            servings=(e.Serving(casting=casting, layer=0, grams=323),),
            working_seconds=600,
        )
        run.desk.session.log("ben", batch)
        run.ticket.show_ticket()
        await run.pilot.pause()
        assert "Mold 1" not in run.shown("side")
        assert "Mold 2 layer 1" in run.shown("side")


async def test_without_a_layer_to_mix_for_it_says_what_to_do(tmp_path) -> None:
    async with desk_run(tmp_path) as run:
        await run.press("m")
        assert "Begin a casting on the floor first" in run.shown()
        await run.press("enter")
        assert "no layer waits for a batch" in run.said
        await run.press("escape")
        assert not isinstance(run.app.screen, TicketKeys)


class Port:
    """A serial port that is silent until it is closed; the tests say what the scale sends."""

    def __init__(self) -> None:
        self.closed = threading.Event()

    def readline(self) -> bytes:
        self.closed.wait()
        return b""

    def close(self) -> None:
        self.closed.set()


async def test_only_a_still_reading_of_the_scale_is_taken(tmp_path) -> None:
    scale = BenchScale(Port)
    async with desk_run(tmp_path, "m1", "m2", scale=scale) as run:
        await run.press("m", "down", "plus", "enter")
        run.ticket.live._steady = lambda: 0.0
        run.ticket.live.take(read_scale_line("US,GS,+00150.0 g"))
        await run.press("enter")
        assert "not still yet" in run.said
        assert "material weighed" not in run.kinds()
        run.ticket.live.take(read_scale_line("ST,GS,+00150.0 g"))
        run.ticket.show_ticket()
        await run.pilot.pause()
        assert "150.0 g, 50.0 g to go" in run.shown("headline")
        run.ticket.live.take(read_scale_line("ST,GS,+00200.5 g"))
        await run.press("enter")
        weighed = next(
            x.event for x in run.desk.store.latest(3) if x.event.kind == "material weighed"
        )
        assert (weighed.grams, weighed.source) == (200.5, "scale")


async def test_a_scale_that_is_torn_out_stops_nobody(tmp_path) -> None:
    def gone() -> Port:
        raise OSError("no such port")

    async with desk_run(tmp_path, "m1", scale=BenchScale(gone)) as run:
        await run.press("m", "enter")
        run.ticket.live.take(run.ticket.live.read())
        await run.press("enter")
        assert "type the weight" in run.said
        await run.type("100.2")
        await run.press("enter")
        assert run.kinds()[-1] == "material weighed"
        run.ticket.live.take(run.ticket.live.read())
        await run.press("enter", "enter")
        assert run.kinds().count("material weighed") == 2


async def test_a_scale_that_types_like_a_keyboard_is_a_reading(tmp_path) -> None:
    async with desk_run(tmp_path, "m1") as run:
        await run.press("m", "enter")
        run.ticket.post_message(LabelScanned("100.4", None))
        await run.pilot.pause()
        assert run.kinds()[-1] == "material weighed"
        run.ticket.post_message(LabelScanned("FB-MOLD-3", None))
        await run.pilot.pause()
        assert "label does nothing" in run.said


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 60)])
async def test_at_every_size_reading_layers_clock_and_cautions_are_seen(tmp_path, size) -> None:
    async with desk_run(tmp_path, "m1", "m2", "m3", size=size) as run:
        await run.press("m", "down", "plus", "enter", "enter", "enter")
        assert "Stir stage 1" in run.shown("headline")
        assert "Liquid B" in run.shown("additions")
        assert "orking time left" in run.shown()
        side = " ".join(run.shown("side").split())
        for words in ("Mold 2 layer 1", "ibre", "data sheet"):
            assert words in side


async def test_names_are_shown_as_typed(tmp_path) -> None:
    plain = desk_shop().model_dump(mode="json")
    plain["materials"]["liquid"]["name"] = "[bold red]Liquid[/] " + "x" * 250
    plain["mixes"]["shell"]["name"] = "🦉 مزيج"
    async with desk_run(
        tmp_path, "m1", shop=desk_shop(**{"materials": plain["materials"], "mixes": plain["mixes"]})
    ) as run:
        await run.press("m", "enter")
        assert "[bold red]Liquid[/]" in run.shown("headline")
