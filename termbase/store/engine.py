"""The store: creating, opening, reading and changing the termbase in a database."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import Connection, func, select
from sqlalchemy.exc import DatabaseError, IntegrityError

from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Damaged, NotFound, WordholdError
from termbase.fields.notes import CodedText, own_words
from termbase.loading import lazy_module
from termbase.messages import message
from termbase.record.people import Termbase
from termbase.store.databases import ACT_LOCK, unusable
from termbase.store.integrity import damage_behind, make_sure
from termbase.store.reading import Reader
from termbase.store.versions import known_tables, tables_version, version_of
from termbase.store.watching import Database
from termbase.store.writing import Act

if TYPE_CHECKING:
    from termbase.store import making, migrating
else:
    making, migrating = lazy_module("termbase.store.making"), lazy_module("termbase.store.migrating")

__all__ = ["Store", "check_version", "known_tables", "tables_version"]


def _now() -> datetime:
    return datetime.now(UTC)


class Store:
    """A termbase in a database.

    `clock` returns the time of acts; tests pass their own.
    """

    def __init__(
        self, database: Database, clock: Callable[[], datetime] = _now, *, foreign_keys: bool = True
    ) -> None:
        self.database = database
        self.engine = database.engine(foreign_keys=foreign_keys)
        self.clock = clock

    @classmethod
    def create(
        cls, place: str, termbase: Termbase, *, by: str, clock: Callable[[], datetime] = _now
    ) -> "Store":
        """Create a new termbase at a path or database URL.

        Raises:
            BadInput: something is already there, or the place cannot be used.
        """
        with making.building(place) as connection:
            migrating.migrate(connection)
            act = Act(connection, by, Deed.TERMBASE_MADE(), _stamp(clock))
            act.add(termbase)
            act.finish()
        return cls(Database.at(place), clock)

    @classmethod
    def refill(
        cls,
        place: str,
        fill: Callable[[Connection], None],
        *,
        tables: str = "head",
        upgraded: str = "head",
        clock: Callable[[], datetime] = _now,
    ) -> "Store":
        """Create a termbase at a path or database URL from a copy; if that fails, nothing remains there.

        Args:
            place: where to create it; nothing may be there yet.
            fill: writes the whole record through the connection, which is one transaction.
            tables: version of the tables that `fill` writes to.
            upgraded: version to upgrade them to afterwards; empty: no upgrade.

        Raises:
            BadInput: something is already there, or the place cannot be used; or the copy is inconsistent.
        """
        with making.building(place) as connection:
            migrating.migrate(connection, tables)
            try:
                fill(connection)
            except IntegrityError as error:
                raise BadInput(
                    message("It is inconsistent: something in it refers to a record that does not exist."),
                    where=place,
                    fix=message("Nothing has been changed. Use another copy."),
                ) from error
            if upgraded:
                migrating.migrate(connection, upgraded)
        return cls(Database.at(place), clock)

    @classmethod
    def open(
        cls, place: str, clock: Callable[[], datetime] = _now, *, thorough: bool = False, check: bool = True
    ) -> "Store":
        """Open the termbase at a path or database URL.

        Args:
            place: where it is.
            clock: returns the time of acts.
            thorough: check a whole SQLite file, even a large one.
            check: if False, a damaged database can be opened, to repair it.

        Raises:
            NotFound: there is nothing there.
            BadInput: it is not a termbase, or is from another version of the program.
            Damaged: something in it is broken or missing.
            Unavailable: it cannot be reached.
        """
        database = _existing(place)
        left_open = database.was_left_open
        store = cls(database, clock)
        with store._closed_on_failure(place):
            check_version(store.version(), database.name, frozenset({tables_version()}))
            if check:
                make_sure(store.engine, database, always=thorough, left_open=left_open)
        return store

    @classmethod
    def open_any(
        cls, place: str, clock: Callable[[], datetime] = _now, *, foreign_keys: bool = True
    ) -> "Store":
        """Open a termbase of this version or an older one, to read its tables directly or to upgrade it.

        Args:
            place: path or URL.
            clock: returns the time of acts.
            foreign_keys: see `termbase.store.databases.engine_at`.

        Raises:
            NotFound: there is nothing there.
            BadInput: it is not a termbase, or is from a newer version.
        """
        database = _existing(place)
        store = cls(database, clock, foreign_keys=foreign_keys)
        with store._closed_on_failure(place):
            check_version(store.version(), database.name, known_tables())
        return store

    def version(self) -> str:
        """Return the version of the tables; empty if there are none of ours.

        Raises:
            Damaged: there are tables of ours, but their version is not recorded.
        """
        with self.engine.connect() as connection:
            return version_of(connection, self.database.name) or ""

    @contextmanager
    def _closed_on_failure(self, place: str) -> Iterator[None]:
        try:
            yield
        except DatabaseError as error:
            self.close()
            raise unusable(place) from error
        except BaseException:
            self.close()
            raise

    @contextmanager
    def read(self) -> Iterator[Reader]:
        """Yield a snapshot to read from."""
        with self.engine.connect() as connection:
            snapshot = connection
            if self._is_postgresql:  # in SQLite every transaction is a snapshot
                snapshot = connection.execution_options(isolation_level="REPEATABLE READ")
            with snapshot.begin():
                self.database.check_acts(snapshot)
                try:
                    yield Reader(snapshot)
                except WordholdError:
                    raise
                except (LookupError, TypeError, ValueError, AttributeError) as error:
                    damage = self.damage_behind()
                    if damage is None:
                        raise
                    raise damage from error

    def damage_behind(self) -> Damaged | None:
        """Return the damage that may have caused an unexpected failure; None if none is found."""
        return damage_behind(self.engine, self.database)

    @contextmanager
    def act(self, by: str, what: CodedText, *, undoes: int | None = None) -> Iterator[Act]:
        """Yield one act by one person: everything or nothing is written, and all changes are recorded in the
        history.

        Args:
            by: name of the person.
            what: what was done, for the history: `Deed.NOTES_CHANGED(id="c0012")`. A plain text, such as a
                script may pass, counts as the person's own words.
            undoes: the act that this one undoes.
        """
        with self.writing() as connection:
            self.database.check_acts(connection)
            act = Act(connection, by, own_words(what), _stamp(self.clock), undoes)
            yield act
            act.finish()
        self.database.check()  # before the caller learns that the act is done

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Yield a connection in a write transaction: writers run one after another, so none overwrites
        another."""
        with self.engine.connect() as connection:
            writing = connection.execution_options(wordhold_writes=True)
            with writing.begin():
                if self._is_postgresql:  # SQLite locks the file
                    writing.execute(select(func.pg_advisory_xact_lock(ACT_LOCK)))
                yield writing

    @property
    def _is_postgresql(self) -> bool:
        return self.engine.dialect.name == "postgresql"

    def close(self) -> None:
        """Close the database."""
        self.engine.dispose()


def _stamp(clock: Callable[[], datetime]) -> str:
    """Return the time of an act as the history stores it."""
    return clock().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _existing(place: str) -> Database:
    """Return the database at a path or URL.

    Raises:
        NotFound: there is no such file.
    """
    database = Database.at(place)
    if not database.exists:
        raise NotFound(
            message("There is no termbase here."), where=place, fix=message("Create one with: wordhold new")
        )
    return database


def check_version(version: str, place: str, wanted: frozenset[str]) -> None:
    """Check that tables have a version that can be used.

    Raises:
        BadInput: they have another version, or there are none.
    """
    if not version:
        raise BadInput(
            message("This is not a termbase."),
            where=place,
            fix=message("Use a file created by `wordhold new`."),
        )
    if version not in wanted:
        if version in known_tables():
            what = message("The termbase was made by an older version of the program.")
            fix = message("Run: wordhold upgrade")
        else:
            what = message("The termbase was made by a newer version of the program.")
            fix = message("Install a newer version of the program.")
        raise BadInput(what, where=place, fix=fix)
