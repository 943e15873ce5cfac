"""Refusals that name the options of the command line, as who calls from Python reads them: by argument."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from optichill.errors import InputFault, InputFaults
from optichill.files.in_python import HERE
from optichill.owned.calibrate.readings import NothingToFit

_OPTION = re.compile(r"--([a-z]+(?:-[a-z]+)*)")
_SWITCHES = ("anew", "with-earlier")


def spelled(text: str) -> str:
    """The same text with arguments for options; readings need none.

    Examples
    --------
    >>> from optichill.api.by_name import spelled
    >>> spelled('or --points "0:98 5:60"'), spelled("--anew puts it aside"), spelled("--volume-by")
    ('or "0:98 5:60"', 'anew=True puts it aside', 'volume_by')
    """
    return _OPTION.sub(_argument, text.replace("--points ", ""))


def _argument(option: re.Match[str]) -> str:
    name = option[1].replace("-", "_")
    return f"{name}=True" if option[1] in _SWITCHES else name


@contextmanager
def told_by_name() -> Iterator[None]:
    """While this lasts a refusal names arguments, and as its place that they were given in Python."""
    try:
        yield
    except InputFaults as error:
        raise InputFaults([_told(fault) for fault in error.faults]) from None
    except NothingToFit as error:
        raise NothingToFit(spelled(str(error))) from None


def _told(fault: InputFault) -> InputFault:
    reason, allowed = spelled(fault.reason), spelled(fault.allowed)
    if not fault.file.startswith("--"):
        return InputFault(fault.file, fault.line, fault.key, fault.given, reason, allowed)
    return InputFault(HERE, 0, spelled(fault.file), fault.given, reason, allowed)
