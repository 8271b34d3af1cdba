"""The page maker: templates that escape what they are given, and pages that fetch nothing."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).parent / "templates"


@cache
def environment() -> Environment:
    """Return the templates' environment, loaded only when a page is made."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def rendered(template: str, **values: object) -> str:
    """Return a page; values are shown as typed, never read as markup."""
    return environment().get_template(template).render(**values)
