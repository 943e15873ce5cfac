"""One word, one meaning: what a reader would take for something else is said otherwise."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import optichill

ROOMS = ("report", "api", "cli", "workshop", "fabrication", "owned")
HOUSE = Path(optichill.__file__).parent
ON_SCALES = {"weighed"}
"""The name of a prior, of wort on scales or by a stick: a key, not told."""


def _body(node: ast.AST) -> list[ast.stmt]:
    body = getattr(node, "body", None)
    return body if isinstance(body, list) else []  # that of a lambda is an expression


def texts(file: Path) -> Iterator[str]:
    """Strings of a module that may be told, its docstrings left aside."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    docs = {
        id(statement.value)
        for node in ast.walk(tree)
        for statement in _body(node)
        if isinstance(statement, ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


@pytest.mark.parametrize("room", ROOMS)
def test_only_scales_weigh(room: str) -> None:
    """Combinations were weighed, coils were weighed on a roll, and so was ice."""
    for file in sorted((HOUSE / room).rglob("*.py")):
        for text in texts(file):
            assert text in ON_SCALES or not re.search(r"\b(weighed|WEIGHED)\b", text), (file.name, text)
