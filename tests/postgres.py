"""A PostgreSQL server of a test's own: an unprivileged user, a folder of its own, a socket and no port."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

PLACES = ("/usr/lib/postgresql/*/bin/initdb", "/usr/pgsql-*/bin/initdb", "/usr/local/pgsql/bin/initdb")


def programs() -> Path | None:
    """The folder of initdb and postgres, of the newest that is there."""
    found = [p for place in PLACES for p in Path("/").glob(place[1:]) if os.access(p, os.X_OK)]
    on_path = shutil.which("initdb")
    every = [*sorted(found, key=lambda p: p.parts), *([Path(on_path)] if on_path else [])]
    return every[-1].parent if every else None


def _missing(reason: str) -> None:
    """Skip, or fail where everything has to be there."""
    if os.environ.get("OPTICHILL_REQUIRE_ALL") == "1":
        pytest.fail(reason)
    pytest.skip(reason)


def unprivileged() -> dict[str, int]:
    """How a program is begun that will not run for root: as nobody."""
    if os.getuid() != 0:
        return {}
    nobody = pwd.getpwnam("nobody")
    return {"user": nobody.pw_uid, "group": nobody.pw_gid}


@contextmanager
def server() -> Iterator[str]:
    """The address of a database of a fresh server, which is gone afterwards."""
    where = programs()
    if where is None:
        _missing("PostgreSQL is not installed (apt-get install postgresql): a shared study cannot be tried")
    assert where is not None
    # A socket's name may be a hundred letters long: not in the test's own folder.
    folder = Path(tempfile.mkdtemp(prefix="pg"))
    who = unprivileged()
    if who:
        os.chown(folder, who["user"], who["group"])
    environment = {"PATH": os.environ["PATH"], "LC_ALL": "C", "HOME": str(folder)}
    subprocess.run(
        [where / "initdb", "-D", folder / "data", "-A", "trust", "-U", "brewer", "--no-sync"],
        check=True,
        capture_output=True,
        cwd=folder,
        env=environment,
        extra_groups=[] if who else None,
        **who,
    )
    running = subprocess.Popen(
        [where / "postgres", "-D", folder / "data", "-k", folder, "-c", "listen_addresses=", "-F"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        cwd=folder,
        env=environment,
        extra_groups=[] if who else None,
        **who,
    )
    try:
        address = f"postgresql://brewer@/postgres?host={folder}"
        _answers(address)
        yield address
    finally:
        running.terminate()
        try:
            running.wait(timeout=10.0)
        except subprocess.TimeoutExpired:
            running.kill()
            running.wait()
        shutil.rmtree(folder, ignore_errors=True)


def _answers(address: str, seconds: float = 30.0) -> None:
    """Wait until it does."""
    import psycopg

    until = time.monotonic() + seconds
    while True:
        try:
            psycopg.connect(address, connect_timeout=2).close()
            return
        except psycopg.OperationalError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)
