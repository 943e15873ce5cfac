"""The base of all that is read."""

from __future__ import annotations

from dataclasses import FrozenInstanceError
from typing import Any

from pydantic import BaseModel, ConfigDict


class Frozen(BaseModel):
    """Base of all that is read: unknown keys are refused, nothing changes afterwards."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    def __setattr__(self, name: str, value: Any) -> None:
        if name in type(self).model_fields:  # as a frozen dataclass says it, whatever checks the fields
            raise FrozenInstanceError(f"cannot assign to field '{name}'")
        super().__setattr__(name, value)


def settle(model: BaseModel, **values: Any) -> None:
    """Write a default that follows from other fields into a frozen model, from its own validator only."""
    for name, value in values.items():
        object.__setattr__(model, name, value)
