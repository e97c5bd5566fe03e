"""Drafting entries from a word-list line, one for each sense, and the slips that quote the line."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from termbase.errors import BadInput
from termbase.fields.closed_lists import member
from termbase.fields.declarations import Path
from termbase.languages import folding, tags
from termbase.messages import message
from termbase.record.entries import (
    Entry,
    Gender,
    InflectedForm,
    Number,
    Origin,
    PartOfSpeech,
    Status,
    Term,
    TermType,
)
from termbase.record.lines import (
    HEADWORD,
    Equivalent,
    ParsedLine,
    PrintedWhy,
    Sense,
    equivalent_path,
    outside_lists,
)
from termbase.record.pages import Line, Page
from termbase.record.people import Termbase
from termbase.record.sources import Slip, SlipKind, Source
from termbase.store.reading import Reader
from termbase.store.writing import Act
from termbase.wordlists.pattern_files import read_pattern
from termbase.wordlists.patterns import LinePattern, in_languages

__all__ = [
    "ListLanguages",
    "drafts",
    "list_languages",
    "names_as_printed",
    "own_slips",
    "pattern_of",
    "quote",
    "setting",
    "stated_languages",
    "unlisted_words",
    "unquote",
    "with_languages",
]


@dataclass(frozen=True)
class ListLanguages:
    """The languages of a word-list: of its headwords and of their equivalents."""

    headword: str
    equivalent: str


def pattern_of(source: Source) -> LinePattern:
    """Return the line pattern of a source.

    Raises:
        BadInput: it has none, or it cannot be parsed.
    """
    if not source.pattern.strip():
        raise BadInput(
            message("The source has no line pattern."),
            where=source.label,
            fix=message("Give it one on its page."),
        )
    return _read(source.pattern, source.label)


@lru_cache(maxsize=16)
def _read(pattern: str, label: str) -> LinePattern:
    return read_pattern(pattern, message("line pattern of %(source)s", source=label))


def stated_languages(
    termbase: Termbase, pattern: LinePattern, *, headword: str = "", equivalent: str = "", source: str = ""
) -> ListLanguages:
    """Return the languages of a word-list as stated; a single vernacular need not be stated.

    Arguments come first, then the pattern, then the language of the source if it is a vernacular of the
    termbase.

    Args:
        termbase: the termbase.
        pattern: the line pattern of the word-list.
        headword, equivalent: BCP 47 tags given for this list; empty for none.
        source: language of the source; empty if it is not known.

    Raises:
        BadInput: a tag is not well formed, or there are several vernaculars and the language of the
            equivalents is not stated.
    """
    headword = headword or pattern.headword_language or termbase.working_language
    equivalent = equivalent or pattern.equivalent_language or _vernacular(termbase, headword, source)
    return ListLanguages(tags.canonical(headword), tags.canonical(equivalent))


def _vernacular(termbase: Termbase, headword: str, source: str) -> str:
    if not _same_language(headword, termbase.working_language):
        return termbase.working_language
    others = termbase.vernaculars
    if source and any(_same_language(tag, source) for tag in others):
        return source
    if len(others) > 1:
        raise BadInput(
            message("The language of the equivalents is not set."),
            where=message("language of the equivalents"),
            fix=message("Choose one: %(tags)s.", tags=", ".join(others)),
        )
    return next(iter(others), "und")


def _same_language(first: str, second: str) -> bool:
    return tags.parse(first).language == tags.parse(second).language


def with_languages(
    termbase: Termbase, stock: LinePattern, *, headword: str = "", equivalent: str = "", source: str = ""
) -> LinePattern:
    """Return a stock pattern with the languages of a word-list; the arguments are those of
    `stated_languages`.

    Raises:
        BadInput: as `stated_languages`.
    """
    result = stated_languages(termbase, stock, headword=headword, equivalent=equivalent, source=source)
    return in_languages(stock, result.headword, result.equivalent)


def list_languages(reader: Reader, pattern: LinePattern) -> ListLanguages:
    """Return the languages of a word-list: those of its pattern, else the termbase's own."""
    termbase = reader.termbase()
    vernacular = pattern.equivalent_language or next(iter(termbase.vernaculars), "und")
    return ListLanguages(pattern.headword_language or termbase.working_language, vernacular)


def drafts(line: Line, names: ListLanguages) -> tuple[Entry, ...]:
    """Return the entries that a line would create, without ids: one for each sense that has a name."""
    parsed = line.parsed
    if parsed is None or not parsed.headword:
        return ()
    senses = parsed.senses or (Sense(),)
    return tuple(_draft(parsed, number, sense, names) for number, sense in enumerate(senses))


