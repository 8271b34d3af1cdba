"""Lines of the log in words, of closed castings too."""

from __future__ import annotations

from floorboard.floor import events as e
from floorboard.floor.clock import FixedClock
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.entry_words import entry_words, event_words, marks_of
from floorboard.usecases.named_castings import NamedCastings
from floorboard.usecases.session import Session
from tests.desk_shop import NoPlans
from tests.log_of import BUILD
from tests.tiny_shop import START, after, tiny_shop


def test_the_lines_of_a_closed_casting_name_its_mold_and_its_steps(tmp_path):
    shop = tiny_shop()
    with open_store(tmp_path / "f.db") as store:
        store.load_shop(shop, source="", at=START, person=None, station="")
        digest = store.keep_build(BUILD)
        happened = [
            e.CastingBegun(casting="c1", mold="m2", piece="bowl", build=digest),
            e.LayerBegun(casting="c1", layer=0),
            e.Demolded(casting="c1"),
            e.CastingSentBack(casting="c1", step=2, reason="void"),
            e.CastingRejected(casting="c1", reason="void"),
        ]
        for minutes, event in enumerate(happened):
            store.append(
                [(after(minutes), event)], logged_at=after(minutes), person="ana", station="bench"
            )
        store.append(
            [(after(9), e.PersonLeft(who="ana"))], logged_at=after(9), person=None, station=""
        )
        castings = NamedCastings(store.casting)
        castings.floor = store.floor().castings
        said = [entry_words(entry, shop, castings) for entry in store.latest(6)[1:]]
    assert "c1" not in castings.floor
    assert said == [
        "Mold 2: c1 rejected, void",
        "c1 sent back to seal, void",
        "Mold 2: c1 demolded (! Demolded with 2 of 2 layers not logged.)",
        "Mold 2: pouring layer 1",
        "Mold 2: c1 begun, Bowl",
    ]


def test_a_note_on_an_empty_mold_names_it_and_one_on_nothing_does_not():
    shop = tiny_shop()
    assert event_words(e.Noted(note="edge chipped", mold="m2"), shop, {}) == (
        "Mold 2: note: edge chipped"
    )
    assert event_words(e.Noted(note="rain"), shop, {}) == "Note: rain"


def test_a_casting_the_log_has_not_begun_is_called_by_its_serial():
    castings = NamedCastings(lambda _: None)
    entry = e.LayerBegun(casting="nobody", layer=0)
    log_entry = e.Entry(seq=1, id="x", at=START, logged_at=START, event=entry)
    assert entry_words(log_entry, tiny_shop(), castings) == "nobody: pouring layer 1"


def test_a_flag_that_comes_late_to_a_closed_casting_named_before_is_told(tmp_path):
    shop = tiny_shop()
    with open_store(tmp_path / "f.db") as store:
        store.load_shop(shop, source="", at=START, person=None, station="")
        digest = store.keep_build(BUILD)
        session = Session(store, NoPlans(), FixedClock(after(20)), "bench")
        session.log("ana", e.CastingBegun(casting="c1", mold="m2", piece="bowl", build=digest))
        session.log("ana", e.CastingRejected(casting="c1", reason="void"))
        session.log("ana", e.CastingBegun(casting="c2", mold="m2", piece="bowl", build=digest))
        assert "c1" not in session.floor.castings
        assert session.castings["c1"].flags == []
        (late,) = session.log("ana", e.Demolded(casting="c1"))
        assert marks_of(late, session.castings) != []
        with open_store(tmp_path / "f.db") as other:
            (later,) = other.append(
                [(after(21), e.Demolded(casting="c1"))],
                logged_at=after(21),
                person="ana",
                station="far",
            )
        assert session.refresh()
        assert marks_of(later, session.castings) != []
