"""Change one definition of the shop by typed fields, held to the same rules as the file."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, get_args

from floorboard.shop.errors import FloorboardError, ShopFileError
from floorboard.shop.file import read_shop
from floorboard.shop.file_writing import write_shop
from floorboard.shop.shop import Settings, Shop
from floorboard.usecases.form_fields import FormField, form_field, toml_of_typed
from floorboard.usecases.new_start import new_start

if TYPE_CHECKING:
    from pydantic import BaseModel

    from floorboard.floor.floor import Floor

SECTIONS = (
    "shop",
    "people",
    "materials",
    "mixes",
    "pieces",
    "molds",
    "stations",
    "orders",
    "reasons",
)
FORM = "form"
_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


class EditRefused(FloorboardError):
    """A change that would leave the shop with mistakes; one sentence for each."""


def model_of(section: str) -> type[BaseModel]:
    """Return the model of a section's entries."""
    if section == "shop":
        return Settings
    annotation = Shop.model_fields[section].annotation
    return next(arg for arg in reversed(get_args(annotation)) if isinstance(arg, type))


def entries_of(shop: Shop, section: str) -> dict[str, Any]:
    """Return a section's entries by id; the settings stand under their own section's name."""
    return {"shop": shop.shop} if section == "shop" else dict(getattr(shop, section))


def id_problem(key: str) -> str | None:
    """Return what is wrong with an entry's id, if anything is."""
    if _ID.fullmatch(key.strip()):
        return None
    return f"Found the name {key[:50]!r}; use up to 40 lower-case letters, digits and hyphens."


def entry_line(shop: Shop, section: str, key: str) -> str:
    """Return what a list shows of an entry besides its id: its name, or what it is about."""
    entry = entries_of(shop, section)[key]
    match section:
        case "molds":
            away = "" if entry.in_service else ", out of service"
            return f"mold {entry.number} of {_name(shop.pieces, entry.piece)}{away}"
        case "orders":
            what = f"{entry.quantity} of {_name(shop.pieces, entry.piece)}, due {entry.due}"
            return f"{entry.name}: {what}" if entry.name else what
        case "stations":
            return f"{entry.name}, {entry.places} place{'' if entry.places == 1 else 's'}"
        case _:
            return str(entry.name or "")


def _name(entries: dict[str, Any], key: str) -> str:
    found = entries.get(key)
    return str(found.name) if found is not None else key


def form_of(shop: Shop, section: str, key: str | None) -> tuple[FormField, ...]:
    """Return the fields of an entry, or of a new one if `key` is None or not there.

    A new one starts with what can be told beforehand: see `new_start`.
    """
    model = model_of(section)
    entry = entries_of(shop, section).get(key or "")
    given = new_start(shop, section, model, key or "") if entry is None else {}
    fields = []
    for name, field in model.model_fields.items():
        value = getattr(entry, name) if entry is not None else given.get(name)
        if value is None and not field.is_required():
            value = field.get_default(call_default_factory=True, validated_data={})
        fields.append(form_field(shop, model, name, value))
    return tuple(fields)


def put_entry(shop: Shop, section: str, key: str, typed: dict[str, str]) -> Shop:
    """Return the shop with one entry added or replaced by what was typed.

    Raises
    ------
    EditRefused
        With every mistake the change would bring, a sentence each.
    """
    if section != "shop" and (problem := id_problem(key)):
        raise EditRefused(problem)
    header = "[shop]" if section == "shop" else f"[{section}.{key}]"
    fragment = [header]
    model = model_of(section)
    for name in model.model_fields:
        text = typed.get(name, "").strip()
        if text:
            fragment.append(f"{name} = {toml_of_typed(model, name, text)}")
    return _read(_without(shop, section, key), fragment, header.strip("[]"))


def drop_entry(shop: Shop, section: str, key: str) -> Shop:
    """Return the shop without one entry.

    Raises
    ------
    EditRefused
        If something else still refers to it.
    """
    if section == "shop":
        raise EditRefused("The shop's own settings cannot be removed.")
    return _read(_without(shop, section, key), [], f"{section}.{key}")


def held_up(shop: Shop, floor: Floor, section: str, key: str) -> str | None:
    """Return why an entry cannot be removed just now: it has work in hand or holds a casting."""
    if section == "molds" and (casting := floor.casting_in(key)) is not None:
        number = shop.molds[key].number
        return f"Mold {number} holds casting {casting.serial}. Demold it or scrap it first."
    if section == "people" and floor.in_hand(key) is not None:
        return f"{shop.people[key].name} has work in hand. Finish or strike it first."
    return None


def _read(rest: str, fragment: list[str], place: str) -> Shop:
    try:
        return read_shop(rest + "\n" + "\n".join(fragment) + "\n", FORM)
    except ShopFileError as error:
        sentences = [re.sub(rf"^{FORM}, line \d+(, |: )", "", p.sentence) for p in error.problems]
        # What is wrong with the form's own fields is said by their names alone.
        sentences = [sentence.removeprefix(f"{place}.") for sentence in sentences]
        raise EditRefused("\n".join(dict.fromkeys(sentences))) from None


def _without(shop: Shop, section: str, key: str) -> str:
    if section == "shop":
        text = write_shop(shop)
        return text[text.index("\n# ", text.index("[shop]")) :]
    kept = {name: entry for name, entry in getattr(shop, section).items() if name != key}
    return write_shop(shop.model_copy(update={section: kept}))
