import datetime as dt

from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.mixing.stock import Draw
from floorboard.mixing.trace import Pour, trace_casting, trace_lot

AT = dt.datetime(2026, 3, 2, 8, tzinfo=dt.UTC)

DRAWS = [
    Draw(AT, "salt", 40, "s1", into_lot=("quick-stock", "q1")),
    Draw(AT, "powder-a", 200, "p1", "b1"),
    Draw(AT, "quick-stock", 5, "q1", "b1"),
    Draw(AT, "powder-a", 200, "p2", "b2"),
    Draw(AT, "liquid-b", 100, "p1", "b2"),  # another material's lot of the same name
    Draw(AT, "sealer", 30, "z1", casting="c2"),
    Draw(AT, "powder-a", 10, "p1"),  # waste
]
POURS = [Pour("b1", "c1", 0), Pour("b1", "c2", 0), Pour("b2", "c2", 1), Pour("b2", "c3", 0)]


def test_a_lot_is_followed_to_every_casting_it_went_into() -> None:
    found = trace_lot("powder-a", "p1", DRAWS, POURS)
    assert (found.batches, found.castings, found.lots) == (("b1",), ("c1", "c2"), ())


def test_a_lot_is_followed_through_the_stock_solution_made_of_it() -> None:
    found = trace_lot("salt", "s1", DRAWS, POURS)
    assert found.lots == (("quick-stock", "q1"),)
    assert found.castings == ("c1", "c2")


def test_material_used_in_finishing_is_followed_too() -> None:
    assert trace_lot("sealer", "z1", DRAWS, POURS).castings == ("c2",)


def test_a_casting_is_followed_back_to_all_its_lots() -> None:
    found = trace_casting("c2", DRAWS, POURS)
    assert found.batches == ("b1", "b2")
    assert set(found.lots) == {
        ("powder-a", "p1"),
        ("powder-a", "p2"),
        ("liquid-b", "p1"),
        ("quick-stock", "q1"),
        ("salt", "s1"),
        ("sealer", "z1"),
    }


def test_an_unknown_lot_or_casting_leads_nowhere() -> None:
    assert trace_lot("powder-a", "none", DRAWS, POURS).castings == ()
    assert trace_casting("none", DRAWS, POURS).lots == ()


names = st.integers(0, 3).map(str)
draw_lists = st.lists(
    st.builds(
        lambda material, lot, into, batch: Draw(
            AT, material, 1, lot, None if into else batch, into_lot=into
        ),
        names,
        names,
        st.none() | st.tuples(names, names),
        names,
    ),
    max_size=12,
)


@settings(max_examples=80, deadline=None)
@given(draw_lists, st.lists(st.builds(Pour, names, names, st.just(0)), max_size=8))
def test_tracing_there_and_back_agree(draws, pours) -> None:
    for material, lot in {(draw.material, draw.lot) for draw in draws}:
        for casting in trace_lot(material, lot, draws, pours).castings:
            assert (material, lot) in trace_casting(casting, draws, pours).lots
    for casting in {pour.casting for pour in pours}:
        for material, lot in trace_casting(casting, draws, pours).lots:
            assert casting in trace_lot(material, lot, draws, pours).castings
