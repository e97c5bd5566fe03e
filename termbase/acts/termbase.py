"""The termbase's own data, and the people."""

from dataclasses import replace

from termbase.errors import BadInput
from termbase.messages import message
from termbase.record.people import Person, Termbase
from termbase.record.validation import clean_person, clean_termbase
from termbase.store.writing import Act

__all__ = ["remove_person", "save_person", "save_termbase"]


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
