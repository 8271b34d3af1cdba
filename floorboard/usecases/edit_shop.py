"""Change one definition of the shop by typed fields, held to the same rules as the file."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, get_args

import tomlkit
from tomlkit.exceptions import TOMLKitError

from floorboard.shop.errors import FloorboardError, ShopFileError
from floorboard.shop.file import read_shop
from floorboard.shop.file_writing import field_toml, write_shop
from floorboard.shop.quantities import Quantity
from floorboard.shop.shop import Settings, Shop

if TYPE_CHECKING:
    from pydantic import BaseModel

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


@dataclass(frozen=True, slots=True)
class FormField:
    """One field of a definition: its name, what is typed, what it is about."""

    name: str
    text: str
    about: str
    required: bool
    nested: bool


def model_of(section: str) -> type[BaseModel]:
    """Return the model of a section's entries."""
    if section == "shop":
        return Settings
    annotation = Shop.model_fields[section].annotation
    return next(arg for arg in reversed(get_args(annotation)) if isinstance(arg, type))


def entries_of(shop: Shop, section: str) -> dict[str, Any]:
    """Return a section's entries by id; the settings stand under their own section's name."""
    return {"shop": shop.shop} if section == "shop" else dict(getattr(shop, section))


def form_of(shop: Shop, section: str, key: str | None) -> tuple[FormField, ...]:
    """Return the fields of an entry, or of a new one if `key` is None or not there."""
    model = model_of(section)
    entry = entries_of(shop, section).get(key or "")
    fields = []
    for name, field in model.model_fields.items():
        value = getattr(entry, name) if entry is not None else None
        if value is None and not field.is_required():
            value = field.get_default(call_default_factory=True, validated_data={})
        text = "" if value is None else _typed(name, value)
        nested = "\n" in text or _is_nested(value, str(field.annotation))
        about = field.description or name.replace("_", " ")
        fields.append(FormField(name, text, about, field.is_required(), nested))
    return tuple(fields)


def _is_nested(value: Any, annotation: str) -> bool:
    return isinstance(value, tuple | dict) or "tuple" in annotation or "dict" in annotation


def _typed(name: str, value: Any) -> str:
    """Return a value as it is typed into a form: TOML, but texts without their quotes."""
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, str):
        return value
    return field_toml(name, value)


def put_entry(shop: Shop, section: str, key: str, typed: dict[str, str]) -> Shop:
    """Return the shop with one entry added or replaced by what was typed.

    Raises
    ------
    EditRefused
        With every mistake the change would bring, a sentence each.
    """
    if section != "shop" and not _ID.fullmatch(key):
        raise EditRefused(
            f"Found the name {key[:50]!r}; use up to 40 lower-case letters, digits and hyphens."
        )
    header = "[shop]" if section == "shop" else f"[{section}.{key}]"
    fragment = [header]
    model = model_of(section)
    for name in model.model_fields:
        text = typed.get(name, "").strip()
        if text:
            fragment.append(f"{name} = {_toml_of(text, _kinds(model, name))}")
    return _read(_without(shop, section, key), fragment)


def drop_entry(shop: Shop, section: str, key: str) -> Shop:
    """Return the shop without one entry.

    Raises
    ------
    EditRefused
        If something else still refers to it.
    """
    if section == "shop":
        raise EditRefused("The shop's own settings cannot be removed.")
    return _read(_without(shop, section, key), [])


def _read(rest: str, fragment: list[str]) -> Shop:
    try:
        return read_shop(rest + "\n" + "\n".join(fragment) + "\n", FORM)
    except ShopFileError as error:
        sentences = [re.sub(rf"^{FORM}, line \d+(, |: )", "", p.sentence) for p in error.problems]
        raise EditRefused("\n".join(sentences)) from None


def _without(shop: Shop, section: str, key: str) -> str:
    if section == "shop":
        text = write_shop(shop)
        return text[text.index("\n# ", text.index("[shop]")) :]
    kept = {name: entry for name, entry in getattr(shop, section).items() if name != key}
    return write_shop(shop.model_copy(update={section: kept}))


def _kinds(model: type[BaseModel], name: str) -> set[str]:
    """Return the JSON types a field takes, dates as "date"."""
    schema = model.model_json_schema()["properties"][name]
    choices = schema.get("anyOf", [schema])
    return {
        "date" if choice.get("format", "").startswith("date") else choice.get("type", "object")
        for choice in choices
    }


def _toml_of(text: str, kinds: set[str]) -> str:
    """Return typed text as a TOML value: as it stands where the field takes one, else quoted."""
    bare = bool(kinds - {"string", "null"}) or text.startswith(("[", "{"))
    if bare:
        try:
            tomlkit.parse(f"value = {text}\n")
        except TOMLKitError:
            return str(tomlkit.string(text).as_string())
        return text
    return str(tomlkit.string(text).as_string())
