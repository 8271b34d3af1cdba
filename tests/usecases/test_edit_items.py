"""A list of entries edited one by one comes back as it was, or with every mistake said."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.shop.file import read_shop_file
from floorboard.shop.locations import seed_file
from floorboard.shop.pieces import Layer, Step
from floorboard.shop.shop import Stretch
from floorboard.usecases.edit_items import (
    item_form,
    item_line,
    items_in,
    items_text,
    read_item,
)
from floorboard.usecases.edit_shop import SECTIONS, EditRefused, entries_of, form_of, put_entry

SHOP = read_shop_file(seed_file("demo.toml"))
LISTS = [
    (section, key, field)
    for section in SECTIONS
    for key in entries_of(SHOP, section)
    for field in form_of(SHOP, section, key)
    if field.kind == "items"
]
LAYER = {"mix": "face", "amount": "300 g", "apply": "4 min"}


def typed(section, key):
    return {field.name: field.text for field in form_of(SHOP, section, key)}


def test_layers_steps_parts_and_shifts_are_edited_entry_by_entry():
    assert {field.name for _, _, field in LISTS} >= {
        *("layers", "route", "parts", "additives", "stages", "shifts", "breaks", "quiet"),
    }


@pytest.mark.parametrize("section", SECTIONS)
def test_a_list_taken_apart_and_put_together_again_changes_nothing(section):
    for key in entries_of(SHOP, section):
        values = typed(section, key)
        for field in form_of(SHOP, section, key):
            if field.kind == "items":
                values[field.name] = items_text(items_in(field.text))
        assert put_entry(SHOP, section, key, values) == SHOP


@pytest.mark.parametrize(
    ("section", "field"), [(s, f) for s, _, f in LISTS], ids=[f"{k}.{f.name}" for _, k, f in LISTS]
)
def test_an_entrys_form_left_as_it_is_gives_the_entry_again(section, field):
    for item in items_in(field.text):
        values = {inner.name: inner.text for inner in item_form(SHOP, field.item, item)}
        again = read_item(section, field.name, field.item, values, SHOP)
        assert field.item.model_validate(again) == field.item.model_validate(item)


def test_every_mistake_of_an_entry_is_said_by_its_fields_name():
    with pytest.raises(EditRefused) as refused:
        read_item(
            "pieces", "layers", Layer, {"mix": "face", "amount": "300", "apply": "soon"}, SHOP
        )
    said = str(refused.value).splitlines()
    assert said[0] == "amount: found '300', expected a weight with its unit, such as '420 g'."
    assert said[1].startswith("apply: found 'soon'")


def test_what_is_missing_is_said():
    with pytest.raises(EditRefused, match=r"takes: found nothing, expected 'takes', such as"):
        read_item("pieces", "route", Step, {"kind": "trim"}, SHOP)


def test_two_fields_that_do_not_agree_are_said_together():
    layer = LAYER | {"partial_cure": "40 min", "recoat_by": "10 min"}
    with pytest.raises(EditRefused, match="the recoat window closes before it opens"):
        read_item("pieces", "layers", Layer, layer, SHOP)


def test_cautions_are_typed_as_words():
    step = {"kind": "seal", "takes": "3 min", "cautions": "vapour, skin"}
    assert read_item("pieces", "route", Step, step, SHOP)["cautions"] == ["vapour", "skin"]


def test_the_shops_own_lists_say_their_mistakes_too():
    with pytest.raises(EditRefused, match=r"start: found '7', expected a time of day such as"):
        read_item("shop", "quiet", Stretch, {"days": "mon-fri", "start": "7", "end": "08:00"}, SHOP)


def test_an_entry_reads_as_one_line():
    assert item_line(LAYER) == "face, amount 300 g, apply 4 min"
    shift = {"days": "mon-fri", "start": "07:30", "end": "17:00"}
    assert item_line(shift) == "mon-fri, start 07:30, end 17:00"


def test_what_is_as_by_default_is_left_out():
    step = {"kind": "trim", "takes": "5 min", "together": "1", "coating": "false"}
    assert read_item("pieces", "route", Step, step, SHOP) == {"kind": "trim", "takes": "5 min"}


@pytest.mark.parametrize("text", ["nonsense", "[1, 2]", "{ a = 1 }", "[{ a = ]"])
def test_a_text_that_is_no_list_of_entries_is_refused(text):
    with pytest.raises(EditRefused, match="list of entries"):
        items_in(text)


@given(st.dictionaries(st.sampled_from(sorted(Layer.model_fields)), st.text(max_size=30)))
def test_whatever_is_typed_is_taken_or_refused_in_sentences(values):
    problem = ""
    try:
        read_item("pieces", "layers", Layer, values, SHOP)
    except EditRefused as refused:
        problem = str(refused)
    assert all(line.endswith(".") for line in problem.splitlines() if line.strip())


def test_a_mix_that_is_missing_is_told_with_the_mixes_there_are():
    layer = {name: text for name, text in LAYER.items() if name != "mix"}
    with pytest.raises(EditRefused) as refused:
        read_item("pieces", "layers", Layer, layer, SHOP)
    assert str(refused.value) == f"mix: found nothing, expected one of: {', '.join(SHOP.mixes)}."


def test_a_new_layer_starts_with_the_mix_if_there_is_but_one():
    one = SHOP.model_copy(update={"mixes": dict(list(SHOP.mixes.items())[:1])})
    mixes = [
        field.text for shop in (one, SHOP) for field in item_form(shop, Layer, None)
        if field.name == "mix"
    ]  # fmt: skip
    assert mixes == [next(iter(SHOP.mixes)), ""]
