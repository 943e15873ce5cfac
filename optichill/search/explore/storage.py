"""Where a study is kept: a journal file, or a PostgreSQL database that several machines share.

Nothing else of the house knows which of the two it is. What is wrong with an address, a file or a server is
told in one line, and a password in an address is never shown.
"""

from __future__ import annotations

import os
import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast
from urllib.parse import SplitResult, parse_qsl, urlencode, urlsplit, urlunsplit

from optichill.errors import CannotWrite, OptichillError, shown
from optichill.search.explore.storage_database import ANOTHER, JournalTable
from optichill.search.explore.storage_journal import GRACE, JournalFile, Wait, refuse_other_file

if TYPE_CHECKING:
    from optuna.storages import BaseStorage

IN_A_FILE = "optichill"
"""Name of the one study that a journal file holds."""


@dataclass(frozen=True)
class Address:
    """Where a study is: of a file its path, and as it was given; of a database its address, and the name of
    the study in it."""

    path: Path | None
    url: str = field(repr=False)
    name: str
    given: str = field(default="", repr=False)

    @property
    def told(self) -> str:
        """As a person may see it: without a password."""
        if self.path is not None:
            return self.given
        return f"{_hidden(self.url)} (study {shown(self.name)})"

    @property
    def typed(self) -> str:
        """As it goes into a command that goes on from an answer: without a password."""
        return self.given if self.path is not None else _hidden(self.given)

    @property
    def another(self) -> str:
        """How another study is named."""
        if self.path is not None:
            return "another --study name"
        return ANOTHER


def address(study: str | os.PathLike[str], name: str) -> Address:
    """What a person gave. name : of a study in a database, where the address has no ?study=NAME.

    Raises
    ------
    OptichillError
        An address that is none of PostgreSQL's.

    Examples
    --------
    >>> address("postgresql://club:secret@pi/brew", "kettle").told
    'postgresql://club:***@pi/brew (study kettle)'
    >>> address("postgresql:///brew?host=/run/pg&study=big", "kettle").name
    'big'
    """
    text = os.fspath(study)
    if not text.strip():
        raise OptichillError("--study: empty (allowed: a file, or postgresql://HOST/DATABASE)")
    scheme = re.match(r"([a-z][a-z0-9+.]+)://", text)
    if scheme is None:
        return Address(Path(os.path.abspath(text)), "", IN_A_FILE, text)
    if scheme[1] not in ("postgresql", "postgres", "postgresql+psycopg"):
        raise OptichillError(
            f"--study {shown(scheme[1])}://...: not a kind of address that is known "
            "(allowed: a file, or postgresql://HOST/DATABASE)"
        )
    try:
        parts = urlsplit(text)
    except ValueError as error:
        raise OptichillError(f"--study {shown(_hidden(text))}: not an address: {error}") from None
    query = dict(parse_qsl(parts.query))
    _refuse_parts(parts, query, _hidden(text))
    name = query.pop("study", name)
    kept = urlunsplit(("postgresql", parts.netloc, parts.path, urlencode(query, safe="/"), ""))
    kept = kept if parts.netloc else kept.replace("postgresql:/", "postgresql:///", 1)
    return Address(None, kept, name, text)


def _refuse_parts(parts: SplitResult, query: dict[str, str], told: str) -> None:
    """Raise an error for a port that none can be, and for a study without a name."""
    hosts = parts.netloc.rpartition("@")[2].split(",")
    given = [one.rpartition(":")[2] for one in hosts if ":" in one.rpartition("]")[2]]
    for port in (*given, *query.get("port", "").split(",")):
        if port and not (re.fullmatch("[0-9]{1,5}", port) and 1 <= int(port) <= 65535):
            raise OptichillError(f"--study {shown(told)}: {shown(port)}: not a port (allowed: 1 to 65535)")
    blank = dict(parse_qsl(parts.query, keep_blank_values=True))
    if not blank.get("study", "x").strip():
        raise OptichillError(
            f"--study {shown(told)}: ?study=: empty (allowed: a name; left out, it is the brewhouse's)"
        )


def _hidden(url: str) -> str:
    """An address without its password."""
    return re.sub(r"(//[^/@:]*):.*@", r"\1:***@", url)


@dataclass(frozen=True)
class Kept:
    """A storage that is open, and the journal behind it."""

    at: Address
    storage: BaseStorage
    journal: JournalFile | JournalTable

    def place(self, coil: int) -> str:
        """Where a coil stands, by its number: a line or a row."""
        return self.journal.place(coil)

    @property
    def help(self) -> str:
        """What helps where a line or a row is wrong."""
        return self.journal.help

    @contextmanager
    def at_once(self) -> Iterator[None]:
        """Several writes in one go."""
        with self.journal.at_once():
            yield


@contextmanager
def quiet() -> Iterator[None]:
    """While this lasts optuna says nothing of its own; afterwards it does again what it did before."""
    import optuna

    before = optuna.logging.get_verbosity()
    optuna.logging.set_verbosity(optuna.logging.CRITICAL)
    try:
        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", module="optuna")
            warnings.filterwarnings("ignore", category=optuna.exceptions.ExperimentalWarning)
            yield
    finally:
        optuna.logging.set_verbosity(before)


def opened(at: Address, *, wait: Wait | None = None, make: bool = True) -> Kept:
    """Open a storage. wait : hears that it waits for a stopped run; make : a file that is not there is made,
    and half a line is cut; else nothing is written.

    Raises
    ------
    OptichillError, CannotWrite
    """
    journal = _table(at) if at.path is None else _file(at.path, at.told, wait, make=make)
    from optuna.storages.journal import JournalStorage

    return Kept(at, JournalStorage(cast(Any, journal)), journal)


def _file(path: Path, told: str, wait: Wait | None, *, make: bool) -> JournalFile:
    from optuna.storages.journal import JournalFileOpenLock

    try:
        refuse_other_file(path, told, IN_A_FILE)
        if not path.exists():
            if not make:
                raise OptichillError(f"{told}: no study is there (optichill explore makes one)")
            path.parent.mkdir(parents=True, exist_ok=True)
        journal = JournalFile(path, JournalFileOpenLock(str(path), GRACE), wait, told, IN_A_FILE)
        if make:
            path.touch()
            with journal.at_once():
                pass
        return journal
    except OSError as error:
        kind = CannotWrite if make else OptichillError
        raise kind(f"{told}: cannot be opened: {error.strerror or error}") from None


def _table(at: Address) -> JournalTable:
    from importlib.util import find_spec

    if find_spec("psycopg") is None:
        raise OptichillError(
            f"{at.told}: a database needs the driver psycopg: pip install 'optichill[shared]' "
            "(a study in a file needs nothing)"
        )
    return JournalTable(at.url, at.name, at.told)
