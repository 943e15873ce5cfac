"""The plan of the house: no circle of imports, and no room that takes from a neighbour's private drawer."""

from __future__ import annotations

import ast
from graphlib import CycleError, TopologicalSorter

import grimp
import pytest
from vulture import Vulture
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


USED_ELSEWHERE = {
    # Published formulas whose halves the exchanger evaluates by themselves, many coils at a time.
    "Nu_laminar_helical_Schmidt",
    "Nu_turbulent_helical_Gnielinski",
    "Nu_helical_Gnielinski",
    "Nu_horizontal_cylinder_Churchill_Chu",
    "Nu_crossflow_Churchill_Bernstein",
    "wall_factor_VDI",
    # Published, or the inverse of what the search asks: for a notebook, and the measure of what is used.
    "batch_time_Kern",
    "plato_from_SG",
    "turns_in_length",
    "form_diameter",
    "relaxed_turns",
    "one_tap",
    # Columns that are read by name.
    "roll_price",
    "tube_price",
    "pump_load",
    "roll_owned",
    "hardness",
    "sour_wort",
    "form_price",
    "tool_price",
    "ends_price",
    "ends_price_two",
    "one_bend",
    "joints_two",
    # What the door gives to a notebook.
    "to_dataframe",
    "save_machines",
    "ways_out",
    "_repr_html_",
    "__getattr__",
    "__dir__",
    # Called or read by click, pydantic, scipy, optuna, threads and reportlab.
    "append_logs",
    "daemon",
    "read_logs",
    "terminal",
    "list_commands",
    "get_command",
    "format_commands",
    "model_config",
    "drawOn",
    "afterPage",
    "hAlign",
    # What each shape of a drawing shows, for whoever takes the drawing apart.
    "_tag",
}


def unused(*sources: str) -> set[str]:
    """Names that are written down and never used, in any of the sources."""
    looker = Vulture(ignore_decorators=["@model_validator", "@field_validator"])
    for source in sources:
        looker.scan(source)
    return {item.name for item in looker.get_unused_code()}


def test_dead_code_would_be_found() -> None:
    dead = "def alive(): return dead\ndef dead(one, two): return one\nLEFT = 3"
    room = "class Room:\n    def empty(self): return 1"
    assert unused(dead, room, "alive()") == {"two", "LEFT", "Room", "empty"}


def test_nothing_is_dead() -> None:
    """Every function, method, constant, field and parameter of the package is used in the package."""
    found = unused(*(path.read_text(encoding="utf-8") for path in sorted((ROOT / "optichill").rglob("*.py"))))
    assert found == USED_ELSEWHERE
