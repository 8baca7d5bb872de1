"""A server of PostgreSQL for tests: Debian's, in a folder of its own, never as root.

It never syncs, since nobody needs what is in it after a power cut.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from tempfile import mkdtemp

import psycopg

from unspool.store import Server, Store

PROGRAMS = Path("/usr/lib/postgresql")
SETTINGS = {
    "fsync": "off",
    "full_page_writes": "off",
    "synchronous_commit": "off",
    "autovacuum": "off",
    "shared_buffers": "16MB",
    "max_connections": "60",
}
TEMPLATE = "unspool_template"
_NUMBERS = count(1)


@dataclass
class DatabaseServer:
    """Use `running`. It listens on a socket in its folder, and on no port."""

    folder: Path
    programs: Path

    def run(self, program: str, *arguments: str) -> None:
        """As the server's own user."""
        user = {} if os.getuid() else {"user": "postgres", "group": "postgres", "extra_groups": []}
        out = subprocess.run(
            [self.programs / program, *arguments],
            cwd=self.folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE if program == "initdb" else subprocess.DEVNULL,
            check=False,
            **user,
        )
        assert out.returncode == 0, f"{program}: {out.stderr!r}; {self._log()}"

    def _log(self) -> str:
        log = self.folder / "log"
        return log.read_text() if log.exists() else ""

    def start(self) -> None:
        chosen = [f"-c {name}={value}" for name, value in SETTINGS.items()]
        options = " ".join([f"-k {self.folder} -c listen_addresses=''", *chosen])
        self.run("pg_ctl", "-D", "data", "-l", "log", "-w", "-o", options, "start")

    def stop(self) -> None:
        """As if its machine went down; nobody is asked to leave first."""
        self.run("pg_ctl", "-D", "data", "-m", "immediate", "-w", "stop")

    def kill(self) -> None:
        """By SIGKILL, with all that works for it; what it acknowledged is in its files."""
        lock = self.folder / "data" / "postmaster.pid"
        head = int(lock.read_text().split()[0])
        every = [head, *_children(head)]
        for pid in every:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        while any(lives(pid) for pid in every):
            time.sleep(0.01)
        for one in (lock, *self.folder.glob(".s.PGSQL.*.lock")):
            one.unlink()  # its number may still be that of a process that nobody has waited for

    def database(self, name: str, user: str = "postgres") -> Server:
        return Server(f"postgresql+psycopg://{user}@/{name}?host={self.folder}")

    def say(self, statement: str, database: str = "postgres") -> list[tuple[object, ...]]:
        """SQL over a connection of its own."""
        address = f"host={self.folder} user=postgres dbname={database}"
        with psycopg.connect(address, autocommit=True) as direct:
            found = direct.execute(statement)  # type: ignore[call-overload]  # no literal
            return found.fetchall() if found.description else []

    @contextmanager
    def fresh(self, template: str = TEMPLATE) -> Iterator[Server]:
        """A database for one test; it holds the tables of `template`, or none of template0."""
        name = f"test_{next(_NUMBERS)}"
        self.say(f"CREATE DATABASE {name} TEMPLATE {template}")
        yield self.database(name)
        self.say(f"DROP DATABASE {name} WITH (FORCE)")


def _children(pid: int) -> list[int]:
    path = Path(f"/proc/{pid}/task/{pid}/children")
    return [int(one) for one in path.read_text().split()]


def lives(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


@contextmanager
def running() -> Iterator[DatabaseServer]:
    found = sorted(PROGRAMS.glob("*/bin"), key=lambda path: int(path.parent.name))
    assert found, f"no PostgreSQL in {PROGRAMS}; ./.ci/debian-packages brings it"
    folder = Path(mkdtemp(prefix="unspool-pg-"))  # a socket's path may have 107 bytes, no more
    if not os.getuid():
        shutil.chown(folder, "postgres", "postgres")
    server = DatabaseServer(folder, found[-1])
    try:
        server.run(
            "initdb", "-D", "data", "-A", "trust", "-U", "postgres", "--no-sync", "-E", "UTF8"
        )
        server.start()
        server.say(f"CREATE DATABASE {TEMPLATE}")
        Store.open(server.database(TEMPLATE)).close()
        yield server
        server.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def waited(server: DatabaseServer, name: str) -> None:
    """Until nobody is connected to the database any more."""
    open_now = f"SELECT pid FROM pg_stat_activity WHERE datname = '{name}'"
    while server.say(open_now):
        time.sleep(0.01)
