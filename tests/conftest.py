"""Shared fixtures: a fresh place for a termbase, and a fresh termbase, on SQLite and on PostgreSQL."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from termbase.people import Termbase
from termbase.store import Store

try:
    import psycopg
except ImportError:
    psycopg = None  # type: ignore[assignment]

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
TERMBASE = Termbase(title="Glan wrestling", working_language="en", vernaculars=("cy",))


def _server_programs() -> Path | None:
    """The folder with `initdb` and `postgres`, or None."""
    found = shutil.which("postgres")
    folders = [Path(found).resolve().parent] if found else []
    folders += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((f for f in folders if (f / "postgres").exists() and (f / "initdb").exists()), None)


def _as_another_user(folder: Path) -> list[str]:
    """Prefix of the commands that PostgreSQL runs under, since it refuses to run as root."""
    if os.geteuid():
        return []
    for name in ("postgres", "nobody"):
        try:
            shutil.chown(folder, user=name)
        except LookupError:
            continue
        if shutil.which("setpriv"):
            return ["setpriv", f"--reuid={name}", "--clear-groups", "--"]
    pytest.skip("PostgreSQL does not run as root, and there is no setpriv to become somebody else")


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """A throw-away PostgreSQL server on a unix socket; its folder is the host of connection URLs."""
    programs = _server_programs()
    if programs is None or psycopg is None:
        pytest.skip("no PostgreSQL server on this machine, or no driver for it")
    folder = Path(tempfile.mkdtemp(prefix="wordhold-pg-"))
    prefix = _as_another_user(folder)
    data, log = folder / "data", folder / "log"
    settings = (
        f"-k {folder} -c listen_addresses= -c fsync=off -c synchronous_commit=off -c full_page_writes=off"
    )

    def run(*command: str) -> None:
        subprocess.run([*prefix, *command], check=True, cwd=folder, capture_output=True)

    try:
        run(f"{programs}/initdb", "-D", f"{data}", "-U", "wordhold", "-A", "trust", "-E", "UTF8", "--no-sync")
        run(f"{programs}/pg_ctl", "-D", f"{data}", "-l", f"{log}", "-w", "-o", settings, "start")
        try:
            yield str(folder)
        finally:
            run(f"{programs}/pg_ctl", "-D", f"{data}", "-m", "immediate", "-w", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _on_server(folder: str, statement: str) -> None:
    with psycopg.connect(host=folder, user="wordhold", dbname="postgres", autocommit=True) as connection:
        connection.execute(statement.encode())


def _url(folder: str, name: str) -> str:
    return f"postgresql://wordhold@/{name}?host={folder}"


@pytest.fixture(scope="session")
def _finished(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Termbases made once, by kind of database; `store` copies them."""
    return {"folder": str(tmp_path_factory.mktemp("finished"))}


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest) -> str:
    """The kind of database that `place` and `store` are on."""
    return str(request.param)


@pytest.fixture
def place(database: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a termbase can be made: a path or URL at which there is nothing yet."""
    if database == "sqlite":
        yield str(tmp_path / "made.wordhold")
        return
    server = request.getfixturevalue("postgresql_server")
    name = f"made_{os.getpid()}_{abs(hash(request.node.nodeid)) % 10**12}"
    _on_server(server, f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
    _on_server(server, f"CREATE DATABASE {name}")
    yield _url(server, name)
    _on_server(server, f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def store(
    place: str, database: str, _finished: dict[str, str], clock: Callable[[], datetime]
) -> Iterator[Store]:
    """A fresh termbase (English and Welsh) at `place`; its clock stands still."""
    if database == "sqlite":
        if database not in _finished:
            first = f"{_finished['folder']}/first.wordhold"
            Store.create(first, TERMBASE, by="Nia", clock=clock).close()
            _finished[database] = first
        shutil.copyfile(_finished[database], place)
    else:
        server = place.split("?host=")[1]
        name = place.removeprefix("postgresql://wordhold@/").split("?")[0]
        if database not in _finished:
            first = f"first_{os.getpid()}"
            _on_server(server, f"CREATE DATABASE {first}")
            Store.create(_url(server, first), TERMBASE, by="Nia", clock=clock).close()
            _finished[database] = first
        _on_server(server, f"DROP DATABASE {name} WITH (FORCE)")
        _on_server(server, f"CREATE DATABASE {name} TEMPLATE {_finished[database]}")
    made = Store.open(place, clock=clock)
    yield made
    made.close()


@pytest.fixture
def clock() -> Callable[[], datetime]:
    """The time of acts in tests: noon of 1 March 2026, always."""
    return lambda: NOW
