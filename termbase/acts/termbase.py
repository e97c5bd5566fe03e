"""The termbase's own data and the people, and repairing a damaged termbase.

Repairs never guess: indexes are rebuilt from the tables, and a missing title record is restored from the
history.
"""

from dataclasses import dataclass, replace

from termbase.acts.history import restore_state
from termbase.codes.deeds import restored
from termbase.errors import BadInput
from termbase.messages import message
from termbase.record.people import Person, Termbase
from termbase.record.validation import clean_person, clean_termbase
from termbase.store.engine import Store
from termbase.store.integrity import Damage, damage_of, write_again
from termbase.store.reading import Reader
from termbase.store.rows import ActRecord
from termbase.store.writing import Act

__all__ = ["Repairs", "remove_person", "repair", "save_person", "save_termbase"]


def save_termbase(act: Act, termbase: Termbase) -> Termbase:
    """Change the termbase's title, languages, licence and the like."""
    return act.put(clean_termbase(termbase))


def save_person(act: Act, person: Person) -> Person:
    """Write a person, new (empty id) or changed.

    Raises:
        BadInput: there is no name, or another person has it: the history identifies people by name.
        Conflict: someone else has changed it since it was read.
    """
    taken = clean_person(person)
    if any(other.name == taken.name and other.id != taken.id for other in act.all(Person)):
        raise BadInput(
            message("There is already a person called %(name)s.", name=taken.name),
            where=message("name"),
            fix=message("Add something to tell them apart."),
            path=("name",),
        )
    return act.add(replace(taken, id=act.new_id("person"))) if not taken.id else act.put(taken)


def remove_person(act: Act, person_id: str) -> None:
    """Remove a person from the list; the history keeps the name with everything done under it.

    Raises:
        NotFound: there is no such person.
    """
    act.remove(Person, person_id)


@dataclass(frozen=True)
class Repairs:
    """What was damaged and has been repaired.

    Attributes:
        indexes: tables whose indexes were rebuilt.
        kept: where the damaged file is kept; empty if no file was replaced.
        termbase: the title of the termbase whose record was restored from the history; empty if it was not
            missing.
    """

    indexes: tuple[str, ...] = ()
    kept: str = ""
    termbase: str = ""


def repair(place: str, *, by: str) -> Repairs:
    """Check a whole termbase and repair what can be repaired without guessing.

    A file with broken indexes is rewritten from its tables; the damaged file is kept next to it. A missing
    title record (title, languages) is restored from the history, as an act.

    Args:
        place: path or database URL.
        by: person to record for the restored title record.

    Raises:
        NotFound: there is nothing at this place.
        BadInput: it is not a termbase, or it belongs to another version of the program.
        Damaged: the damage cannot be repaired; nothing was changed.
    """
    store = Store.open(place, check=False)
    try:
        result = _damage(store)
        if not result.repairable:
            raise result.error(store.database.name)
        kept = ""
        if result.indexes and store.database.path is not None:
            kept = str(write_again(store.engine, store.database))
            store = Store.open(place, check=False)
        title = _restore_title_record(store, by) if result.nameless else ""
        remaining = _damage(store)
        if remaining:
            raise remaining.error(store.database.name)
    finally:
        store.close()
    return Repairs(result.indexes, kept, title)


def _damage(store: Store) -> Damage:
    with store.engine.connect() as connection:
        return damage_of(connection, "integrity_check")


def _restore_title_record(store: Store, by: str) -> str:
    """Return the title of the restored record; empty if the history has none."""
    with store.read() as reader:
        last = _last_state(reader)
    if last is None:
        return ""
    deed = restored("termbase", last.at[:10], last.what, last.id)
    with store.act(by, deed) as act:
        restore_state(act, "termbase", "termbase", last.id)
        return act.termbase().title


def _last_state(reader: Reader) -> ActRecord | None:
    """Return the last act after which the title record existed."""
    changes = reader.history(Termbase, "termbase")
    return next((c.act for c in changes if c.after is not None), None)
