"""One entry of a list in a form of its own: a layer, a step, a part, a shift."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from floorboard.screens.setup_screen.fields_form import FieldsForm
from floorboard.usecases.edit_items import item_form, read_item

if TYPE_CHECKING:
    from floorboard.shop.shop import Shop
    from floorboard.usecases.form_fields import FormField


class ItemForm(FieldsForm["dict[str, Any] | None"]):
    """The fields of one entry of a list."""

    def __init__(
        self,
        shop: Shop,
        title: str,
        section: str,
        field: FormField,
        item: dict[str, Any] | None,
    ) -> None:
        assert field.item is not None
        self._model = field.item
        self._list = field.name
        super().__init__(shop, title, section, item_form(shop, field.item, item))

    def made(self, typed: dict[str, str]) -> dict[str, Any]:
        """Return the entry."""
        return read_item(self._section, self._list, self._model, typed, self.shop)
