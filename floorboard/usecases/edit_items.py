"""Edit a list of entries, such as a piece's layers, one entry at a time.

The list is kept as the TOML text it has in a form; each entry is an inline table in it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import tomlkit
from pydantic import ValidationError
from tomlkit.exceptions import TOMLKitError

from floorboard.shop.errors import field_text
from floorboard.shop.file_sentences import told
from floorboard.usecases.edit_shop import EditRefused
from floorboard.usecases.form_fields import REFERENCES, FormField, form_field, toml_of_typed
from floorboard.usecases.new_start import only_names

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.shop.base import Definition
    from floorboard.shop.shop import Shop

# Where a list stands in the shop does not matter to its entries; any key will do.
KEY = "entry"


def items_in(text: str) -> list[dict[str, Any]]:
    """Return the entries of a list's TOML text.

    Raises
    ------
    EditRefused
        If the text is no such list.
    """
    if not text.strip():
        return []
    try:
        found = tomlkit.parse(f"value = {text}\n").unwrap()["value"]
    except TOMLKitError:
        found = None
    if not isinstance(found, list) or not all(isinstance(item, dict) for item in found):
        raise EditRefused(f"Found {text[:60]!r}, expected a list of entries in square brackets.")
    return found


def items_text(items: Sequence[dict[str, Any]]) -> str:
    """Return entries as the TOML text of a list, one on a line."""
    if not items:
        return ""
    return "[\n" + "".join(f"    {_inline(item)},\n" for item in items) + "]"


def _inline(item: dict[str, Any]) -> str:
    return "{ " + ", ".join(f"{key} = {_toml(value)}" for key, value in item.items()) + " }"


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return _inline(value) if value else "{}"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(inner) for inner in value) + "]"
    return str(tomlkit.item(value).as_string())


def item_line(item: dict[str, Any]) -> str:
    """Return an entry in one line: the first value by itself, the others after their names."""
    shown = [(key, _shown(value)) for key, value in item.items() if value not in ("", [], {})]
    parts = [
        text if not place else f"{key.replace('_', ' ')} {text}"
        for place, (key, text) in enumerate(shown)
    ]
    return ", ".join(parts)


def _shown(value: Any) -> str:
    if isinstance(value, list):
        return " ".join(str(inner) for inner in value)
    if isinstance(value, dict):
        return " ".join(f"{key} {inner}" for key, inner in value.items())
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def item_form(
    shop: Shop, model: type[Definition], item: dict[str, Any] | None
) -> tuple[FormField, ...]:
    """Return the fields of an entry, or of a new one."""
    given = only_names(shop, model) if item is None else item
    fields = []
    for name, field in model.model_fields.items():
        value = given.get(name)
        if value is None and not field.is_required():
            value = field.get_default(call_default_factory=True, validated_data={})
        fields.append(form_field(shop, model, name, value))
    return tuple(fields)


def read_item(
    section: str,
    name: str,
    model: type[Definition],
    typed: dict[str, str],
    shop: Shop,
) -> dict[str, Any]:
    """Return an entry made of what was typed.

    Parameters
    ----------
    section, name
        The section and field the list stands in, such as "pieces" and "layers".
    shop
        Whose names are told where one is missing.

    Raises
    ------
    EditRefused
        With every mistake in the entry itself, a sentence each.
    """
    lines = []
    for field in model.model_fields:
        text = typed.get(field, "").strip()
        if text:
            lines.append(f"{field} = {toml_of_typed(model, field, text)}")
    item: dict[str, Any] = tomlkit.parse("\n".join(lines) + "\n").unwrap()
    try:
        model.model_validate(item)
    except ValidationError as error:
        raise EditRefused("\n".join(_sentences(error, section, name, item, shop))) from None
    return _without_defaults(model, item)


def _sentences(
    error: ValidationError, section: str, name: str, item: dict[str, Any], shop: Shop
) -> list[str]:
    place: tuple[str | int, ...] = (
        ("shop", name, 0) if section == "shop" else (section, KEY, name, 0)
    )
    data: Any = [item]
    for key in reversed(place[:-1]):
        data = {key: data}
    data = {known: getattr(shop, known) for known in set(REFERENCES.values())} | data
    sentences = []
    for detail in error.errors(include_url=False):
        detail["loc"] = (*place, *detail["loc"])
        said = told(detail, data)
        if said is not None:
            path, found, expected = said
            where = field_text(path[len(place) :])
            sentences.append(f"{where + ': ' if where else ''}found {found}, expected {expected}.")
    return list(dict.fromkeys(sentences))


def _without_defaults(model: type[Definition], item: dict[str, Any]) -> dict[str, Any]:
    """Leave out what a reader would supply by itself, so that lists stay short."""
    entry = model.model_validate(item)
    kept = {}
    for name, value in item.items():
        field = model.model_fields[name]
        if not field.is_required() and name != "days":
            default = field.get_default(call_default_factory=True, validated_data={})
            if getattr(entry, name) == default:
                continue
        kept[name] = value
    return kept
