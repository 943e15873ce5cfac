"""Which of several options comes first."""

from __future__ import annotations

from optichill.owned.new_kettle.option import NAMES, Option


def ranked(options: list[Option], tie: float) -> tuple[Option, ...]:
    """Best first: what holds all that is limited before what does not, and of that what keeps the wort over
    its top turn before what is brought nearer to the surface; of what comes within a tie of the least [money]
    the one with less work."""
    left, out = list(options), []
    while left:
        some = [o for o in left if o.holds] or left
        some = [o for o in some if not o.brought_near] or some
        least = min(float(o.life.total) for o in some)
        out.append(min((o for o in some if float(o.life.total) <= least + tie), key=_least_work))
        left.remove(out[-1])
    return tuple(out)


def _least_work(option: Option) -> tuple[float, int]:
    """Hours of work; of as many what changes least."""
    return option.hours, NAMES.index(option.name)
