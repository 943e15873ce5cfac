"""The coil that goes on, in wort that is stirred more: a paddle may do for nothing what is else bought.

Stirred as `improve` proposes it, and reckoned by the same model.
"""

from __future__ import annotations

from dataclasses import dataclass

from optichill.model.stirring import Stirring, as_mixing, more_motion
from optichill.owned.new_kettle.option import Option, worked_out
from optichill.owned.new_kettle.order import ranked
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.rating.coil_rating import quick_rating


@dataclass(frozen=True)
class Stirred:
    """The coil kept, and stirred. option : what becomes of it, in the new kettle stirred so; plain : the same
    as the wort is stirred now; tool, motion : all along; beside : how long the first option takes when it is
    stirred so too [s], None where that is the same, or there is none."""

    option: Option
    plain: Option
    tool: str
    motion: str | None
    beside: float | None = None

    @property
    def table(self) -> dict[str, str]:
        """Under [wort] of the brewhouse file, as `mixing`."""
        return as_mixing(self.tool, self.motion)

    @property
    def keeps(self) -> bool:
        """Whether it holds what the brewer limits, and would not without."""
        return self.option.holds and not self.plain.holds


def stirred(new: DesignBasis, standing: list[Option], first: Option | None) -> Stirred | None:
    """The best of what keeps the coil, stirred more than now; None where that is not worth telling.
    standing : what goes on with it, also what misses the target as it is stirred now; first : of all."""
    if first is not None and first.name == "keep" and first.holds:
        return None  # then nothing is to be done: what helps it more says `improve`
    found = [
        Stirred(_option(plain, basis_with(plain.basis, *way)), plain, *way)
        for way in reversed(more_motion(new.brewhouse.wort.mixing))  # the plainer comes later
        for plain in standing
    ]
    found = [s for s in found if s.option.rating.prediction.chill_time is not None]
    if not found:
        return None
    there = [s for s in found if s.option.name == "keep" and s.option.holds]  # nothing is done to it
    by = {id(s.option): s for s in there or found}
    best = ranked([s.option for s in by.values()], worth_of(new).minute)[0]
    told = by[id(best)]
    return _beside(told, first) if _worth_telling(told, first, worth_of(new).minute) else None


def basis_with(basis: DesignBasis, tool: str, motion: str | None) -> DesignBasis:
    """The kettle with its wort moved so all along."""
    mixing = Stirring.model_validate(as_mixing(tool, motion))
    wort = basis.brewhouse.wort.model_copy(update={"mixing": mixing})
    return basis.restated(basis.brewhouse.model_copy(update={"wort": wort}))


def _option(plain: Option, basis: DesignBasis) -> Option:
    own = {"reused": plain.reused, "sizes": plain.sizes, "texts": plain.texts}
    return worked_out(plain.name, basis, plain.coil, plain.bill, plain.work, **own)  # type: ignore[arg-type]


def _worth_telling(s: Stirred, first: Option | None, tie: float) -> bool:
    """Where nothing else serves; where it keeps a limit that is broken without; and where it does as much as
    the first option, which costs money or work, or costs less over the coil's life."""
    option = s.option
    if first is None or (option.holds and not first.holds):
        return True
    if first.name in ("keep", option.name) or (first.holds and not option.holds):
        return False
    then, now = option.rating.prediction.told.time, first.rating.prediction.told.time
    if then is None or now is None:
        return False
    as_quick = round(then / 60.0) <= round(now / 60.0)
    return s.keeps or as_quick or float(option.life.total) < float(first.life.total) - tie


def _beside(s: Stirred, first: Option | None) -> Stirred:
    if first is None or first.name == s.option.name:
        return s
    rating = quick_rating(basis_with(first.basis, s.tool, s.motion), first.coil)
    return Stirred(s.option, s.plain, s.tool, s.motion, rating.prediction.told.time)
