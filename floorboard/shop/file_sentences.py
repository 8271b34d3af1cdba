"""What pydantic found wrong with a shop, said in the shop's words: path, found, expected."""

from __future__ import annotations

import types
from typing import TYPE_CHECKING, Annotated, Any, Union, get_args, get_origin

from floorboard.shop.base import Definition
from floorboard.shop.findings import names_text
from floorboard.shop.names import near_name
from floorboard.shop.reference_checks import names_for
from floorboard.shop.shop import Shop

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pydantic_core import ErrorDetails

Path = tuple[str | int, ...]

_LONGEST_FOUND = 80
_KEY = "[key]"


def told(error: ErrorDetails, data: Mapping[str, Any]) -> tuple[Path, str, str] | None:
    """Return (path, found, expected) of one of pydantic's errors; None if others say it already.

    Parameters
    ----------
    error : one of `ValidationError.errors()`.
    data : what was validated.
    """
    kind, context = error["type"], error.get("ctx", {})
    path, value = _path_in(error["loc"], data, kind)
    if kind == "missing":
        if names := names_for(path, data):
            return path, "nothing", f"one of: {names_text(names, quote='')}"
        wanted = f"'{path[-1]}'{_described(path)}" if len(path) > 1 else f"a section [{path[0]}]"
        return path, "nothing", wanted
    if kind == "extra_forbidden":
        return path, f"the field '{path[-1]}'", _known_fields(path)
    if kind == "too_short" and len(value) >= context["min_length"]:
        return None
    if kind in {"value_error", "quantity"}:
        why = str(context["error"] if kind == "value_error" else context["why"])
        found, _, expected = why.partition("expected ")
        return path, found.removeprefix("found ").rstrip(", "), expected
    if kind in {"too_long", "too_short"}:
        return path, f"{len(value)} entries", _expected(error, path)
    return path, _shown(value), _expected(error, path)


def _path_in(loc: tuple[str | int, ...], data: Any, kind: str) -> tuple[Path, Any]:
    """Follow an error's location through the data, leaving out what is not a key of it."""
    path: list[str | int] = []
    for key in loc:
        found = (isinstance(data, dict) and key in data) or (
            isinstance(data, list) and isinstance(key, int) and key < len(data)
        )
        if found:
            path.append(key)
            data = data[key]
    if kind == "missing":
        path.append(loc[-1])
    return tuple(path), loc[-2] if loc[-1] == _KEY else data


def _model_at(path: Path) -> type[Definition] | None:
    """Return the model that a path of a shop leads to, None where it leads to a plain value."""
    here: Any = Shop
    for key in path:
        if isinstance(here, type) and issubclass(here, Definition):
            field = here.model_fields.get(str(key))
            here = _inner(field.annotation) if field else None
        elif get_origin(here) in {dict, tuple}:
            here = _inner(get_args(here)[1 if get_origin(here) is dict else 0])
        else:
            return None
    return here if isinstance(here, type) and issubclass(here, Definition) else None


def _inner(annotation: Any) -> Any:
    """Take off Annotated and, of a union, choose the branch that holds fields of its own."""
    while get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    if get_origin(annotation) in {Union, types.UnionType}:
        branches = [_inner(branch) for branch in get_args(annotation)]
        return next(
            (b for b in branches if isinstance(b, type) and issubclass(b, Definition)), None
        )
    return annotation


def _described(path: Path) -> str:
    model = _model_at(path[:-1])
    field = model.model_fields.get(str(path[-1])) if model else None
    if field is None:
        return ""
    if field.description:
        return f": {field.description}"
    example = getattr(field.annotation, "example", "")
    return f", such as '{example}'" if example else ""


def _known_fields(path: Path) -> str:
    model = _model_at(path[:-1])
    if model is None:
        return "no such field"
    near = near_name(str(path[-1]), model.model_fields)
    if near:
        return f"a field that is known here, perhaps '{near}'"
    return f"one of: {', '.join(model.model_fields)}"


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= _LONGEST_FOUND else f"{text[:_LONGEST_FOUND]}…"


def _expected(error: ErrorDetails, path: Path) -> str:
    kind = error["type"]
    if kind in {"model_type", "model_attributes_type"}:
        model = _model_at(path)
        fields = model.model_fields.items() if model else ()
        needed = ", ".join(name for name, field in fields if field.is_required())
        return f"a table with {needed}" if needed else "a table"
    if kind in _EXPECTED:
        return _EXPECTED[kind].format(**error.get("ctx", {}))
    return error["msg"].removeprefix("Input should be ").rstrip(".")


_EXPECTED = {
    "string_pattern_mismatch": "lower-case letters, digits and hyphens, as in 'lamp-base-2'",
    "string_type": "a text in quotes",
    "string_too_short": "a text that is not empty",
    "string_too_long": "at most {max_length} characters",
    "too_long": "at most {max_length}",
    "too_short": "at least {min_length}",
    "dict_type": "tables, each with a name of its own",
    "tuple_type": "a list in square brackets",
    "int_type": "a whole number without quotes",
    "int_from_float": "a whole number",
    "int_parsing": "a whole number",
    "int_parsing_size": "a whole number",
    "float_type": "a number",
    "float_parsing": "a number",
    "finite_number": "a finite number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "literal_error": "one of: {expected}",
    "greater_than": "more than {gt}",
    "greater_than_equal": "at least {ge}",
    "less_than": "less than {lt}",
    "less_than_equal": "at most {le}",
}
