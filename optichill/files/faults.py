"""From a model's validation error to our own faults: place, key, what was given, why not, what instead."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from optichill.errors import InputFault, shown
from optichill.model.described import model_in, ways_written
from optichill.model.heard import Heard
from optichill.model.quoted import quote
from optichill.model.refusals import near

Location = tuple[str | int, ...]


class Findings(list[InputFault]):
    """The faults of one reading, and what was understood though it was not written as it should be."""

    def __init__(self) -> None:
        super().__init__()
        self.remarks: list[str] = []

    def tell(self, file: str, heard: list[tuple[int, Heard]]) -> None:
        """One remark for each group, with the first line and how many more there are."""
        groups: dict[str, list[tuple[int, Heard]]] = {}
        for line, found in heard:
            groups.setdefault(found.group, []).append((line, found))
        for found_there in groups.values():
            line, first = found_there[0]
            place = f"{shown(file, 1000)}:{line}" if line else shown(file, 1000)
            more = f" (and {len(found_there) - 1} more)" if len(found_there) > 1 else ""
            self.remarks.append(f"{place}: {first.field}: {first.text}{more}")


_SAID = {
    "missing": "missing",
    "model_type": "must be a table of keys",
    "model_attributes_type": "must be a table of keys",
    "dict_type": "must be a table of keys",
    "tuple_type": "must be a list in square brackets",
    "bool_type": "must be true or false, without quotes",
    "string_type": "must be text in quotes",
}


def from_validation(
    error: ValidationError,
    model: type[BaseModel],
    file: str,
    line_of: Callable[[Location], int],
    place_of: Callable[[Location], Location] = lambda where: where,
) -> list[InputFault]:
    """Every fault of one validation.

    Parameters
    ----------
    error, model : what pydantic found, and the model that it was asked for.
    file : name as a message says it.
    line_of : line of a location.
    place_of : where the value really stands, when a shorthand was unfolded before validation.
    """
    faults = []
    for found in error.errors(include_url=False):
        context = found.get("ctx", {})
        where: Location = tuple(found["loc"])
        if context.get("key"):
            inside = str(context["key"]).split(".")
            where = (*where, *(int(part) if part.isdigit() else part for part in inside))
        where = place_of(where)
        reason, allowed = _said(str(found["type"]), str(found["msg"]), context, model, where)
        value = "" if found["type"] == "missing" or context.get("key") else given(found["input"])
        faults.append(InputFault(file, line_of(where), key_text(where), value, reason, allowed))
    return faults


def key_text(where: Location) -> str:
    """ "cooling[2].until": entries of a list are counted from 1."""
    text = ""
    for part in where:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f".{part}" if text else part
    return text or "file"


def _said(
    kind: str, message: str, context: dict[str, Any], model: type[BaseModel], where: Location
) -> tuple[str, str]:
    if kind == "refused":
        return str(context["reason"]), str(context["allowed"])
    if kind == "extra_forbidden":
        known = known_keys(model, where[:-1])
        hint = near(str(where[-1]), known)
        return f"unknown key{hint}", "" if hint else ", ".join(known)
    if kind == "missing":
        field = _field_at(model, where)
        written = [] if field is None else [one.written for one in ways_written(field)]
        return _SAID[kind], "; ".join(dict.fromkeys(written))
    if kind == "tuple_type" and _tables_at(model, where):
        return f"must be a list of tables, in a file each under a line [[{_without_places(where)}]]", ""
    return _SAID.get(kind, message), ""


def _field_at(model: type[BaseModel], where: Location) -> FieldInfo | None:
    """The field behind a location."""
    found = _model_at(model, where[:-1])
    fields = {} if found is None else _fields(found)
    return fields.get(str(where[-1])) if where else None


def _tables_at(model: type[BaseModel], where: Location) -> bool:
    """Whether a list of tables stands at a location."""
    field = _field_at(model, where)
    return field is not None and model_in(field.annotation) is not None


def _without_places(where: Location) -> str:
    return ".".join(str(part) for part in where if not isinstance(part, int))


def known_keys(model: type[BaseModel], where: Location) -> list[str]:
    """Keys that are read in the table at a location, as they are written in a file."""
    found = _model_at(model, where)
    return [] if found is None else list(_fields(found))


def _model_at(model: type[BaseModel], where: Location) -> type[BaseModel] | None:
    """The model of the table at a location."""
    found: type[BaseModel] | None = model
    for part in where:
        if isinstance(part, int) or found is None:
            continue
        fields = _fields(found)
        found = model_in(fields[part].annotation) if part in fields else None
    return found


def _fields(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """Its fields by the names that a file has."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def given(value: Any) -> str:
    """A value as a message shows it: as its file has it, short, printable, whatever it is."""
    value = quote(value)
    if isinstance(value, dict | BaseModel):
        return ""
    if isinstance(value, int) and abs(value) > 10**18:
        return "a huge number"
    try:
        text = str(value).lower() if isinstance(value, bool) else str(value)
    except Exception:  # somebody else's object, or one that holds itself
        return f"a {type(value).__name__}"
    return shown(text)
