"""Changing one definition by typed fields, with the file's own rules."""

from __future__ import annotations

import pytest

from floorboard.shop.file import read_shop_file
from floorboard.shop.locations import seed_file
from floorboard.usecases.edit_shop import (
    SECTIONS,
    EditRefused,
    drop_entry,
    entries_of,
    form_of,
    put_entry,
)

SHOP = read_shop_file(seed_file("demo.toml"))


def typed(section, key, **changes):
    return {field.name: field.text for field in form_of(SHOP, section, key)} | changes


@pytest.mark.parametrize("section", SECTIONS)
def test_a_form_left_as_it_is_changes_nothing(section):
    for key in entries_of(SHOP, section):
        assert put_entry(SHOP, section, key, typed(section, key)) == SHOP


def test_a_quantity_is_changed_as_it_is_typed():
    shop = put_entry(SHOP, "pieces", "owl", typed("pieces", "owl", full_cure="75 min"))
    assert float(shop.pieces["owl"].full_cure) == 75 * 60
    assert shop.pieces["owl"].full_cure.text == "75 min"


def test_a_mold_is_added():
    shop = put_entry(SHOP, "molds", "owl-c", {"number": "9", "piece": "owl"})
    assert shop.molds["owl-c"].number == 9


def test_a_new_person_is_added_with_days_and_times():
    shifts = '[{ days = "mon-wed", start = "08:00", end = "12:00" }]'
    shop = put_entry(SHOP, "people", "rui", {"name": "7 of 9", "shifts": shifts})
    assert shop.people["rui"].name == "7 of 9"
    assert shop.people["rui"].shifts[0].days == (0, 1, 2)


def test_every_mistake_is_said_at_once_and_nothing_is_changed():
    with pytest.raises(EditRefused) as refused:
        put_entry(SHOP, "molds", "owl-a", typed("molds", "owl-a", piece="oul", pulls="many"))
    assert "oul" in str(refused.value)
    assert "pulls" in str(refused.value)


def test_a_piece_that_molds_still_refer_to_is_not_dropped():
    with pytest.raises(EditRefused, match="owl"):
        drop_entry(SHOP, "pieces", "owl")


def test_an_order_is_dropped():
    assert "counter" not in drop_entry(SHOP, "orders", "counter").orders


def test_an_id_with_spaces_is_refused_in_a_sentence():
    with pytest.raises(EditRefused, match="hyphens"):
        put_entry(SHOP, "molds", "my mold", {"number": "12", "piece": "owl"})


def started(shop, section, key):
    return {field.name: field.text for field in form_of(shop, section, key)}


def test_a_new_mold_starts_with_the_lowest_free_number():
    numbers = sorted(mold.number for mold in SHOP.molds.values())
    assert started(SHOP, "molds", "new")["number"] == str(numbers[-1] + 1)
    gap = drop_entry(SHOP, "molds", next(k for k, m in SHOP.molds.items() if m.number == 2))
    assert started(gap, "molds", "new")["number"] == "2"


def test_a_reference_with_one_possible_answer_starts_with_it_and_one_with_more_stays_open():
    assert started(SHOP, "molds", "new")["piece"] == ""
    owl = SHOP.model_copy(update={"pieces": {"owl": SHOP.pieces["owl"]}})
    assert started(owl, "molds", "new")["piece"] == "owl"
    assert started(owl, "orders", "new")["piece"] == "owl"


def test_a_new_person_starts_with_a_name_like_the_id_and_the_hours_everyone_has():
    maia = SHOP.people["maia"]
    alike = SHOP.model_copy(update={"people": {"maia": maia, "rui": maia}})
    new = started(alike, "people", "ana-rita")
    assert new["name"] == "Ana rita"
    assert new["shifts"] == started(alike, "people", "maia")["shifts"]
    other = maia.model_copy(update={"shifts": maia.shifts[:1] * 2})
    unlike = SHOP.model_copy(update={"people": {"maia": maia, "rui": other}})
    assert started(unlike, "people", "ana")["shifts"] == ""


def test_a_reference_that_is_missing_is_told_with_the_names_there_are():
    with pytest.raises(EditRefused) as refused:
        put_entry(SHOP, "molds", "new", {"number": "99"})
    assert str(refused.value) == f"piece: found nothing, expected one of: {', '.join(SHOP.pieces)}."
