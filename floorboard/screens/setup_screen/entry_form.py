"""One definition in a form; it is saved only once nothing is wrong with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.screens.setup_screen.fields_form import FieldsForm
from floorboard.usecases.edit_shop import form_of, put_entry

if TYPE_CHECKING:
    from floorboard.shop.shop import Shop


class EntryForm(FieldsForm["Shop | None"]):
    """The fields of one entry of the shop."""

    def __init__(self, shop: Shop, section: str, key: str) -> None:
        self._key = key
        title = "The whole shop" if section == "shop" else f"{section}: {key}"
        super().__init__(shop, title, section, form_of(shop, section, key))

    def made(self, typed: dict[str, str]) -> Shop:
        """Return the changed shop."""
        return put_entry(self.shop, self._section, self._key, typed)
