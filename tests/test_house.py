"""The plan of the house: no circle of imports, and no room that takes from a neighbour's private drawer."""

from __future__ import annotations

import ast
from graphlib import CycleError, TopologicalSorter

import grimp
import pytest
from where import ROOT


def imports() -> dict[str, set[str]]:
    """Every module with the modules it imports, imports for typing counted, and those inside functions."""
    graph = grimp.build_graph("optichill", cache_dir=None)
    return {m: set(graph.find_modules_directly_imported_by(m)) for m in graph.modules}


def test_no_circle_of_imports() -> None:
    """Modules can be laid in an order in which each imports only from those before it."""
    try:
        order = [*TopologicalSorter(imports()).static_order()]
    except CycleError as error:
        pytest.fail(f"circle: {' -> '.join(error.args[1])}")
    assert len(order) > 100


def test_a_circle_would_be_found() -> None:
    """The same check on a graph that has one."""
    with pytest.raises(CycleError):
        [*TopologicalSorter({**imports(), "optichill.errors": {"optichill.cli.main"}}).static_order()]


def borrowed(source: str) -> list[str]:
    """Private names that a module takes from others: imported, or read off an imported module."""
    tree = ast.parse(source)
    modules: set[str] = set()
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("optichill"):
            found += [a.name for a in node.names if a.name.startswith("_") and not a.name.startswith("__")]
            modules |= {a.asname or a.name for a in node.names}
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in modules:
            if node.attr.startswith("_") and not node.attr.startswith("__"):
                found.append(f"{node.value.id}.{node.attr}")
    return found


def test_no_module_takes_a_neighbours_private_names() -> None:
    assert borrowed("from optichill.units import _MEANT\nfrom optichill import units\nunits._MEANT") == [
        "_MEANT",
        "units._MEANT",
    ]
    for path in sorted((ROOT / "optichill").rglob("*.py")):
        assert not borrowed(path.read_text(encoding="utf-8")), path
