"""One database, one termbase: making it, opening it, reading and acting on it."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Engine, create_engine, event, func, inspect, select, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DatabaseError, IntegrityError, NoSuchModuleError

from termbase.errors import BadInput, NotFound
from termbase.loading import late
from termbase.messages import message
from termbase.people import Termbase
from termbase.store import schema
from termbase.store.reading import Reader
from termbase.store.writing import Act

if TYPE_CHECKING:
    from termbase.store import migrating
else:
    migrating = late("termbase.store.migrating")

__all__ = ["Store", "known_tables", "tables_version"]

VERSIONS = Path(__file__).parent / "migrations" / "versions"
ACT_LOCK = 0x776F7264
"""Key of the advisory lock that an act holds on PostgreSQL until it ends."""


def _now() -> datetime:
    return datetime.now(UTC)


def tables_version() -> str:
    """The version of the tables that this program makes."""
    return max(known_tables())


def known_tables() -> frozenset[str]:
    """The versions of the tables that this program knows, its own and all before it, by their migrations."""
    return frozenset(file.stem.partition("_")[0] for file in VERSIONS.glob("[0-9]*_*.py"))


class Store:
    """A termbase in a database.

    `clock` gives the time of acts; tests pass their own.
    """

    def __init__(self, engine: Engine, clock: Callable[[], datetime] = _now) -> None:
        self.engine = engine
        self.clock = clock

    @classmethod
    def create(
        cls, place: str, termbase: Termbase, *, by: str, clock: Callable[[], datetime] = _now
    ) -> "Store":
        """Make a new termbase at a path or database URL.

        Raises:
            BadInput: the place already holds something, or cannot be used.
        """
        store = cls._at_empty(place, clock)
        with store._closed_on_failure(place):
            store.upgrade()
            with store.act(by, "made the termbase") as act:
                act.add(termbase)
        return store

    @classmethod
    def refill(
        cls, place: str, fill: Callable[[Connection], None], *, clock: Callable[[], datetime] = _now
    ) -> "Store":
        """Make a termbase at a path or database URL from a copy; nothing remains there when that fails.

        Args:
            place: where; nothing may be there yet.
            fill: writes the whole record through the connection, which is one transaction.

        Raises:
            BadInput: the place already holds something, or cannot be used; or what was copied does not hold
                together.
        """
        store = cls._at_empty(place, clock)
        with store._closed_on_failure(place):
            try:
                store.upgrade()
                with store.engine.connect() as connection:
                    writing = connection.execution_options(wordhold_writes=True)
                    with writing.begin():
                        fill(writing)
            except BaseException as error:
                store._clear_away(place)
                if isinstance(error, IntegrityError):
                    raise BadInput(
                        message("It does not hold together: something in it points at what is not there."),
                        where=place,
                        mend=message("Nothing was written. Use another copy."),
                    ) from error
                raise
        return store

    @classmethod
    def _at_empty(cls, place: str, clock: Callable[[], datetime]) -> "Store":
        """A store at a place that holds no termbase yet."""
        if _is_file(place):
            path = Path(place).expanduser()
            if path.exists() and path.stat().st_size:
                raise BadInput(
                    message("There is a file already."),
                    where=place,
                    mend=message("Choose another name, or open it."),
                )
            path.parent.mkdir(parents=True, exist_ok=True)
        store = cls(_engine(place), clock)
        with store._closed_on_failure(place):
            if store._revision() is not None:
                raise BadInput(
                    message("This database holds a termbase already."),
                    where=place,
                    mend=message("Open it instead."),
                )
        return store

    def _clear_away(self, place: str) -> None:
        """Undo the making of the tables."""
        if _is_file(place):
            self.engine.dispose()
            for suffix in ("", "-wal", "-shm"):
                Path(f"{Path(place).expanduser()}{suffix}").unlink(missing_ok=True)
            return
        with self.engine.begin() as connection:
            schema.metadata.drop_all(connection)
            connection.execute(text("DROP TABLE IF EXISTS alembic_version"))

    @classmethod
    def open(cls, place: str, clock: Callable[[], datetime] = _now) -> "Store":
        """Open the termbase at a path or database URL.

        Raises:
            NotFound: there is nothing there.
            BadInput: it is no termbase, or of another version of the program.
        """
        if _is_file(place) and not Path(place).expanduser().exists():
            raise NotFound(
                message("There is no termbase here."),
                where=place,
                mend=message("Make one with: wordhold new"),
            )
        store = cls(_engine(place), clock)
        with store._closed_on_failure(place):
            found = store._revision()
            if found is None:
                raise BadInput(
                    message("This is no termbase."),
                    where=place,
                    mend=message("Name a file that `wordhold new` made."),
                )
            if found != tables_version():
                mend = (
                    message("Run: wordhold upgrade")
                    if found in known_tables()
                    else message("Install a newer version of the program.")
                )
                raise BadInput(
                    message("The termbase is of another version of the program."), where=place, mend=mend
                )
        return store

    def upgrade(self) -> None:
        """Bring the tables up to this version of the program."""
        migrating.migrate(self.engine)
        if self.engine.dialect.name == "sqlite":  # readers do not wait for a writer; kept in the file
            raw = self.engine.raw_connection()
            try:
                raw.cursor().execute("PRAGMA journal_mode=WAL")
            finally:
                raw.close()

    @classmethod
    def upgrade_at(cls, place: str) -> None:
        """Bring a termbase of an older version up to this one.

        Raises:
            NotFound: there is nothing there.
            BadInput: it is no termbase.
        """
        if _is_file(place) and not Path(place).expanduser().exists():
            raise NotFound(
                message("There is no termbase here."),
                where=place,
                mend=message("Make one with: wordhold new"),
            )
        store = cls(_engine(place))
        with store._closed_on_failure(place):
            if store._revision() is None:
                raise BadInput(
                    message("This is no termbase."),
                    where=place,
                    mend=message("Name a file that `wordhold new` made."),
                )
            store.upgrade()
        store.close()

    def _revision(self) -> str | None:
        """The version of the tables; None where there are none of ours."""
        with self.engine.connect() as connection:
            tables = inspect(connection)
            if not (tables.has_table("termbase") and tables.has_table("alembic_version")):
                return None
            found: str | None = connection.scalar(text("SELECT version_num FROM alembic_version"))
            return found

    @contextmanager
    def _closed_on_failure(self, place: str) -> Iterator[None]:
        try:
            yield
        except DatabaseError as error:
            self.close()
            raise _unusable(place) from error
        except BaseException:
            self.close()
            raise

    @contextmanager
    def read(self) -> Iterator[Reader]:
        """A snapshot to read from."""
        with self.engine.connect() as connection:
            reading = connection
            if self._is_postgresql:  # SQLite's transactions are snapshots anyway
                reading = connection.execution_options(isolation_level="REPEATABLE READ")
            with reading.begin():
                yield Reader(reading)

    @contextmanager
    def act(self, by: str, what: str, *, undoes: int | None = None) -> Iterator[Act]:
        """One act by one person: everything or nothing is written, and all of it is in the history.

        Args:
            by: name of the person.
            what: what was done, for the history ("attached line 12").
            undoes: the act that this one takes back.
        """
        at = self.clock().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        with self.engine.connect() as connection:
            writing = connection.execution_options(wordhold_writes=True)
            with writing.begin():
                if self._is_postgresql:  # one act after another, as SQLite has it: none overwrites another
                    writing.execute(select(func.pg_advisory_xact_lock(ACT_LOCK)))
                act = Act(writing, by, str(what), at, undoes)
                yield act
                act.finish()

    @property
    def _is_postgresql(self) -> bool:
        return self.engine.dialect.name == "postgresql"

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


def _is_file(place: str) -> bool:
    return "://" not in place


def _unusable(place: str) -> BadInput:
    return BadInput(
        message("The database cannot be used."),
        where=place,
        mend=message("Check the path or the database URL."),
    )


def _engine(place: str) -> Engine:
    try:
        if _is_file(place):
            url = make_url(f"sqlite:///{Path(place).expanduser().resolve()}")
        else:
            url = make_url(place)
            if url.drivername in ("postgresql", "postgres"):
                url = url.set(drivername="postgresql+psycopg")
        engine = create_engine(url)
    except (ArgumentError, NoSuchModuleError, ModuleNotFoundError) as error:
        raise BadInput(
            message("The database URL is not understood: %(error)s.", error=str(error)),
            where=place,
            mend=message("Give a file, or postgresql://user@host/name (and install the postgres extra)."),
        ) from error
    if engine.dialect.name == "sqlite":
        _prepare_sqlite(engine)
    return engine


def _prepare_sqlite(engine: Engine) -> None:
    """Keys are enforced, and an act takes its lock at its start."""

    @event.listens_for(engine, "connect")
    def on_connect(raw: Any, _: Any) -> None:
        raw.isolation_level = None  # transactions are begun below, not by the driver
        for pragma in ("foreign_keys=ON", "busy_timeout=10000", "synchronous=NORMAL"):
            raw.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def on_begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("wordhold_writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
