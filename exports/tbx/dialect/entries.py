"""Writing concept entries of TBX-Wordhold, straight from the rows of the tables."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from operator import itemgetter

import msgspec

from exports.tbx.categories import OTHER
from exports.tbx.dialect.notes import written_notes
from exports.tbx.dialect.plainfields import word_of
from exports.tbx.parts import NAME, NOTE
from exports.tbx.tags import FIELDS, attributes_of, free_fields
from exports.tbx.xmltext import Escaper, xml_id, xml_language
from termbase import dates
from termbase.entries import Analogue, Entry, Figure, Origin, Ruling, Signature, Term
from termbase.fields import Member, field_of, fields_of
from termbase.sources import Slip
from termbase.store.rows import KINDS, TERM, Row
from termbase.store.whole import EntryBatch, columns_of

__all__ = ["EntryWriter"]

_escaper = Escaper(keeps=True)
content, attribute = _escaper.text, _escaper.attribute
_CLOSED = tuple(field.name for field in fields_of(Term) if isinstance(field.is_a, Member))
_FREE = free_fields("term")
_RARE = ("forms", "printed", "printed_language", *_FREE, "foreign_notes")
_EMPTY_TERM: Row = TERM.to_row(Term("", "", "", Origin.NOT_STATED))
_NOTHING_RARE = tuple(_EMPTY_TERM[name] for name in _RARE)
_IN_FULL = {"part_of_speech": "wordClass", "gender": "gender"}
_CLOSED_ABOUT = tuple(field.name for field in fields_of(Entry) if isinstance(field.is_a, Member))
_FREE_ABOUT = free_fields("entry")
_ABOUT = (
    *_CLOSED_ABOUT, "technique", *_FREE_ABOUT, "language_reading", "practice_reading", "version",
    "foreign_notes",
)  # fmt: skip
_WRITTEN_BY = ("created_by", "created_on", "changed_by", "changed_on")
_MOST_KEPT = 2_000
_SLIP_FIELDS = attributes_of("slip")
_EMPTY_SLIP: Row = KINDS["slip"].to_row(Slip("", "", "", version=1))
_PLAIN_SLIP = tuple(_EMPTY_SLIP[name] for name in _SLIP_FIELDS)
_decode = msgspec.json.Decoder(dict[str, object]).decode
_decode_forms = msgspec.json.Decoder(list[dict[str, str]]).decode
_decode_signature = msgspec.json.Decoder(Signature).decode
_encode = msgspec.json.Encoder().encode
Part = Sequence[object]  # a row: whatever the columns of its table hold


class EntryWriter:
    """Writes entries as concept entries.

    Args:
        labels: short label of every source, by id.
        people: XML id of the person of each name that is one person's.
        written: whether an entry, by its id, is in the file.
    """

    def __init__(
        self, labels: Mapping[str, str], people: Mapping[str, str], written: Callable[[str], bool]
    ) -> None:
        self.written = written
        self._people = people
        self._sources = {
            i: f'<wh:source target="{xml_id("source", i)}">{content(label)}</wh:source>\n'
            for i, label in labels.items()
        }
        term = {name: n for n, name in enumerate(columns_of("terms"), 1)}
        self._term = itemgetter(*(term[n] for n in ("id", "text", "language", "forms", "printed")))
        self._printed_language = term["printed_language"]
        self._fields = itemgetter(*(term[name] for name in (*_CLOSED, "language", *_RARE)))
        self._free = tuple(
            (field_of(Term, name), term[name], *_tags(FIELDS[f"term.{name}"].tag)) for name in _FREE
        )
        self._foreign_notes = term["foreign_notes"]
        slip = {name: n for n, name in enumerate(columns_of("slip"))}
        self._slip = itemgetter(*(slip[n] for n in ("id", "source_id", "text", "note")))
        self._slip_fields = itemgetter(*(slip[n] for n in _SLIP_FIELDS))
        self._analogues = _PartWriter("analogue", Analogue, "analogues", self._sources)
        self._figures = _PartWriter("figure", Figure, "figures", self._sources)
        self._rulings = _PartWriter("ruling", Ruling, "rulings", self._sources)
        entry = {name: n for n, name in enumerate(columns_of("entry"))}
        self._about = itemgetter(*(entry[name] for name in _ABOUT))
        self._written_by = itemgetter(*(entry[name] for name in _WRITTEN_BY))
        # What comes again and again is put together once.
        self._fragments: dict[tuple[str | None, ...], str] = {}
        self._abouts: dict[tuple[object, ...], str] = {}
        self._transacted: dict[tuple[str, ...], str] = {}

    def render(self, batch: EntryBatch) -> str:
        """The concept entries of a batch as text."""
        out: list[str] = []
        parts = batch.parts
        for entry in batch.entries:
            entry_id = _text(entry[0])
            out.append(f'<conceptEntry id="{xml_id("entry", entry_id)}">\n')
            terms = parts["terms"].get(entry_id, ())
            sections = self._sections(terms)
            definitions = parts["definitions"].get(entry_id, ())
            self._concept(out, entry)
            self._relations(out, parts["relations"].get(entry_id, ()))
            for write in (self._analogues, self._figures, self._rulings):
                if parts[write.part]:
                    write.rows(out, parts[write.part].get(entry_id, ()))
            by_language = self._definitions(out, definitions, sections)
            _order(out, terms, sections)
            self._transactions(out, entry)
            for tag, those in sections.items():
                out.append(f'<langSec xml:lang="{xml_language(tag)}">\n')
                for definition in by_language.get(tag, ()):
                    self._definition(out, definition, "")
                for term in those:
                    self._term_section(out, term, batch.slips)
                out.append("</langSec>\n")
            if not sections:
                out.append(
                    '<langSec xml:lang="und">\n<termSec>\n<term/>\n<wh:noTerm/>\n</termSec>\n</langSec>\n'
                )
            out.append("</conceptEntry>\n")
        return "".join(out)

    def _sections(self, terms: Iterable[Part]) -> dict[str, list[Part]]:
        found: dict[str, list[Part]] = {}
        for term in terms:
            tag = self._term(term)[2]
            if tag in found:
                found[tag].append(term)
            else:
                found[tag] = [term]
        return found

    def _concept(self, out: list[str], entry: Part) -> None:
        key = self._about(entry)
        text = self._abouts.get(key)
        if text is None:
            if len(self._abouts) > _MOST_KEPT:
                self._abouts.clear()
            text = self._abouts[key] = _said_of_concept(dict(zip(_ABOUT, key, strict=True)))
        out.append(text)

    def _relations(self, out: list[str], relations: Iterable[Part]) -> None:
        for _, kind, to in relations:
            target = _text(to)
            if self.written(target):
                start = f'<basic:crossReference target="{xml_id("entry", target)}">'
                out.append(f"{start}{kind}</basic:crossReference>\n")
            else:
                start = f'<wh:relationOutside entry="{attribute(target)}">'
                out.append(f"{start}{kind}</wh:relationOutside>\n")

    def _grouped(self, out: list[str], first: str, source_id: str | None) -> None:
        if source_id:
            out += ("<descripGrp>\n", first, self._sources[source_id], "</descripGrp>\n")
        else:
            out.append(first)

    def _definitions(
        self, out: list[str], definitions: Sequence[Part], sections: Mapping[str, object]
    ) -> Mapping[str, Sequence[Part]]:
        """Write those that no section can hold, and the order if it is lost; the others by language."""
        if not definitions:
            return {}
        if len(definitions) == 1 and (language := _text(definitions[0][1])) in sections:
            return {language: definitions}
        by_language: defaultdict[str, list[Part]] = defaultdict(list)
        apart = []
        for definition in definitions:
            language = _text(definition[1])
            if language in sections:
                by_language[language].append(definition)
            else:
                apart.append(definition)
                self._definition(out, definition, language)
        standing = [*apart, *(d for tag in sections for d in by_language.get(tag, ()))]
        # By place, not by value: two definitions may be alike.
        order = {id(d): n for n, d in enumerate(standing)}
        places = [order[id(d)] for d in definitions]
        if places != sorted(places):
            out.append(f"<wh:definitionOrder>{' '.join(map(str, places))}</wh:definitionOrder>\n")
        return by_language

    def _definition(self, out: list[str], definition: Part, apart: str) -> None:
        language, text, source_id = map(_text, definition[1:])
        first = f"<basic:definition>{content(text)}</basic:definition>\n"
        if apart or language == "":
            tag = f"<wh:definitionLanguage>{content(language)}</wh:definitionLanguage>\n"
            out += (
                "<descripGrp>\n",
                first,
                tag,
                self._sources[source_id] if source_id else "",
                "</descripGrp>\n",
            )
        else:
            self._grouped(out, first, source_id)

    def _transactions(self, out: list[str], entry: Part) -> None:
        key = self._written_by(entry)
        text = self._transacted.get(key)
        if text is None:
            if len(self._transacted) > _MOST_KEPT:
                self._transacted.clear()
            made_by, made_on, changed_by, changed_on = key
            text = self._transaction("origination", made_by, made_on)
            text += self._transaction("modification", changed_by, changed_on)
            self._transacted[key] = text
        out.append(text)

    def _transaction(self, kind: str, by: str, on: str) -> str:
        if not (by or on):
            return ""
        date = ""
        if on:
            plain = dates.is_iso_date(on) and not on.startswith("0000")
            date = f"<date>{on}</date>\n" if plain else f"<wh:dateAsKept>{content(on)}</wh:dateAsKept>\n"
        target = self._people.get(by)
        pointer = f' target="{target}"' if target else ""
        who = f"<basic:responsibility{pointer}>{content(by)}</basic:responsibility>\n" if by else ""
        start = f"<transacGrp>\n<basic:transactionType>{kind}</basic:transactionType>\n"
        return f"{start}{date}{who}</transacGrp>\n"

    def _term_section(self, out: list[str], term: Part, slips: Mapping[str, Sequence[Part]]) -> None:
        term_id, text, language, _, _ = self._term(term)
        out.append(f'<termSec id="{xml_id("term", term_id)}">\n<term>{content(text)}</term>\n')
        key = self._fields(term)
        fragment = self._fragments.get(key)
        if fragment is None:
            fragment = _closed_fields(dict(zip(_CLOSED, key[: len(_CLOSED)], strict=True)))
            if xml_language(language) != language or not language:
                fragment += f"<wh:languageTag>{content(language)}</wh:languageTag>\n"
            if key[len(_CLOSED) + 1 :] == _NOTHING_RARE:  # asked at once: most terms have none of them
                self._fragments[key] = fragment
            else:
                rare = [fragment]
                self._rare_fields(rare, term)
                fragment = "".join(rare)
        out.append(fragment)
        for slip in slips.get(term_id, ()):
            self._write_slip(out, slip)
        out.append("</termSec>\n")

    def _rare_fields(self, out: list[str], term: Part) -> None:
        _, _, _, forms, printed = self._term(term)
        if printed or term[self._printed_language]:
            more = _attributes((("language", _text(term[self._printed_language])),))
            out.append(f"<wh:printed{more}>{content(printed)}</wh:printed>\n")
        if forms != "[]":
            for form in _decode_forms(forms):
                out.append(f'<wh:form label="{attribute(form["label"])}">{content(form["text"])}</wh:form>\n')
        for field, place, start, end in self._free:
            if value := term[place]:
                out += (start, content(word_of(field, value)), end)
        out.append(written_notes(_text(term[self._foreign_notes])))

    def _write_slip(self, out: list[str], slip: Part) -> None:
        slip_id, source_id, text, note = self._slip(slip)
        out += (
            f'<descripGrp id="{xml_id("slip", slip_id)}">\n<basic:context>', content(text),
            "</basic:context>\n", self._sources[source_id],
        )  # fmt: skip
        fields = self._slip_fields(slip)
        if note or fields != _PLAIN_SLIP:
            out += (_slip_fields(fields), content(note), "</wh:slip>\n")
        out.append("</descripGrp>\n")


@lru_cache(maxsize=4096)
def _slip_fields(fields: tuple[object, ...]) -> str:
    """The start of what a slip holds, each field an attribute that differs from what a new slip has."""
    told = [
        (attribute_name, word_of(field_of(Slip, name), value))
        for (name, attribute_name), value, plain in zip(
            _SLIP_FIELDS.items(), fields, _PLAIN_SLIP, strict=True
        )
        if value != plain
    ]
    return f"<wh:slip{_attributes(told)}>"


class _PartWriter:
    """Writes parts of an entry that are one element each, with their fields as attributes.

    Args:
        record, cls: what their fields are called in `exports.tbx.tags`, and their class.
        part: of an entry, as the tables name it.
        sources: the pointer to each source, by its id.

    Attributes:
        part: as given.
    """

    def __init__(self, record: str, cls: type, part: str, sources: Mapping[str, str]) -> None:
        self.part, self._sources = part, sources
        at = {name: place for place, name in enumerate(columns_of(part), 1)}
        known = attributes_of(record)
        text = next(n for n in at if n not in known and FIELDS[f"{record}.{n}"].tag != "wh:source")
        pointer = next((name for name, said in known.items() if said == "target"), "")
        self._text, self._tag = at[text], FIELDS[f"{record}.{text}"].tag
        self._target = (pointer.removesuffix("_id"), at[pointer]) if pointer else None
        self._told = tuple(
            (said, field_of(cls, name), at[name]) for name, said in known.items() if name != pointer
        )
        self._source = at.get("source_id")

    def rows(self, out: list[str], rows: Iterable[Part]) -> None:
        """Write some of them."""
        for row in rows:
            target = (
                f' target="{xml_id(self._target[0], _text(row[self._target[1]]))}"' if self._target else ""
            )
            more = _attributes((said, word_of(field, row[at])) for said, field, at in self._told)
            first = f"<{self._tag}{target}{more}>{content(_text(row[self._text]))}</{self._tag}>\n"
            source = _text(row[self._source]) if self._source is not None else ""
            out += ("<descripGrp>\n", first, self._sources[source], "</descripGrp>\n") if source else (first,)


def _order(out: list[str], terms: Sequence[Part], sections: Mapping[str, Sequence[Part]]) -> None:
    if len(sections) < 2 or len(sections) == len(terms):
        return
    if [term for those in sections.values() for term in those] != terms:
        ids = " ".join(xml_id("term", _text(term[1])) for term in terms)
        out.append(f"<wh:termOrder>{ids}</wh:termOrder>\n")


def _closed_fields(values: Mapping[str, str | None]) -> str:
    out = []
    for name, value in values.items():
        if value is None:
            continue
        picklist = FIELDS[f"term.{name}"].values
        start, end = _tags(FIELDS[f"term.{name}"].tag)
        published = picklist[value] if picklist else value
        out.append(f"{start}{published}{end}")
        if published == OTHER and value != OTHER:
            tag = f"wh:{_IN_FULL[name]}"
            out.append(f"<{tag}>{value}</{tag}>\n")
    return "".join(out)


def _said_of_concept(fields: Mapping[str, object]) -> str:
    out = []
    for field in _CLOSED_ABOUT:
        if (word := fields[field]) is not None:
            start, end = _tags(FIELDS[f"entry.{field}"].tag)
            out.append(f"{start}{word}{end}")
    if fields["technique"] is not None:
        out.append(_technique(_text(fields["technique"])))
    for name in _FREE_ABOUT:
        if value := fields[name]:
            start, end = _tags(FIELDS[f"entry.{name}"].tag)
            out.append(f"{start}{content(word_of(field_of(Entry, name), value))}{end}")
    out.append(written_notes(_text(fields["foreign_notes"])))
    for field, tag in (
        ("language_reading", "wh:languageReading"),
        ("practice_reading", "wh:practiceReading"),
    ):
        out.append(_reading(tag, fields[field]))
    if fields["version"] != 1:
        out.append(f"<wh:version>{fields['version']}</wh:version>\n")
    return "".join(out)


def _technique(column: str) -> str:
    profile = _decode(column)
    out = []
    for name, value in profile.items():
        if name == "names" and isinstance(value, list):
            out += [f'<wh:technique point="{NAME}">{content(text)}</wh:technique>\n' for text in value]
        elif name == "note":
            out += [f'<wh:technique point="{NOTE}">{content(_text(value))}</wh:technique>\n'] if value else []
        elif name in ("right", "left") and isinstance(value, dict):
            out += [_said(f"{name}.{point}", said) for point, said in value.items() if said is not None]
        elif isinstance(value, dict):
            out.append(_said(name, value))
    return "".join(out) or "<wh:technique/>\n"


def _said(point: str, said: Mapping[str, object]) -> str:
    value = said["value"]
    if isinstance(value, bool):
        text = "yes" if value else "no"
    else:
        text = "; ".join(value) if isinstance(value, list) else _text(value)
    more = _attributes((("point", point), ("basis", _text(said["basis"])), ("ref", _text(said["ref"]))))
    return f"<wh:technique{more}>{content(text)}</wh:technique>\n"


@lru_cache(maxsize=1024)
def _reading(tag: str, column: str) -> str:
    signature = _decode_signature(column)
    reopened = _encode(signature.reopened).decode() if signature.reopened else ""
    more = _attributes((("by", signature.by), ("on", signature.on), ("reopened", reopened)))
    return f"<{tag}{more}/>\n" if more else ""


def _text(value: object) -> str:
    """What a column of text holds; empty where it holds nothing."""
    return value if isinstance(value, str) else ""


def _attributes(pairs: Iterable[tuple[str, str | None]]) -> str:
    return "".join(f' {name}="{attribute(value)}"' for name, value in pairs if value)


def _tags(tag: str) -> tuple[str, str]:
    return f"<{tag}>", f"</{tag}>\n"
