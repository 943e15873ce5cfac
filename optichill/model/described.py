"""What the keys of a model mean and how they are written, out of the model itself."""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from optichill import display
from optichill.model.fields import Choice, Written
from optichill.model.number import Number
from optichill.model.quantity import Quantity


@dataclass(frozen=True)
class Key:
    """One key of a file, or column of a list. written : type and range, "" of a mere table; default : as
    text, "" where leaving it out has no value of its own; table : model of a table below; many : a list."""

    name: str
    written: str
    default: str
    required: bool
    means: str
    table: type[BaseModel] | None = None
    many: bool = False


def keys(model: type[BaseModel]) -> list[Key]:
    """All keys of a model, in its order."""
    means = meanings(model)
    return [
        _key(field.alias or name, field, means.get(name, "")) for name, field in model.model_fields.items()
    ]


def meanings(model: type[BaseModel]) -> dict[str, str]:
    """The text below each field, from the source: nothing of it is kept while a command runs."""
    found: dict[str, str] = {}
    for cls in reversed(model.__mro__):
        if cls is BaseModel or not issubclass(cls, BaseModel):
            continue
        body = ast.parse(textwrap.dedent(inspect.getsource(cls))).body[0]
        assert isinstance(body, ast.ClassDef)
        for field, text in pairwise(body.body):
            if not isinstance(field, ast.AnnAssign) or not isinstance(text, ast.Expr):
                continue
            if isinstance(field.target, ast.Name) and isinstance(text.value, ast.Constant):
                found[field.target.id] = str(text.value.value)
    return found


def model_in(annotation: Any) -> type[BaseModel] | None:
    """The model behind `Tap | None` or `tuple[Part, ...]`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for inner in get_args(annotation) if (found := model_in(inner))), None)


def ways_written(field: FieldInfo) -> list[Quantity | Number | Choice | Written]:
    """All that says how the values of a field are written."""
    return [*_annotations(field.metadata), *_annotations(get_args(field.annotation))]


def _key(name: str, field: FieldInfo, means: str) -> Key:
    table = model_in(field.annotation)
    many = "tuple" in str(field.annotation)
    said = ways_written(field)
    written = "; ".join(dict.fromkeys(one.written for one in said))
    if table is None and many and not any(isinstance(one, Written) for one in said):
        written = f"list of: {written}"
    return Key(name, written, _default(field, said), field.is_required(), means, table, many)


def _annotations(parts: Any) -> Iterator[Quantity | Number | Choice | Written]:
    """What says how a value is written, however deep in a type."""
    for part in parts:
        if isinstance(part, Quantity | Number | Choice | Written):
            yield part
        elif hasattr(part, "__metadata__"):
            yield from _annotations(part.__metadata__)
        else:
            yield from _annotations(get_args(part))


def _default(field: FieldInfo, said: list[Any]) -> str:
    value = None if field.is_required() else field.get_default(call_default_factory=True)
    if (
        value is None or value == () or value != value or isinstance(value, BaseModel)
    ):  # unset is not a number
        return ""
    kind = next((one.kind for one in said if isinstance(one, Quantity)), None)
    if kind is not None and isinstance(value, float):
        return display.show(value, {"volume": "exact_volume"}.get(kind, kind))
    if isinstance(value, bool):
        words = next((one.written for one in said if isinstance(one, Written)), "true, false").split(", ")
        return words[0] if value else words[1]
    if isinstance(value, tuple):
        return ", ".join(value)
    return f"{value:g}" if isinstance(value, float) else str(value)
