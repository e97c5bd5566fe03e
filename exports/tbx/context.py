"""What all parts of one export share: style, counts, notes, and the people and sources they point at."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from exports.tbx.loss import Tally
from exports.tbx.markup import Dialect
from exports.tbx.tags import FIELDS
from exports.tbx.xmltext import Escaper, language_attribute, safe_tag, xml_id
from termbase import tags
from termbase.articles import Library
from termbase.people import Person
from termbase.sources import Source

__all__ = ["WORDS_LANGUAGE", "Context", "is_english"]

WORDS_LANGUAGE = "en"
"""Language of the labels and sentences that an export adds of its own."""


@dataclass(frozen=True, slots=True)
class Cited:
    """A source, ready to be cited: start tag, escaped label, language of its text where that is known."""

    start: str
    label: str
    language: str


class Context:
    """One export under way.

    Attributes:
        dialect: what is written.
        library: whose articles are written.
        selected: ids of the entries asked for; None for all.
        people: everybody, by id; `cited_people` and `cited_sources` are the ids pointed at so far.
    """

    def __init__(self, library: Library, dialect: Dialect, selected: frozenset[str] | None) -> None:
        self.library = library
        self.dialect = dialect
        self.selected = selected
        self.escaper = Escaper()
        self.tally = Tally()
        self.working_language = safe_tag(library.termbase.working_language)
        self.people: dict[str, Person] = {p.id: p for p in library.reader.all(Person)}
        self.cited_people: set[str] = set()
        self.cited_sources: set[str] = set()
        self._by_name = _unambiguous(self.people.values())
        self._responsible: dict[str, str] = {}
        self._cited: dict[str, Cited] = {}
        tagged = language_attribute(WORDS_LANGUAGE)
        self._plain_notes = {path: f"<note>{field.label}: " for path, field in FIELDS.items()}
        self._tagged_notes = {path: f"<note{tagged}>{field.label}: " for path, field in FIELDS.items()}

    def notes_in(self, language: str) -> dict[str, str]:
        """The opening of the note of each field, for a section in this language.

        A note inherits the language of its section, so one in English says so wherever the section is not.
        """
        return self._plain_notes if is_english(language) else self._tagged_notes

    def note(self, out: list[str], opening: dict[str, str], path: str, value: str) -> None:
        """Write the note of a field, unless its value is empty."""
        if value:
            out += (opening[path], self.escaper.text(value), "</note>\n")
            self.tally.noted[path] += 1

    def count_noted(self, **values: str) -> None:
        """Count fields that share one note; of a name `record__field`, those not empty."""
        for name, value in values.items():
            if value:
                self.tally.noted[name.replace("__", ".")] += 1

    def cite(self, source_id: str) -> Cited:
        """A source to be cited; one that the library does not have is named by its id."""
        found = self._cited.get(source_id)
        if found is None:
            source = self.library.sources.get(source_id)
            found = self._cited[source_id] = self._ready(source_id, source)
        return found

    def label_of(self, source_id: str) -> str:
        """The short label of a source, for a note; empty where there is none."""
        source = self.library.sources.get(source_id)
        return source.label if source else source_id

    def responsible(self, name: str) -> str:
        """The responsibility of somebody, pointing at the back matter where the name is one person's."""
        found = self._responsible.get(name)
        if found is None:
            person = self._by_name.get(name) or self.people.get(name)
            target = xml_id("person", person.id) if person else ""
            if person:
                self.cited_people.add(person.id)
            text = self.escaper.text(person.name if person else name)
            start, end = (
                self.dialect.start("responsibility", target=target),
                self.dialect.end("responsibility"),
            )
            found = self._responsible[name] = f"{start}{text}{end}\n"
        return found

    def _ready(self, source_id: str, source: Source | None) -> Cited:
        if source is None:
            return Cited(self.dialect.start("source"), self.escaper.text(source_id), "")
        self.cited_sources.add(source_id)
        start = self.dialect.start("source", target=xml_id("source", source_id))
        language = source.language.strip() if tags.is_well_formed(source.language) else ""
        return Cited(start, self.escaper.text(source.label), language)


@lru_cache(maxsize=1024)
def is_english(tag: str) -> bool:
    """Whether text under this tag is English."""
    return tag.partition("-")[0].lower() == WORDS_LANGUAGE


def _unambiguous(people: Iterable[Person]) -> dict[str, Person]:
    found: dict[str, Person] = {}
    twice = set()
    for person in people:
        if person.name in found:
            twice.add(person.name)
        found[person.name] = person
    return {name: person for name, person in found.items() if name not in twice}
