"""On which line of a TOML text each key stands."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from tree_sitter import Node

Path = tuple[str | int, ...]

_KEYS = {"bare_key", "quoted_key", "dotted_key"}


class LineMap:
    """Key paths of a TOML text and the lines they stand on, counted from 1.

    Array tables and arrays put a place counted from 0 into the path:
    ``("pieces", "lamp-base", "layers", 0, "mix")``.
    """

    def __init__(self, text: str) -> None:
        # Only a refused file needs lines: a good one is read without loading a parser.
        import tree_sitter
        import tree_sitter_toml

        language = tree_sitter.Language(tree_sitter_toml.language())
        self._lines: dict[Path, int] = {}
        self._elements: dict[Path, int] = {}
        tree = tree_sitter.Parser(language).parse(text.encode(errors="replace"))
        for node in tree.root_node.children:
            if node.type == "pair":
                self._pair((), node)
            elif node.type in {"table", "table_array_element"}:
                self._table(node)

    def line(self, path: Sequence[str | int]) -> int:
        """Return the line of a path; of the nearest table round it where it is not in the text."""
        path = tuple(path)
        while path:
            if path in self._lines:
                return self._lines[path]
            path = path[:-1]
        return 1

    def _mark(self, path: Path, node: Node) -> None:
        self._lines.setdefault(path, node.start_point[0] + 1)

    def _table(self, node: Node) -> None:
        keys = next((_key_words(child) for child in node.children if child.type in _KEYS), [])
        path: Path = ()
        for key in keys[:-1]:
            path = (*path, key)
            self._mark(path, node)
            if path in self._elements:
                path = (*path, self._elements[path] - 1)
        if keys:
            path = (*path, keys[-1])
        self._mark(path, node)
        if node.type == "table_array_element":
            self._elements[path] = place = self._elements.get(path, 0) + 1
            path = (*path, place - 1)
            self._mark(path, node)
        for child in node.children:
            if child.type == "pair":
                self._pair(path, child)

    def _pair(self, base: Path, node: Node) -> None:
        parts = [child for child in node.children if child.type not in {"=", "comment"}]
        if len(parts) < 2 or parts[0].type not in _KEYS:
            return
        path = base
        for key in _key_words(parts[0]):
            path = (*path, key)
            self._mark(path, node)
        self._value(path, parts[1])

    def _value(self, path: Path, node: Node) -> None:
        if node.type == "inline_table":
            for child in node.children:
                if child.type == "pair":
                    self._pair(path, child)
        elif node.type == "array":
            for place, child in enumerate(_elements(node)):
                self._mark((*path, place), child)
                self._value((*path, place), child)


def _elements(node: Node) -> Iterable[Node]:
    return (child for child in node.children if child.type not in {"[", "]", ",", "comment"})


def _key_words(node: Node) -> list[str]:
    if node.type == "dotted_key":
        return [
            word for child in node.children if child.type in _KEYS for word in _key_words(child)
        ]
    text = (node.text or b"").decode(errors="replace")
    if node.type == "bare_key":
        return [text]
    try:
        table: dict[str, Any] = tomllib.loads(f"{text} = 0")
    except ValueError:
        return [text]
    return list(table)
