"""What a new entry's form starts with: whatever can be told before anything is typed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from floorboard.shop.base import HIGHEST_NUMBER
from floorboard.usecases.form_fields import REFERENCES

if TYPE_CHECKING:
    from pydantic import BaseModel

    from floorboard.shop.shop import Shop


def new_start(shop: Shop, section: str, model: type[BaseModel], key: str) -> dict[str, Any]:
    """Return values by field for a new entry of a section, whose id is `key`.

    A mold gets the lowest free number, whatever is named by its id a name like it, a person the
    hours everyone has, and every reference with one possible answer that answer.
    """
    start = only_names(shop, model)
    name = model.model_fields.get("name")
    if name is not None and name.is_required() and key:
        start["name"] = key.replace("-", " ").capitalize()
    if section == "molds":
        start["number"] = _free_number(shop)
    if section == "people":
        start |= _hours_of_all(shop)
    return start


def only_names(shop: Shop, model: type[BaseModel]) -> dict[str, Any]:
    """Return the references a model needs that can name but one entry of the shop."""
    found = {}
    for name, field in model.model_fields.items():
        if name in REFERENCES and field.is_required():
            names = list(getattr(shop, REFERENCES[name]))
            if len(names) == 1:
                found[name] = names[0]
    return found


def _free_number(shop: Shop) -> int | None:
    taken = {mold.number for mold in shop.molds.values()}
    return next((n for n in range(1, HIGHEST_NUMBER + 1) if n not in taken), None)


def _hours_of_all(shop: Shop) -> dict[str, Any]:
    """Return the shifts and breaks that all people of the shop have in common, if they do."""
    found = {}
    for name in ("shifts", "breaks"):
        hours = {getattr(person, name) for person in shop.people.values()}
        if len(hours) == 1:
            found[name] = hours.pop()
    return found
