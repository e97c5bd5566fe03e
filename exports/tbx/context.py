"""What all parts of an export share: style, counts, notes, and the people and sources cited."""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from exports.tbx.reports import ExportCounts
from exports.tbx.styles import Style
from exports.tbx.tags import FIELDS, Fate
from exports.tbx.xmltext import Escaper, language_attribute, safe_tag, xml_id, xml_language
from termbase.fields.declarations import fields_of
from termbase.languages import tags
from termbase.overviews.articles import Library
from termbase.record.people import Person
from termbase.record.sources import Source

__all__ = ["WORDS_LANGUAGE", "Cited", "Context", "FieldFate", "is_english"]

WORDS_LANGUAGE = "en"
"""Language of the labels and sentences that an export adds."""


FieldFate = tuple[Fate, str]
"""What happened to a field, and its path."""
_MOST_GATHERED = 100_000


@dataclass(frozen=True, slots=True)
class Cited:
    """A source, ready to be cited.

    Attributes:
        opened: start tag and escaped label.
        closed: the same with the end tag.
        language: language of the source, if known.
    """

    opened: str
    closed: str
    language: str


class Context:
    """A running export.

    Attributes:
        library: the library that is exported.
        style: the dialect and style.
        ids: the requested entries, in this order; None for all. `selected` is the same as a set.
        gathered: what happened to fields whose texts are not cached; see `settle`.
        people: all people, by id; `cited_people` and `cited_sources` are the ids cited so far.
        end_of_source: the end tag for what `cite` opens.
    """

    def __init__(self, library: Library, style: Style, ids: Sequence[str] | None = None) -> None:
        self.library = library
        self.style = style
        self.ids = None if ids is None else tuple(dict.fromkeys(ids))
        self.selected = None if self.ids is None else frozenset(self.ids)
        self.escaper = Escaper(keeps=style.whole)
        self.escape = self.escaper.text
        self.tally = ExportCounts()
        self.gathered: list[FieldFate] = []
        self._counts = {
            Fate.CARRIED: self.tally.carried, Fate.NOTED: self.tally.noted, Fate.LEFT_OUT: self.tally.left_out
        }  # fmt: skip
        self.working_language = self.tag(library.termbase.working_language)
        self.people: dict[str, Person] = {p.id: p for p in library.reader.all(Person)}
        self.cited_people: set[str] = set()
        self.cited_sources: set[str] = set()
        self.end_of_source = "</wh:source>\n" if style.whole else f"{style.end('source')}\n"
        self._by_name = _unambiguous(self.people.values())
        self._responsible: dict[str, str] = {}
        self._cited: dict[str, Cited] = {}
        tagged = language_attribute(WORDS_LANGUAGE)
        self._plain_notes = {path: f"<note>{field.label}: " for path, field in FIELDS.items()}
        self._tagged_notes = {path: f"<note{tagged}>{field.label}: " for path, field in FIELDS.items()}

    def tag(self, language: str) -> str:
        """Return the tag of a language as this style writes it, or the one for an undetermined language."""
        return xml_language(language) if self.style.whole else safe_tag(language)

    def notes_in(self, language: str) -> Mapping[str, str]:
        """Return the start of each field's note, for a section in this language.

        A note inherits the language of its section, so an English note in another section states its
        language.
        """
        return self._plain_notes if is_english(language) else self._tagged_notes

    def note(self, out: list[str], opening: Mapping[str, str], path: str, value: str) -> None:
        """Write the note of a field, unless the value is empty."""
        if value:
            out += (opening[path], self.escape(value), "</note>\n")
            self.tally.noted[path] += 1

    def count(self, counts: Iterable[FieldFate], number: int = 1) -> None:
        """Count what happened to fields, by path, the given number of times.

        For the whole record nothing is counted here: `Export` counts the table columns.
        """
        if self.style.whole:
            return
        for fate, path in counts:
            self._counts[fate][path] += number

    def settle(self, most: int = _MOST_GATHERED) -> None:
        """Count what was gathered, if it exceeds the limit."""
        if len(self.gathered) > most:
            for field_fate, number in Counter(self.gathered).items():
                self.count((field_fate,), number)
            self.gathered.clear()

    def count_record(self, kind: str, record: object, only: Fate | None = None) -> None:
        """Count what happens to the fields of a record; with `only`, just the fields with that fate."""
        whole = self.style.whole
        for field in fields_of(type(record)):
            path, value = f"{kind}.{field.name}", getattr(record, field.name)
            fate = self.fate(path)
            if isinstance(value, tuple):
                number = sum(map(bool, value)) if fate is Fate.CARRIED and not whole else len(value)
            else:
                number = int(value not in ("", None, False) or (field.name == "version" and not whole))
            if number and fate and (only is None or fate is only):
                self._counts[fate][path] += number

    def fate(self, path: str) -> Fate | None:
        """Return what usually happens to a field in this style; None if it never occurs."""
        field = FIELDS[path]
        if self.style.whole:
            return Fate.CARRIED if field.tag else Fate.LEFT_OUT
        return field.fate

    def cite(self, source_id: str) -> Cited:
        """Return a source ready to be cited; a source missing from the library is named by its id."""
        cited = self._cited.get(source_id)
        if cited is None:
            source = self.library.sources.get(source_id)
            cited = self._cited[source_id] = self._ready(source_id, source)
        return cited

    def label_of(self, source_id: str) -> str:
        """Return the short label of a source for a note; its id if the library does not have it."""
        source = self.library.sources.get(source_id)
        return source.label if source else source_id

    def responsible(self, name: str) -> str:
        """Return the responsibility element for a name.

        It points to the back matter if only one person has that name.
        """
        element = self._responsible.get(name)
        if element is None:
            style = self.style
            person = self._by_name.get(name) or (None if style.whole else self.people.get(name))
            target = xml_id("person", person.id) if person else ""
            if person:
                self.cited_people.add(person.id)
            text = self.escape(person.name if person else name)
            start, end = style.start("responsibility", target=target), style.end("responsibility")
            element = self._responsible[name] = f"{start}{text}{end}\n"
        return element

    def _ready(self, source_id: str, source: Source | None) -> Cited:
        label, target, language = source_id, "", ""
        if source is not None:
            self.cited_sources.add(source_id)
            label, target = source.label, xml_id("source", source_id)
            language = source.language.strip() if tags.is_well_formed(source.language) else ""
        start = self.style.start("source", target=target)
        if self.style.whole:
            start = f'<wh:source target="{target}">'
        opened = f"{start}{self.escape(label)}"
        return Cited(opened, f"{opened}{self.end_of_source}", language)


@lru_cache(maxsize=1024)
def is_english(tag: str) -> bool:
    """Return whether a language tag is English."""
    return tag.partition("-")[0].lower() == WORDS_LANGUAGE


def _unambiguous(people: Collection[Person]) -> dict[str, Person]:
    """Return the people whose name nobody else has, by name."""
    number = Counter(person.name for person in people)
    return {person.name: person for person in people if number[person.name] == 1}
