"""The examples in the docstrings are right, and no formula comes without its own.

Examples are collected module by module, so that they run like any other test, on as many cores as there are.
"""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from where import ROOT

import optichill as oc

PACKAGE = ROOT / "optichill"
DOCUMENTED = (
    "properties",
    "correlations",
    "geometry",
    "workshop/difficulty.py",
    "workshop/cost.py",
    "thermal/hydraulics.py",
    "thermal/supply.py",
    "thermal/exchanger.py",
    "thermal/sources.py",
    "fabrication/markout.py",
    "fabrication/clocking.py",
    "fabrication/template.py",
    "units.py",
    "display.py",
    "money.py",
)
"""Rooms and modules in which every public function is documented in full."""

ALSO = {"thermal/cooldown.py": {"chill"}, "thermal/march.py": {"march"}}
"""Single functions that a person calls, in modules that are otherwise called by their neighbours."""

FORMULA = re.compile(r"[A-Za-z].*_([A-Z][a-z]+|[A-Z]{2,})$")
"""A published formula ends with its author, or the body behind it: Nu_crossflow_Churchill_Bernstein."""

EXCEPTIONS: dict[str, str] = {}
"""Functions without Parameters, Returns or Examples, by "module.py:function", each with the reason."""


def modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def with_examples() -> list[Path]:
    return [p for p in modules() if ">>>" in p.read_text(encoding="utf-8")]


def short(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


@pytest.mark.parametrize("path", with_examples(), ids=short)
def test_examples(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run where the packaged examples lie, with the door at hand as a notebook has it."""
    monkeypatch.chdir(ROOT)
    name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    module = importlib.import_module(name)
    for key, value in [*vars(module).items()]:
        told_once = getattr(value, "__module__", "") == name and hasattr(value, "__wrapped__")
        if told_once and not inspect.isgeneratorfunction(
            value.__wrapped__
        ):  # of which its example is not seen
            monkeypatch.setattr(module, key, value.__wrapped__)
    examples = doctest.DocTestFinder(exclude_empty=True).find(module, name, extraglobs={"oc": oc})
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS)
    said: list[str] = []
    for example in examples:
        runner.run(example, out=said.append, clear_globs=False)
    assert runner.tries > 0 and not runner.failures, "".join(said)


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def functions(path: Path) -> Iterator[ast.FunctionDef]:
    """Public functions of a module; methods belong to their class."""
    for node in parsed(path).body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node


def lacking(function: ast.FunctionDef) -> list[str]:
    """What a function's docstring leaves out: a section, or a parameter."""
    text = ast.get_docstring(function) or ""
    heads = re.split(r"^(\w+)\n-+$", text, flags=re.MULTILINE)
    sections = dict(zip(heads[1::2], heads[2::2], strict=True))
    arguments = function.args
    names = {a.arg for a in (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs)}
    told = re.findall(r"^(\w+(?:, \w+)*) :", sections.get("Parameters", ""), flags=re.MULTILINE)
    missing = sorted(names - {name for line in told for name in line.split(", ")})
    returns = [] if sections.get("Returns", "").strip() else ["Returns"]
    return missing + returns + ([] if ">>>" in sections.get("Examples", "") else ["Examples"])


def wanted(path: Path, function: ast.FunctionDef) -> bool:
    return (
        short(path).startswith(DOCUMENTED)
        or function.name in ALSO.get(short(path), ())
        or FORMULA.match(function.name) is not None
    )


def test_every_formula_is_documented_in_full() -> None:
    found = [(p, f) for p in modules() for f in functions(p) if wanted(p, f)]
    assert len(found) > 100
    gaps = {f"{short(p)}:{f.name}": gap for p, f in found if (gap := lacking(f))}
    assert {name: gap for name, gap in gaps.items() if name not in EXCEPTIONS} == {}
    assert not EXCEPTIONS.keys() - gaps.keys(), "an exception that is none any more"


def test_what_a_docstring_lacks_is_found() -> None:
    (bare,) = ast.parse("def f(a, *, b):\n    'One sentence.'").body
    (whole,) = ast.parse(
        "def f(a, b):\n    '''It.\n\n    Parameters\n    ----------\n    a, b : float [m]\n\n    Returns\n"
        "    -------\n    float [m]\n\n    Examples\n    --------\n    >>> f(1, 2)\n    3\n    '''"
    ).body
    assert isinstance(bare, ast.FunctionDef) and isinstance(whole, ast.FunctionDef)
    assert lacking(bare) == ["a", "b", "Returns", "Examples"]
    assert lacking(whole) == []


def test_no_docstring_is_empty() -> None:
    """A dot, or a word, says nothing."""
    for path in modules():
        for node in ast.walk(parsed(path)):
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef):
                text = ast.get_docstring(node)
                where = f"{short(path)}:{getattr(node, 'name', 'module')}"
                assert text is None or len(text.split()) > 1, where
                assert text or not isinstance(node, ast.Module), where
