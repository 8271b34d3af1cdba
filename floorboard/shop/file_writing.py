"""A shop written as TOML for a person to read and edit, quantities as they were first written."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from floorboard.shop.base import Definition
from floorboard.shop.quantities import Quantity
from floorboard.shop.shop import WEEKDAYS, Shop

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

# Sections whose entries are short: one line each under one header.
_ONE_LINE_SECTIONS = ("stations", "molds", "orders", "reasons")
# Lists whose entries are long: a table each.
_TABLE_LISTS = ("layers", "route")

_HEADS = {
    "shop": "The shop. Every quantity in this file carries its unit: 420 g, 1 lb 4 oz, 7 min, 3/8 in.",
    "people": "People: shifts and breaks in local time. Skills: ready, layer, demold, finish.",
    "stations": "Stations: how many places each has.",
    "materials": "Materials: what is weighed into a batch.",
    "mixes": "Mixes: parts, and additives each as a percentage of a named base.",
    "pieces": "Pieces: layers in order, then the finishing route. Waits count from the end of the\n"
    "# layer or step before.",
    "molds": "Molds: the number is what is keyed to choose one; pulls so far.",
    "orders": "Orders: a date means the end of that day.",
    "reasons": "Reasons a casting is rejected or sent back.",
}


def write_shop(shop: Shop) -> str:
    """Return the shop as TOML; `read_shop` of it gives an equal shop. Defaults are left out."""
    lines: list[str] = []
    for section in Shop.model_fields:
        value = getattr(shop, section)
        if section == "shop":
            body = list(_table(("shop",), value))
        elif (not value and not Shop.model_fields[section].is_required()) or (
            section == "reasons"
            and value == Shop.model_fields["reasons"].get_default(call_default_factory=True)
        ):
            continue
        elif section in _ONE_LINE_SECTIONS or not value:
            body = [f"[{section}]", *(f"{key} = {_inline(entry)}" for key, entry in value.items())]
        else:
            body = _tables(section, value)
        lines += [f"# {_HEADS[section]}", *body, ""]
    return "\n".join(lines)


def _tables(section: str, entries: Mapping[str, Definition]) -> list[str]:
    lines: list[str] = []
    for key, entry in entries.items():
        lines += ["", *_table((section, key), entry)] if lines else _table((section, key), entry)
    return lines


def _table(path: tuple[str, ...], entry: Definition) -> Iterator[str]:
    yield f"[{'.'.join(path)}]"
    later: list[str] = []
    for name, value in _written(entry):
        if name in _TABLE_LISTS:
            for item in value:
                later += ["", f"[[{'.'.join((*path, name))}]]"]
                later += [f"{key} = {field_toml(key, inner)}" for key, inner in _written(item)]
        else:
            yield f"{name} = {field_toml(name, value)}"
    yield from later


def _written(entry: Definition) -> Iterator[tuple[str, Any]]:
    """The fields of an entry that a reader would not supply by itself."""
    for name, field in type(entry).model_fields.items():
        value = getattr(entry, name)
        if not field.is_required() and name != "days":
            default = field.get_default(call_default_factory=True, validated_data={})
            same_text = getattr(value, "text", None) == getattr(default, "text", None)
            if value == default and same_text:
                continue
        yield name, value


def field_toml(name: str, value: Any) -> str:
    """Return a field's value as TOML; a list of entries puts one on a line."""
    if _is_entries(value):
        return "[\n" + "".join(f"    {_inline(item)},\n" for item in value) + "]"
    if isinstance(value, Definition) and any(_is_entries(v) for _, v in _written(value)):
        return _wrapped_table(value)
    return _plain(name, value)


def _is_entries(value: Any) -> bool:
    return isinstance(value, tuple) and bool(value) and isinstance(value[0], Definition)


def _wrapped_table(entry: Definition) -> str:
    """An inline table whose lists are broken over lines, as TOML allows only inside a list."""
    return "{ " + ", ".join(f"{name} = {field_toml(name, v)}" for name, v in _written(entry)) + " }"


def _inline(entry: Definition) -> str:
    fields = [f"{name} = {_plain(name, value)}" for name, value in _written(entry)]
    return "{ " + ", ".join(fields) + " }" if fields else "{}"


def _plain(name: str, value: Any) -> str:
    import tomlkit

    if isinstance(value, Definition):
        return _inline(value)
    if isinstance(value, dict):
        inner = ", ".join(f"{key} = {_plain(key, entry)}" for key, entry in value.items())
        return "{ " + inner + " }" if inner else "{}"
    if name == "days":
        return tomlkit.string(_days_text(value)).as_string()
    if isinstance(value, tuple | list):
        return "[" + ", ".join(_plain("", item) for item in value) + "]"
    if isinstance(value, Quantity):
        return tomlkit.string(value.text).as_string()
    if isinstance(value, float) and value == int(value):
        return str(int(value))
    if isinstance(value, dt.time):
        text = value.isoformat("minutes" if not value.second else "seconds")
        return tomlkit.string(text).as_string()
    return str(tomlkit.item(value).as_string())


def _days_text(days: tuple[int, ...]) -> str:
    """Days as a person writes them: "mon-fri" for a run of three or more, else one by one."""
    if len(days) >= 3 and list(days) == list(range(days[0], days[-1] + 1)):
        return f"{WEEKDAYS[days[0]]}-{WEEKDAYS[days[-1]]}"
    return " ".join(WEEKDAYS[day] for day in days)
