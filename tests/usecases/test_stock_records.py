import datetime as dt
import zoneinfo

from floorboard.floor import events as e
from floorboard.mixing.stock import account_of
from floorboard.mixing.trace import Pour, trace_casting, trace_lot
from floorboard.usecases.stock_records import stock_records
from tests.mixing.mixes import MATERIALS

START = dt.datetime(2026, 3, 2, 8, tzinfo=dt.UTC)
ZONE = zoneinfo.ZoneInfo("Europe/Lisbon")


def logged(*events: e.AnyEvent, struck: tuple[int, ...] = ()) -> list[e.Entry]:
    return [
        e.Entry(
            seq=seq,
            id=str(seq),
            at=START + dt.timedelta(minutes=seq),
            logged_at=START + dt.timedelta(minutes=seq),
            event=event,
            struck_by=99 if seq in struck else None,
        )
        for seq, event in enumerate(events, 1)
    ]


def weighed(grams: float, lot: str | None = None) -> e.MaterialWeighed:
    return e.MaterialWeighed(
        batch="B1", material="powder-a", target_grams=200, grams=grams, lot=lot
    )


LOG = logged(
    e.LotReceived(material="powder-a", lot="P7", grams=900, expires=dt.date(2026, 7, 1), cost=9.0),
    e.LotReceived(material="glass", lot="G1", grams=50),
    e.LotOpened(material="powder-a", lot="P7"),
    weighed(250),
    weighed(203),
    e.LayerBegun(casting="C1", layer=0, batch="B1"),
    e.LayerApplied(casting="C1", layer=0, batch="B1"),
    e.LayerApplied(casting="C2", layer=1),
    e.StockWasted(material="powder-a", grams=7),
    e.StepDone(castings=("C1", "C2"), step=3),
    e.StockCounted(material="glass", lot="G1", grams=30),
    struck=(4,),
)


def no_uses(casting: str, step: int) -> dict[str, float]:
    return {"glass": 5.0} if (casting, step) == ("C2", 3) else {}


def test_the_log_gives_the_account_and_struck_entries_count_for_nothing() -> None:
    found = stock_records(LOG, ZONE, no_uses)
    account = account_of(found.records, MATERIALS)
    powder = account.lot("powder-a", "P7")
    assert powder.on_hand_grams == 900 - 203 - 7
    assert powder.cost_per_gram == 0.01
    assert powder.opened_at == START + dt.timedelta(minutes=3)
    assert account.lot("glass", "G1").on_hand_grams == 30


def test_a_lot_is_good_to_the_end_of_its_date_in_the_shop() -> None:
    account = account_of(stock_records(LOG, ZONE, no_uses).records, MATERIALS)
    # Summer time: midnight in Lisbon is 23:00 UTC.
    assert account.lot("powder-a", "P7").expires_at == dt.datetime(2026, 7, 1, 23, tzinfo=dt.UTC)


def test_lots_are_traced_from_the_log_to_castings_and_back() -> None:
    found = stock_records(LOG, ZONE, no_uses)
    draws = account_of(found.records, MATERIALS).draws
    assert found.pours == [Pour("B1", "C1", 0)]
    assert trace_lot("powder-a", "P7", draws, found.pours).castings == ("C1",)
    assert trace_casting("C2", draws, found.pours).lots == (("glass", "G1"),)


def test_a_solution_made_up_is_a_lot_that_knows_what_it_was_made_from() -> None:
    made = e.SolutionMade(
        material="quick-stock",
        lot="Q1",
        grams=520,
        takings=(
            e.LotTaking(material="quick-salt", grams=40, lot="S1"),
            e.LotTaking(material="water", grams=480),
        ),
    )
    used = e.MaterialWeighed(batch="B9", material="quick-stock", target_grams=5, grams=5, lot="Q1")
    log = logged(
        e.LotReceived(material="quick-salt", lot="S1", grams=1000),
        made,
        used,
        e.LayerApplied(casting="C9", layer=0, batch="B9"),
    )
    found = stock_records(log, ZONE, no_uses)
    account = account_of(found.records, MATERIALS)
    assert account.lot("quick-salt", "S1").on_hand_grams == 960
    assert account.lot("quick-stock", "Q1").on_hand_grams == 515
    assert trace_lot("quick-salt", "S1", account.draws, found.pours).castings == ("C9",)
    assert trace_casting("C9", account.draws, found.pours).lots == (
        ("quick-stock", "Q1"),
        ("quick-salt", "S1"),
    )
