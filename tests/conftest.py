"""Shared fixtures: a new place for a termbase, and a new termbase, on SQLite and on PostgreSQL."""

import itertools
import lzma
import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import CodeType

import pytest
from flask import Flask
from hypothesis import settings
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from werkzeug.routing import Rule

from termbase.demo.loading import fill, load
from termbase.record.people import Termbase
from termbase.store.engine import Store

try:
    import psycopg
except ImportError:
    psycopg = None  # type: ignore[assignment]

settings.register_profile("wordhold", deadline=None)  # a busy machine makes no test wrong
settings.load_profile("wordhold")

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
DATABASES = ("sqlite", "postgresql")
TERMBASE = Termbase(title="Glan wrestling", working_language="en", vernaculars=("cy",))


LANDED = Path(__file__).parent / "termbase" / "store" / "landed"

ROOM = 2 << 30
"""Bytes; a test database has ten million and is removed after its test."""
_numbers = itertools.count(1)


class CompiledTemplates(BytecodeCache):
    """Caches compiled templates by path and content, for all apps that the tests of a process create."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, str], CodeType] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        bucket.code = self._known.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        if bucket.code is not None:
            self._known[bucket.key, bucket.checksum] = bucket.code


Flask.jinja_options = {"bytecode_cache": CompiledTemplates()}

_compiled_builder = Rule._compile_builder


def _compile_builder_later(rule: Rule, append_unknown: bool = True) -> Callable[..., tuple[str, str]]:
    """Return the address builder of a rule, compiled on first use.

    The web app has 150 addresses. Compiling all their builders took a third of the time of its tests,
    and each test uses only a few.
    """
    made: list[Callable[..., tuple[str, str]]] = []

    def build(rule: Rule, /, **values: object) -> tuple[str, str]:
        if not made:
            made.append(_compiled_builder(rule, append_unknown))
        return made[0](rule, **values)

    return build


Rule._compile_builder = _compile_builder_later  # type: ignore[method-assign]


def stand_still() -> datetime:
    """Return the fixed time of tests."""
    return NOW


def _server_programs() -> Path | None:
    """Return the folder with `initdb` and `postgres`, or None."""
    found = shutil.which("postgres")
    folders = [Path(found).resolve().parent] if found else []
    folders += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((f for f in folders if (f / "postgres").exists() and (f / "initdb").exists()), None)


def _in_memory() -> Path | None:
    """Return an in-memory folder with space for some databases, or None.

    A database is 300 files, and every test has its own: on a disk, making them took longer than the tests.
    """
    memory = Path("/dev/shm")
    has_room = os.access(memory, os.W_OK) and shutil.disk_usage(memory).free > ROOM
    return memory if has_room else None


def _as_another_user(folder: Path) -> list[str]:
    """Return the command prefix that runs PostgreSQL as another user, since it refuses to run as root."""
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


def _ended_with_us(prefix: list[str]) -> list[str]:
    """Return a command prefix that ends the command with this process, even if that is killed."""
    if not shutil.which("setpriv"):
        return prefix
    return [*(prefix or ["setpriv", "--"])[:-1], "--pdeathsig=QUIT", "--"]


def _wait_until_it_answers(folder: Path, server: "subprocess.Popen[bytes]") -> None:
    for _ in range(600):
        try:
            _server(str(folder)).close()
        except psycopg.OperationalError:
            if server.poll() is not None:
                break
            time.sleep(0.1)
        else:
            return
    raise RuntimeError(f"the server does not answer: {(folder / 'log').read_text(errors='replace')}")


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """A temporary PostgreSQL server on a Unix socket; its folder is the host of connection URLs."""
    programs = _server_programs()
    if programs is None or psycopg is None:
        pytest.skip("no PostgreSQL server on this machine, or no driver for it")
    folder = Path(tempfile.mkdtemp(prefix="wordhold-pg-", dir=_in_memory()))
    prefix = _as_another_user(folder)
    data, log = folder / "data", folder / "log"
    settings = (
        f"-k {folder} -c listen_addresses= -c fsync=off -c synchronous_commit=off -c full_page_writes=off"
    )

    def run(*command: str) -> None:
        subprocess.run([*prefix, *command], check=True, cwd=folder, capture_output=True)

    try:
        run(f"{programs}/initdb", "-D", f"{data}", "-U", "wordhold", "-A", "trust", "-E", "UTF8", "--no-sync")
        with log.open("wb") as output:
            server = subprocess.Popen(
                [*_ended_with_us(prefix), f"{programs}/postgres", "-D", f"{data}", *settings.split()],
                cwd=folder, stdout=output, stderr=output,
            )  # fmt: skip
        try:
            _wait_until_it_answers(folder, server)
            yield str(folder)
        finally:
            server.send_signal(signal.SIGQUIT)
            server.wait(60)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _server(folder: str, database: str = "postgres") -> "psycopg.Connection[tuple[object, ...]]":
    return psycopg.connect(host=folder, user="wordhold", dbname=database, autocommit=True)


def _made_at(place: str, template: str = "template1") -> str:
    """Create a database as a copy of another on its server, and return its URL."""
    start, server = place.split("?host=")
    with _server(server) as connection:
        copied = "STRATEGY FILE_COPY" if connection.info.server_version >= 150000 else ""  # before: always
        name = start.rsplit("/", 1)[1]
        connection.execute(f"CREATE DATABASE {name} TEMPLATE {template} {copied}".encode())
    return place


@contextmanager
def _server_places(request: pytest.FixtureRequest) -> Iterator[Callable[[], str]]:
    """Gives URLs of databases that do not exist yet; those created are dropped at the end."""
    given: list[str] = []

    def give() -> str:
        server = request.getfixturevalue("postgresql_server")
        given.append(f"made_{os.getpid()}_{next(_numbers)}")
        return _url(server, given[-1])

    yield give
    if given:
        with _server(request.getfixturevalue("postgresql_server")) as connection:
            for name in given:
                connection.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)".encode())


@pytest.fixture
def server_place(request: pytest.FixtureRequest) -> Iterator[Callable[[], str]]:
    """Gives a new URL on the temporary server on each call, with no database there yet."""
    with _server_places(request) as give:
        yield give


def _url(folder: str, name: str) -> str:
    return f"postgresql://wordhold@/{name}?host={folder}"


@pytest.fixture(scope="session")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], None]:
    """Puts a new termbase at a place: created once for each kind of database, then copied."""
    first: dict[str, str] = {}

    def put(place: str) -> None:
        if "://" not in place:
            if "sqlite" not in first:
                first["sqlite"] = str(tmp_path_factory.mktemp("first") / "first.wordhold")
                Store.create(first["sqlite"], TERMBASE, by="Nia", clock=stand_still).close()
            shutil.copyfile(first["sqlite"], place)
            return
        if "postgresql" not in first:
            name = f"first_{os.getpid()}"
            made_at = _made_at(_url(place.partition("?host=")[2], name))
            Store.create(made_at, TERMBASE, by="Nia", clock=stand_still).close()
            first["postgresql"] = name
        _made_at(place, first["postgresql"])

    return put


@pytest.fixture(params=DATABASES)
def database(request: pytest.FixtureRequest) -> str:
    """The kind of database of `place` and `store`."""
    return str(request.param)


@pytest.fixture(scope="module", params=DATABASES)
def database_of_module(request: pytest.FixtureRequest) -> str:
    """The kind of database of `shared_store`."""
    return str(request.param)


@pytest.fixture
def place(
    database: str, server_place: Callable[[], str], request: pytest.FixtureRequest, tmp_path: Path
) -> str:
    """A path or URL for a new termbase; nothing is there yet unless `store` is requested too."""
    if database == "sqlite":
        return str(tmp_path / "made.wordhold")
    return server_place() if "store" in request.fixturenames else _made_at(server_place())


@pytest.fixture
def new_place(
    database: str, server_place: Callable[[], str], tmp_path_factory: pytest.TempPathFactory
) -> Callable[[], str]:
    """Gives a new empty place like `place` on each call."""

    def give() -> str:
        if database == "sqlite":
            return str(tmp_path_factory.mktemp("place") / "made.wordhold")
        return _made_at(server_place())

    return give


@pytest.fixture
def store(place: str, finished: Callable[[str], None]) -> Iterator[Store]:
    """A new termbase (English and Welsh) at `place`, with a fixed clock."""
    finished(place)
    made = Store.open(place, clock=stand_still)
    yield made
    made.close()


@pytest.fixture(scope="module")
def shared_store(
    database_of_module: str,
    finished: Callable[[str], None],
    tmp_path_factory: pytest.TempPathFactory,
    request: pytest.FixtureRequest,
) -> Iterator[Store]:
    """Like `store`, but shared by a module's tests, for those that only read what the first writes."""
    with _server_places(request) as give:
        on_server = database_of_module == "postgresql"
        place = give() if on_server else str(tmp_path_factory.mktemp("shared") / "made.wordhold")
        finished(place)
        made = Store.open(place, clock=stand_still)
        yield made
        made.close()


