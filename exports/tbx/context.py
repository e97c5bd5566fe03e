"""What all parts of one export share: style, counts, notes, and the people and sources they point at."""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from exports.tbx.loss import Tally
from exports.tbx.styles import Style
from exports.tbx.tags import FIELDS, Fate
from exports.tbx.xmltext import Escaper, language_attribute, safe_tag, xml_id, xml_language
from termbase import tags
from termbase.articles import Library
from termbase.fields import fields_of
from termbase.people import Person
from termbase.sources import Source

__all__ = ["WORDS_LANGUAGE", "Cited", "Context", "Told", "is_english"]

WORDS_LANGUAGE = "en"
"""Language of the labels and sentences that an export adds of its own."""


Told = tuple[Fate, str]
"""What became of a field, by its path."""
_MOST_GATHERED = 100_000


@dataclass(frozen=True, slots=True)
class Cited:
    """A source, ready to be cited.

    Attributes:
        opened: start tag and escaped label.
        closed: the same with its end.
        language: of its text, where that is known.
    """

    opened: str
    closed: str
    language: str


class Context:
    """One export under way.

    Attributes:
        library: whose articles are written.
        style: how.
        ids: the entries asked for, in this order; None for all. `selected` is the same as a set.
        gathered: what became of fields of which very few are alike; see `settle`.
        people: everybody, by id; `cited_people` and `cited_sources` are the ids pointed at so far.
        end_of_source: the end tag of what `cite` opens.
    """

    def __init__(self, library: Library, style: Style, ids: Sequence[str] | None = None) -> None:
        self.library = library
        self.style = style
        self.ids = None if ids is None else tuple(dict.fromkeys(ids))
        self.selected = None if self.ids is None else frozenset(self.ids)
        self.escaper = Escaper(keeps=style.whole)
        self.escape = self.escaper.text
        self.tally = Tally()
        self.gathered: list[Told] = []
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
        """The tag of a language as this style writes it, or that of none."""
        return xml_language(language) if self.style.whole else safe_tag(language)

    def notes_in(self, language: str) -> Mapping[str, str]:
        """The opening of the note of each field, for a section in this language.

        A note inherits the language of its section, so one in English says so wherever the section is not.
        """
        return self._plain_notes if is_english(language) else self._tagged_notes

    def note(self, out: list[str], opening: Mapping[str, str], path: str, value: str) -> None:
        """Write the note of a field, unless its value is empty."""
        if value:
            out += (opening[path], self.escape(value), "</note>\n")
            self.tally.noted[path] += 1

    def count(self, counts: Iterable[Told], number: int = 1) -> None:
        """Count what became of fields, by their paths, so many times.

        Of the whole record nothing is counted here: what the columns of the tables hold is (`Export`).
        """
        if self.style.whole:
            return
        for fate, path in counts:
            self._counts[fate][path] += number

    def settle(self, most: int = _MOST_GATHERED) -> None:
        """Count what was gathered, if it is more than this."""
        if len(self.gathered) > most:
            for told, number in Counter(self.gathered).items():
                self.count((told,), number)
            self.gathered.clear()

    def count_record(self, kind: str, record: object, only: Fate | None = None) -> None:
        """Count what becomes of the fields of a record; if asked for, of those with one fate alone."""
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
        """What becomes of a field in this style as a rule; None where it does not come to that."""
        field = FIELDS[path]
        if self.style.whole:
            return Fate.CARRIED if field.tag else Fate.LEFT_OUT
        return field.fate

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
            style = self.style
            person = self._by_name.get(name) or (None if style.whole else self.people.get(name))
            target = xml_id("person", person.id) if person else ""
            if person:
                self.cited_people.add(person.id)
            text = self.escape(person.name if person else name)
            start, end = style.start("responsibility", target=target), style.end("responsibility")
            found = self._responsible[name] = f"{start}{text}{end}\n"
        return found

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
    """Whether text under this tag is English."""
    return tag.partition("-")[0].lower() == WORDS_LANGUAGE


def _unambiguous(people: Collection[Person]) -> dict[str, Person]:
    """Those whose name nobody else has, by name."""
    number = Counter(person.name for person in people)
    return {person.name: person for person in people if number[person.name] == 1}
