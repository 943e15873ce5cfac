"""A brewhouse to start from."""

from __future__ import annotations

import os
from pathlib import Path

from optichill.api.problem import PathLike
from optichill.files.in_python import refuse
from optichill.files.starter_kit import EXAMPLES, KEYS, Answers, Written, defaults, write_coil, write_kit


def init(
    folder: PathLike = ".", *, units: str = "metric", answers: Answers | None = None, force: bool = False
) -> Written:
    """Write a brewhouse file and the five lists to edit; files that exist are kept.

    Parameters
    ----------
    folder : str or path
        Where to.
    units : {"metric", "us"}
        Whose sizes the lists hold.
    answers : Answers, optional
        Values for the brewhouse file, which tell the units too, and what is owned of the lists; those of the
        packaged example when left out.
    force : bool
        Replace what exists.

    Returns
    -------
    Written
        Files written, and files kept.

    Raises
    ------
    CannotWrite, InputFaults

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     done = oc.init(folder)
    ...     name = oc.read(folder).brewhouse.name
    >>> len(done.written), done.kept, name
    (6, (), 'My brewhouse')
    """
    if not isinstance(units, str) or units not in EXAMPLES:
        raise refuse("units", units, "not known", ", ".join(EXAMPLES))
    if not isinstance(folder, str | os.PathLike):
        raise refuse("folder", folder, "not a path", "a folder")
    if answers is not None and not isinstance(answers, Answers):
        raise refuse("answers", answers, "not answers", "what defaults() gave")
    for name in KEYS if answers is not None else ():
        if not isinstance(getattr(answers, name), str):
            raise refuse(f"answers.{name}", getattr(answers, name), "not text", "text with a unit")
    if answers is not None and answers.units not in EXAMPLES:
        raise refuse("answers.units", answers.units, "not known", ", ".join(EXAMPLES))
    if not isinstance(force, bool):
        raise refuse("force", force, "not known", "True, False")
    return write_kit(Path(folder), defaults(units) if answers is None else answers, force=force)


def init_coil(folder: PathLike = ".", *, units: str = "metric", force: bool = False) -> Written:
    """Write coil.toml, the example of a coil as a person measures it, and nothing else; one that exists is
    kept.

    Parameters
    ----------
    folder : str or path
        Where to.
    units : {"metric", "us"}
        Of its sizes.
    force : bool
        Replace what exists.

    Returns
    -------
    Written
        The file written, or kept.

    Raises
    ------
    CannotWrite, InputFaults

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     done = oc.init_coil(folder)
    ...     coil = oc.read(coil=done.written[0]).coil
    >>> coil.turns, round(coil.mean_diameter, 3)
    (11.0, 0.25)
    """
    if not isinstance(units, str) or units not in EXAMPLES:
        raise refuse("units", units, "not known", ", ".join(EXAMPLES))
    if not isinstance(folder, str | os.PathLike):
        raise refuse("folder", folder, "not a path", "a folder")
    if not isinstance(force, bool):
        raise refuse("force", force, "not known", "True, False")
    return write_coil(Path(folder), units, force=force)
