"""Text for cells of a sheet, kept from being read as a formula.

A cell that begins with one of these signs is taken for a formula by spreadsheets, also out of a
CSV file. A leading apostrophe makes it text. Source: OWASP, "CSV Injection".
"""

from __future__ import annotations

_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def plain_cell(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula."""
    return f"'{text}" if text.lstrip(" ").startswith(_FORMULA_SIGNS) else text
