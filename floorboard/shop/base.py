"""What all shop definitions have in common: frozen, strict, named by an id."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from floorboard.shop.printable import printable

LONGEST_NAME = 300
LONGEST_ID = 40
# The highest number a mold can be chosen by.
HIGHEST_NUMBER = 9999

Id = Annotated[
    str,
    StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]*$", max_length=LONGEST_ID),
    Field(description="lower-case letters, digits and hyphens"),
]


def _visible(text: str) -> str:
    if not text.strip():
        raise ValueError(f"found {text!r}, expected a name that can be seen")
    return text


Name = Annotated[
    str,
    StringConstraints(min_length=1, max_length=LONGEST_NAME),
    AfterValidator(printable),
    AfterValidator(_visible),
]
Note = Annotated[str, StringConstraints(max_length=2000), AfterValidator(printable)]


class Definition(BaseModel):
    """A frozen value that refuses fields it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=True)
