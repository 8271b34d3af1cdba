"""Fields of a form: how a definition's value is typed, and how what is typed becomes TOML.

A text is typed without its quotes, words with commas between; a list of entries is kept as TOML
and edited entry by entry (see `edit_items`).
"""

from __future__ import annotations

import types
import zoneinfo
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Annotated, Any, Literal, Union, get_args, get_origin

import tomlkit
from tomlkit.exceptions import TOMLKitError

from floorboard.shop.base import Definition
from floorboard.shop.file_writing import field_toml
from floorboard.shop.mixes import COLLECTIVE_BASES
from floorboard.shop.quantities import Quantity

if TYPE_CHECKING:
    from pydantic import BaseModel

    from floorboard.shop.shop import Shop

FieldKind = Literal["line", "words", "items", "toml"]

# Fields that name an entry of another section.
REFERENCES = {
    "mix": "mixes",
    "piece": "pieces",
    "material": "materials",
    "station": "stations",
    "add": "materials",
    "additive": "materials",
    "active": "materials",
}


@dataclass(frozen=True, slots=True)
class FormField:
    """One field of a definition.

    `kind` says how it is typed: a line of text, words with commas between, a list of entries
    (`items`, each of the model `item`), or TOML. `choices` are the values known to be right, if
    there are not too many to name; `example` is one of a quantity.
    """

    name: str
    text: str
    about: str
    required: bool
    kind: FieldKind = "line"
    item: type[Definition] | None = None
    choices: tuple[str, ...] = ()
    example: str = ""

    @property
    def words(self) -> str:
        """The field's name as people say it."""
        return self.name.replace("_", " ")


def form_field(shop: Shop, model: type[BaseModel], name: str, value: Any) -> FormField:
    """Return one field of a model, with a value as it is typed; None is an empty field."""
    field = model.model_fields[name]
    kind, item = field_kind(field.annotation)
    # A days field is kept as numbers and typed as words: "mon-fri".
    if name == "days":
        kind = "line"
    text = "" if value is None else typed_text(name, value, kind)
    if kind == "line" and (text.startswith(("[", "{")) or "\n" in text) and name != "days":
        kind = "toml"
    return FormField(
        name=name,
        text=text,
        about=field.description or "",
        required=field.is_required(),
        kind=kind,
        item=item,
        choices=known_values(shop, name, field.annotation),
        example=_example(field.annotation),
    )


def field_kind(annotation: Any) -> tuple[FieldKind, type[Definition] | None]:
    """Return how a field of this type is typed, and the model of its entries if it has any."""
    for branch in branches(annotation):
        origin = get_origin(branch)
        if origin is tuple:
            inner = branches(get_args(branch)[0])[0]
            if isinstance(inner, type) and issubclass(inner, Definition):
                return "items", inner
            return "words", None
        if origin is dict or (isinstance(branch, type) and issubclass(branch, Definition)):
            single = len(branches(annotation)) == 1 or type(None) in branches(annotation)
            return ("toml" if single else "line"), None
    return "line", None


def branches(annotation: Any) -> list[Any]:
    """Return the types an annotation allows, without what only annotates them."""
    while get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    if get_origin(annotation) in {Union, types.UnionType}:
        return [inner for branch in get_args(annotation) for inner in branches(branch)]
    return [annotation]


def known_values(shop: Shop, name: str, annotation: Any) -> tuple[str, ...]:
    """Return the values known to be right for a field, or () where they cannot be listed."""
    if name in REFERENCES:
        return tuple(getattr(shop, REFERENCES[name]))
    if name == "of":
        return (*shop.materials, *COLLECTIVE_BASES)
    if name == "zone":
        return _zones()
    found: list[str] = []
    for branch in branches(annotation):
        inner = branches(get_args(branch)[0])[0] if get_origin(branch) is tuple else branch
        if get_origin(inner) is Literal:
            found += [str(value) for value in get_args(inner)]
        elif inner is bool:
            found += ["true", "false"]
    return tuple(found)


@cache
def _zones() -> tuple[str, ...]:
    """Every time zone this machine knows; finding them reads a whole folder."""
    return tuple(sorted(zoneinfo.available_timezones()))


def _example(annotation: Any) -> str:
    for branch in branches(annotation):
        if isinstance(branch, type) and issubclass(branch, Quantity):
            return branch.example
    return ""


def typed_text(name: str, value: Any, kind: FieldKind) -> str:
    """Return a value as it is typed into a form."""
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, str):
        return value
    if kind == "words":
        return ", ".join(str(word) for word in value)
    text = field_toml(name, value)
    return text.strip('"') if name in {"days", "start", "end"} else text


def toml_of_typed(model: type[BaseModel], name: str, text: str) -> str:
    """Return what was typed into a field as a TOML value."""
    kind, _ = field_kind(model.model_fields[name].annotation)
    if kind == "words" and name != "days" and not text.startswith("["):
        words = [word.strip() for word in text.split(",")]
        return "[" + ", ".join(_quoted(word) for word in words if word) + "]"
    return _toml_of(text, _json_types(model, name))


@cache
def _json_types(model: type[BaseModel], name: str) -> frozenset[str]:
    """Return the JSON types a field takes, dates as "date"."""
    schema = model.model_json_schema()["properties"][name]
    choices = schema.get("anyOf", [schema])
    return frozenset(
        "date" if choice.get("format", "").startswith("date") else choice.get("type", "object")
        for choice in choices
    )


def _toml_of(text: str, types_: frozenset[str]) -> str:
    """Return typed text as a TOML value: as it stands where the field takes one, else quoted."""
    bare = bool(types_ - {"string", "null"}) or text.startswith(("[", "{"))
    if bare:
        try:
            tomlkit.parse(f"value = {text}\n")
        except TOMLKitError:
            return _quoted(text)
        return text
    return _quoted(text)


def _quoted(text: str) -> str:
    return str(tomlkit.string(text).as_string())