@pytest.fixture(scope="session")
def landed_at(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], None]:
    """Puts the unchanged termbase of an earlier version at a place; see termbase/store/landed."""
    first: dict[str, str] = {}

    def content(name: str) -> bytes:
        return lzma.decompress((LANDED / name).read_bytes())

    def put(place: str) -> None:
        if "://" not in place:
            if "sqlite" not in first:
                first["sqlite"] = str(tmp_path_factory.mktemp("landed") / "landed.sqlite")
                Path(first["sqlite"]).write_bytes(content("landed.sqlite.xz"))
            shutil.copyfile(first["sqlite"], place)
            return
        if "postgresql" not in first:
            server, name = place.partition("?host=")[2], f"landed_{os.getpid()}"
            _made_at(_url(server, name))
            with _server(server, name) as connection:
                connection.execute(content("landed.postgresql.sql.xz"))
            first["postgresql"] = name
        _made_at(place, first["postgresql"])

    return put


@pytest.fixture
def landed(
    database: str, landed_at: Callable[[str], None], server_place: Callable[[], str], tmp_path: Path
) -> str:
    """Path or URL of the termbase of an earlier version; open it after `wordhold upgrade`."""
    place = server_place() if database == "postgresql" else str(tmp_path / "landed.wordhold")
    landed_at(place)
    return place


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented demo as a termbase, created once; copy it before changing anything."""
    place = tmp_path_factory.mktemp("demo") / "demo.db"
    fill(str(place), load()).close()
    return place


@pytest.fixture
def demo_clock() -> Callable[[], datetime]:
    """The clock for acts on the demo."""
    return lambda: datetime.now(UTC)


@pytest.fixture
def demo_store(demo_file: Path, demo_clock: Callable[[], datetime], tmp_path: Path) -> Iterator[Store]:
    """A termbase of the invented demo for one test; modules that need it override `store` with it."""
    place = tmp_path / "demo.db"
    shutil.copyfile(demo_file, place)
    opened = Store.open(str(place), clock=demo_clock)
    yield opened
    opened.close()


@pytest.fixture
def clock() -> Callable[[], datetime]:
    """The clock for acts in tests: always noon on 1 March 2026."""
    return stand_still