def _draft(parsed: ParsedLine, number: int, sense: Sense, names: ListLanguages) -> Entry:
    printed = {p.part: p.text for p in parsed.printed if p.why is PrintedWhy.BY_HAND}
    head = Term(
        id="",
        text=parsed.headword,
        language=names.headword,
        origin=Origin.WORD_LIST,
        printed=printed.get(HEADWORD, ""),
        part_of_speech=member(PartOfSpeech, parsed.part_of_speech),
        gender=member(Gender, parsed.gender),
        number=member(Number, parsed.number),
        forms=tuple(InflectedForm(f.label, f.text) for f in parsed.forms),
        pronunciation=parsed.pronunciation,
        status=Status.PREFERRED,
    )
    variants = [_variant(head, text) for text in parsed.variants]
    others: list[Term] = []
    for n, equivalent in enumerate(sense.equivalents):
        term = _equivalent(equivalent, parsed, names, first=n == 0)
        term = replace(term, printed=printed.get(equivalent_path(number, n), ""))
        others += [term, *(_variant(term, text) for text in equivalent.variants)]
    texts = (sense.style or parsed.style, sense.gloss, sense.note, parsed.note)
    labels = "; ".join(filter(None, (*texts, *unlisted_words(replace(parsed, senses=(sense,))))))
    terms = _unique([replace(t, text=folding.clean(t.text)) for t in (head, *variants, *others)])
    return Entry(id="", terms=tuple(terms), editor_note=labels and f"Word-list: {labels}")


def unlisted_words(parsed: ParsedLine) -> tuple[str, ...]:
    """Return the grammar labels of a line that are not in our lists, in words, for the editor's note."""
    return tuple(f"{slot} of “{name}”: {word}" for slot, word, name in outside_lists(parsed))


def names_as_printed(line: Line, names: ListLanguages) -> dict[tuple[str, str], str]:
    """Return how a line prints each of its names, by text and language."""
    parsed = line.parsed
    if parsed is None:
        return {}
    print_forms = {p.part: p.text for p in parsed.printed}
    printed: list[tuple[Path, str, str]] = [(HEADWORD, parsed.headword, names.headword)]
    printed += [
        (equivalent_path(n, position), equivalent.text, names.equivalent)
        for n, sense in enumerate(parsed.senses)
        for position, equivalent in enumerate(sense.equivalents)
    ]
    result: dict[tuple[str, str], str] = {}
    for part, text, language in printed:
        result.setdefault((folding.clean(text), language), print_forms.get(part, text))
    return result


def _unique(terms: Sequence[Term]) -> list[Term]:
    result: dict[tuple[str, str], Term] = {}
    for term in terms:
        if term.text.strip():
            result.setdefault((term.text, term.language), term)
    return list(result.values())


def _equivalent(equivalent: Equivalent, parsed: ParsedLine, names: ListLanguages, *, first: bool) -> Term:
    return Term(
        id="",
        text=equivalent.text,
        language=names.equivalent,
        origin=Origin.WORD_LIST,
        part_of_speech=member(PartOfSpeech, equivalent.part_of_speech or parsed.part_of_speech),
        gender=member(Gender, equivalent.gender),
        number=member(Number, equivalent.number),
        forms=tuple(InflectedForm(f.label, f.text) for f in equivalent.forms),
        usage_note=equivalent.note,
        status=Status.PREFERRED if first else Status.ADMITTED,
    )


def _variant(term: Term, text: str) -> Term:
    return replace(term, text=text, type=TermType.VARIANT, status=Status.ADMITTED, forms=(), printed="")


def setting(reader: Reader, line: Line) -> tuple[Source, Page, ListLanguages]:
    """Return a line's source, page and word-list languages."""
    page = reader.get(Page, line.page_id)
    source = reader.get(Source, page.source_id)
    return source, page, list_languages(reader, pattern_of(source))


def quote(act: Act, line: Line, page: Page, source: Source, terms: Sequence[Term]) -> None:
    """Give each of these names a slip that quotes the line, with the name as the line prints it."""
    printed = names_as_printed(line, list_languages(act, pattern_of(source)))
    for term in terms:
        act.add(
            Slip(
                id=act.new_id("slip"),
                source_id=source.id,
                text=line.text.strip("\n"),
                name=printed.get((term.text, term.language), term.printed or term.text),
                page=page.number,
                line=str(line.first),
                kind=SlipKind.HEADWORD,
                term_id=term.id,
            )
        )


def own_slips(reader: Reader, line: Line, entries: Sequence[Entry]) -> tuple[Slip, ...]:
    """Return the slips that quote a line under the names of these entries."""
    page = reader.get(Page, line.page_id)
    names = {t.id for e in entries for t in e.terms}
    printed = line.text.strip("\n")
    return tuple(
        slip
        for slip in reader.all(Slip, source_id=page.source_id, page=page.number, line=str(line.first))
        if slip.term_id in names and slip.kind is SlipKind.HEADWORD and slip.text == printed
    )


def unquote(act: Act, line: Line, entries: Sequence[Entry]) -> None:
    """Delete the slips that quote a line under the names of these entries."""
    for slip in own_slips(act, line, entries):
        act.remove(Slip, slip.id)
