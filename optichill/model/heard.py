"""What was written otherwise and understood all the same, or left out: kept for whoever listens."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError, ValidationInfo, ValidatorFunctionWrapHandler, WrapValidator

from optichill.errors import shown

FROM_TEXT: dict[str, Any] = {"text": True}


@dataclass(frozen=True)
class Heard:
    """Something that was not written as it should be and was understood all the same, or left out.

    field : key or column; text : what was made of it; group : of all in a group one is told.
    """

    field: str
    text: str
    group: str


def from_text(info: ValidationInfo) -> bool:
    """Whether a file is being read."""
    return bool(info.context and info.context.get("text"))


def listening(heard: list[Heard], **context: Any) -> dict[str, Any]:
    """The context in which what is `Heard` is kept in a list.

    Of a file it is FROM_TEXT as well; `units` says in whose country an unclear date was written.
    """
    return {**context, "heard": heard}


def hear(info: ValidationInfo, text: str, group: str) -> bool:
    """Keep what was made of a value; False where nobody listens."""
    heard = (info.context or {}).get("heard")
    if heard is not None:
        heard.append(Heard(str(info.field_name or ""), text, group))
    return heard is not None


def left_out(blank: Any) -> WrapValidator:
    """Of a field that acts on nothing: what cannot be read is told, left out, and never blocks."""

    def read(value: Any, handler: ValidatorFunctionWrapHandler, info: ValidationInfo) -> Any:
        try:
            return handler(value)
        except ValidationError as error:
            reason = error.errors(include_url=False)[0]["msg"]
            said = f"'{shown(str(value))}' left out, for it acts on nothing: {reason}"
            if not hear(info, said, f"left out of {info.field_name}"):
                raise
            return blank

    return WrapValidator(read)
