"""A study in a PostgreSQL database: the same lines as in a file, one a row, in a table for many studies.

Whoever writes holds a lock of the database until all that he writes is there: rows become seen in the order
of their numbers, and a run that is killed in between leaves nothing. A population is one transaction; the
tables that optuna would make itself ask seventeen questions a trial, some 20 ms.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from optichill.errors import OptichillError, shown
from optichill.search.explore.storage_records import COIL, record_of

TABLE = "optichill_journal"

ANOTHER = "?study=NAME behind the address, for a study of its own"
"""How another study is named."""

LOCK = 0x6F7074696368
"""Number of the lock, one in a database."""

CONNECT = 10
"""Seconds to wait for the server."""

MAKE = (
    f"create table if not exists {TABLE} (number bigint generated always as identity primary key, "
    "study text not null, line text not null)",
    f"create index if not exists {TABLE}_study on {TABLE} (study, number)",
)


class DatabaseRefuses(OptichillError):
    """The server is not there, or does not do what is asked."""


class JournalTable:
    """A journal's rows, as optuna's storage asks for them. told : the address as a person may see it;
    help : what does where a row is wrong."""

    help = f"delete this row and all others are kept, or give {ANOTHER}"

    def __init__(self, url: str, study: str, told: str) -> None:
        self._study, self._told = study, told
        self._held = False
        self._connection: Any = None
        self._read, self._last, self._coils = 0, 0, list[int]()
        with self.faults():
            import psycopg

            self._connection = psycopg.connect(url, autocommit=True, connect_timeout=CONNECT)
            if not self.there():
                with self._locked():
                    for command in MAKE:
                        self._connection.execute(command)

    def there(self) -> bool:
        """Whether the table is there."""
        found = self._connection.execute("select to_regclass(%s)", (TABLE,)).fetchone()
        return found is not None and found[0] is not None

    def read_logs(self, log_number_from: int) -> Iterator[dict[str, Any]]:
        """Lines from a number on."""
        if log_number_from != self._read:
            self._read, self._last, self._coils = 0, 0, []
        with self.faults():
            found = self._connection.execute(
                f"select number, line from {TABLE} where study = %s and number > %s order by number",
                (self._study, self._last),
            ).fetchall()
        for number, line in found:
            self._read, self._last = self._read + 1, number
            record, wrong = record_of(line, self._study)
            if wrong:
                raise OptichillError(f"{self._told}: row {number} of {TABLE}: damaged: {wrong}: {self.help}")
            if record["op_code"] == COIL:
                self._coils.append(number)
            if self._read > log_number_from:
                yield record

    def place(self, coil: int) -> str:
        """Where a coil stands; coil : its number among those that were read."""
        return f"{self._told}: row {self._coils[coil]} of {TABLE}"

    def append_logs(self, logs: list[dict[str, Any]]) -> None:
        """Append lines, all or none."""
        if not self._held:
            with self.at_once():
                self._append(logs)
            return
        self._append(logs)

    def _append(self, logs: list[dict[str, Any]]) -> None:
        rows = [(self._study, json.dumps(log, separators=(",", ":"))) for log in logs]
        with self._connection.cursor() as cursor:
            cursor.executemany(f"insert into {TABLE} (study, line) values (%s, %s)", rows)

    @contextmanager
    def at_once(self) -> Iterator[None]:
        """One transaction over several writes."""
        with self.faults(), self._locked():
            try:
                self._held = True
                yield
            finally:
                self._held = False

    @contextmanager
    def _locked(self) -> Iterator[None]:
        with self._connection.transaction():
            self._connection.execute("select pg_advisory_xact_lock(%s)", (LOCK,))
            yield

    @contextmanager
    def faults(self) -> Iterator[None]:
        """What the server does not do, in one line.

        Raises
        ------
        DatabaseRefuses
        """
        import psycopg

        try:
            yield
        except psycopg.Error as error:
            said = re.sub(r"://\S+@", "://...@", " ".join(str(error).split()) or type(error).__name__)
            raise DatabaseRefuses(f"{self._told}: {self._why(said)}: {shown(said, 300)}") from None

    def _why(self, said: str) -> str:
        """A server that answers says FATAL where it lets nobody in; else nothing was heard of it."""
        if self._connection is not None or "FATAL" in said:
            return "the database does not do it"
        return "no database answers at this address"
