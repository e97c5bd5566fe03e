"""Repairing a damaged termbase as far as nothing has to be guessed: its indexes, its title record."""

from dataclasses import dataclass

from termbase.acts.history import bring_back
from termbase.codes.deeds import brought_back
from termbase.people import Termbase
from termbase.store import ActRecord, Reader, Store
from termbase.store.integrity import Damage, damage_of, write_again

__all__ = ["Repairs", "repair"]


@dataclass(frozen=True)
class Repairs:
    """What was damaged and is whole again.

    Attributes:
        indexes: tables whose indexes were made again.
        kept: where the damaged file is kept; empty where no file was replaced.
        termbase: the title of the termbase whose record was brought back from the history; empty where it
            was not missing.
    """

    indexes: tuple[str, ...] = ()
    kept: str = ""
    termbase: str = ""


def repair(place: str, *, by: str) -> Repairs:
    """Check the whole of a termbase and repair what can be repaired without a guess.

    A file with broken indexes is written again from its tables; the damaged file is kept beside it. A missing
    record of the termbase (title, languages) is brought back from the history, as an act.

    Args:
        place: path or database URL.
        by: in whose name the record is brought back.

    Raises:
        NotFound: there is nothing there.
        BadInput: it is not a termbase, or of another version of the program.
        Damaged: something is damaged that cannot be repaired; nothing was changed.
    """
    store = Store.open(place, check=False)
    try:
        found = _damage(store)
        if not found.repairable:
            raise found.error(store.database.name)
        kept = ""
        if found.indexes and store.database.path is not None:
            kept = str(write_again(store.engine, store.database))
            store = Store.open(place, check=False)
        title = _bring_termbase_back(store, by) if found.nameless else ""
        left = _damage(store)
        if left:
            raise left.error(store.database.name)
    finally:
        store.close()
    return Repairs(found.indexes, kept, title)


def _damage(store: Store) -> Damage:
    with store.engine.connect() as connection:
        return damage_of(connection, "integrity_check")


def _bring_termbase_back(store: Store, by: str) -> str:
    """The title of the record brought back; empty where the history knows none."""
    with store.read() as reader:
        last = _last_state(reader)
    if last is None:
        return ""
    done = brought_back("termbase", last.at[:10], last.what, last.id)
    with store.act(by, done) as act:
        bring_back(act, "termbase", "termbase", last.id)
        return act.termbase().title


def _last_state(reader: Reader) -> ActRecord | None:
    """The last act after which there was a record of the termbase."""
    changes = reader.history(Termbase, "termbase")
    return next((c.act for c in changes if c.after is not None), None)
