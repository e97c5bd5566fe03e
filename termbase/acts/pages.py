"""Working a word-list page: entering it, deciding on each of its lines, and reopening a line."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

import msgspec
from sqlalchemy import select

from termbase.acts import entries as entry_acts
from termbase.acts.drafting import (
    ListLanguages,
    drafts,
    list_languages,
    own_slips,
    pattern_of,
    quote,
    setting,
    stated_languages,
    unlisted_words,
    unquote,
)
from termbase.acts.refitting import line_from, refit
from termbase.errors import BadInput, Conflict, InUse, ReportedAt
from termbase.fields.notes import NOTHING_SAID, CodedText
from termbase.fields.notes import own_words as own
from termbase.messages import message
from termbase.record import cleaning
from termbase.record.entries import Entry, Origin, Relation, RelationKind, Status, Term
from termbase.record.limits import check_length
from termbase.record.lines import ParsedLine
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Source
from termbase.record.validation import clean_verbatim
from termbase.store import tables
from termbase.store.reading import Reader
from termbase.store.writing import Act
from termbase.wordlists.parsing import parse_page
from termbase.wordlists.patterns import LinePattern

__all__ = [
    "ListLanguages",
    "add_page",
    "added_names",
    "attach",
    "change_page",
    "correct",
    "drafts",
    "list_languages",
    "make",
    "pattern_of",
    "refit",
    "relate",
    "remove_page",
    "reopen",
    "set_aside",
    "unchanged_line",
]


def add_page(act: Act, source_id: str, number: str, transcription: str, image_id: str = "") -> Page:
    """Enter a page: its transcription is divided into lines by the source's pattern; no line is dropped.

    Raises:
        BadInput: the text is empty, the page exists already, the source has no pattern, or the language of
            the equivalents is not stated although there are several vernaculars.
    """
    source = act.get(Source, source_id)
    pattern = pattern_of(source)
    _require_vernacular(act, source, pattern)
    number = _free_number(act, source, number)
    transcription = clean_verbatim(transcription, "transcription")
    if not transcription.strip():
        raise BadInput(
            message("The page has no text."),
            where=message("transcription"),
            fix=message("Paste or upload the page's text."),
        )
    page = act.add(Page(act.new_id("page"), source_id, number, transcription, image_id=image_id))
    for n, (cut_line, parsed) in enumerate(parse_page(transcription, pattern), 1):
        if cut_line.kind != "blank":
            act.add(line_from(act.new_id("line"), page.id, n, cut_line, parsed))
    return page


def _require_vernacular(act: Act, source: Source, pattern: LinePattern) -> None:
    with ReportedAt(message("line pattern of %(source)s", source=source.label)):
        stated_languages(act.termbase(), pattern)


def change_page(act: Act, page: Page, number: str) -> Page:
    """Change a page's number or picture; its text and lines stay the same.

    Raises:
        BadInput: the number is empty or another page's.
        Conflict: someone else has changed the page since it was read.
    """
    source = act.get(Source, page.source_id)
    return act.put(replace(page, number=_free_number(act, source, number, page.id)))


def _free_number(act: Act, source: Source, number: str, own: str = "") -> str:
    """Return the page number as one line; refuse one that another page of the source has."""
    number = cleaning.line(number)
    if not number:
        raise BadInput(
            message("The page has no number."),
            where=message("page"),
            fix=message("Give its number as printed, or a label."),
        )
    taken = act.connection.scalar(
        select(tables.page.c.id).where(
            tables.page.c.source_id == source.id, tables.page.c.number == number, tables.page.c.id != own
        )
    )
    if taken:
        raise BadInput(
            message(
                "Page %(number)s of %(source)s already exists (%(page)s).",
                number=number,
                source=source.label,
                page=taken,
            ),
            where=message("page"),
            fix=message("Open it, or give another number."),
        )
    return number


def remove_page(act: Act, page_id: str) -> None:
    """Delete a page and its lines.

    Raises:
        InUse: some of its lines have been worked.
    """
    lines = act.all(Line, page_id=page_id)
    worked = sum(1 for x in lines if x.entry_ids)
    if worked:
        raise InUse(
            message("%(n)s of its lines belong to entries.", n=worked),
            where=page_id,
            fix=message("Reopen those lines first."),
        )
    for line in lines:
        act.remove(Line, line.id)
    act.remove(Page, page_id)


def unchanged_line(act: Act, line_id: str, version: int) -> Line:
    """Return the line if nobody has changed it since this version.

    Raises:
        Conflict: somebody has.
    """
    line = act.get(Line, line_id)
    if line.version != version:
        raise Conflict(
            message("Somebody else has worked on this line in the meantime. Nothing was overwritten."),
            where=line_id,
            fix=message("Check its current state, and change it again if it is wrong."),
        )
    return line


def correct(act: Act, line_id: str, parsed: ParsedLine) -> Line:
    """Replace a line's parse by the editor's own; the printed text stays.

    Raises:
        BadInput: a text in it is too long or has characters that no database can hold; all such are reported.
    """
    line = replace(act.get(Line, line_id), parsed=cleaning.cleaned(parsed), corrected=True)
    if not line.entry_ids and line.state is not LineState.SET_ASIDE:
        line = replace(line, state=line.open_state())
    return act.put(line)


def set_aside(act: Act, line_id: str, reason: CodedText | str) -> Line:
    """Set a line aside with a reason: one of `termbase.codes.lines.Aside`, or a person's own words.

    Raises:
        BadInput: there is no reason, or it is too long or has characters that no database can hold.
        InUse: an entry was created from it.
    """
    line = act.get(Line, line_id)
    statement = (
        reason if isinstance(reason, CodedText) and reason.code else own(cleaning.line(own(reason).text))
    )
    check_length(statement.text, "line", message("reason"))
    if not statement:
        raise BadInput(
            message("The reason is missing."),
            where=message("reason"),
            fix=message("Give a reason: another sport, illegible, repeated..."),
        )
    _check_unattached(line)
    return act.put(replace(line, state=LineState.SET_ASIDE, reason=statement))


def make(act: Act, line_id: str) -> tuple[Entry, ...]:
    """Create entries from a line, one for each sense, each name with a slip that quotes the line.

    Raises:
        BadInput: the line has no headword or no sense with a name.
        InUse: entries were already created from it.
    """
    line = act.get(Line, line_id)
    _check_unattached(line)
    source, page, names = setting(act, line)
    created = tuple(entry_acts.save(act, draft) for draft in drafts(line, names))
    if not created:
        raise BadInput(
            message("This line has no name in it."), where=line_id, fix=message("Correct the parse first.")
        )
    for entry in created:
        quote(act, line, page, source, entry.terms)
    ids = tuple(e.id for e in created)
    act.put(replace(line, state=LineState.MADE, entry_ids=ids, reason=NOTHING_SAID))
    return created


def attach(act: Act, line_id: str, entry_id: str) -> Entry:
    """Attach a line to an entry: names that the entry lacks are added, and every name gets its slip.

    Raises:
        InUse: the line already belongs to entries.
    """
    line = act.get(Line, line_id)
    _check_unattached(line)
    entry = act.get(Entry, act.current_id(entry_id))
    source, page, names = setting(act, line)
    terms, witnessed = list(entry.terms), []
    for draft in drafts(line, names):
        for term in draft.terms:
            known = next((t for t in terms if (t.text, t.language) == (term.text, term.language)), None)
            if known is None:
                known = replace(term, id=act.new_id("term"), status=_status_beside(term, terms))
                terms.append(known)
            witnessed.append(known)
    entry = entry_acts.save(act, replace(entry, terms=tuple(terms), editor_note=_with_unlisted(entry, line)))
    quote(act, line, page, source, tuple(dict.fromkeys(witnessed)))
    act.put(replace(line, state=LineState.ATTACHED, entry_ids=(entry.id,), reason=NOTHING_SAID))
    return entry


def relate(act: Act, line_id: str, target_id: str) -> Entry:
    """Relate the first entry of a line to the entry its cross-reference leads to, as *see also*.

    Raises:
        BadInput: the line does not belong to an entry yet, or the entry would be related to itself.
        InUse: the two are already related.
    """
    line = act.get(Line, line_id)
    if not line.entry_ids:
        raise BadInput(
            message("The line does not belong to an entry yet."),
            where=line_id,
            fix=message("Create an entry from it or attach it to one first."),
        )
    entry, target = act.get(Entry, line.entry_ids[0]), act.get(Entry, target_id)
    if entry.id == target.id:
        raise BadInput(message("That is the same entry."), where=target_id, fix=message("Choose another."))
    if any(r.target_id == target.id for r in entry.relations) or any(
        r.target_id == entry.id for r in target.relations
    ):
        raise InUse(
            message("The two are already related."),
            where=target_id,
            fix=message("Check the entry's relations."),
        )
    see = Relation(RelationKind.SEE_ALSO, target.id)
    return entry_acts.save(act, replace(entry, relations=(*entry.relations, see)))


def _with_unlisted(entry: Entry, line: Line) -> str:
    """Return an entry's editor's note with the line's grammar labels that are not in our lists."""
    more = "; ".join(unlisted_words(line.parsed)) if line.parsed is not None else ""
    note = f"Word-list: {more}" if more else ""
    return (
        entry.editor_note if note in entry.editor_note else "\n".join(filter(None, (entry.editor_note, note)))
    )


def _status_beside(term: Term, others: Sequence[Term]) -> Status | None:
    has_preferred = any(t.language == term.language and t.status is Status.PREFERRED for t in others)
    return Status.ADMITTED if has_preferred and term.status is Status.PREFERRED else term.status


def _check_unattached(line: Line) -> None:
    if line.entry_ids:
        raise InUse(
            message("The line already belongs to %(entries)s.", entries=", ".join(line.entry_ids)),
            where=line.id,
            fix=message("Undo that first."),
        )


def reopen(act: Act, line_id: str, *, with_names: bool = False) -> Line:
    """Reopen a line that was worked, set aside or marked as furniture.

    The slips that quote it and the entries created from it are deleted; an entry it was attached to keeps its
    names, unless `with_names` is set.

    Args:
        with_names: also delete the names that the line added to the entry it was attached to (`added_names`).

    Raises:
        InUse: an entry created from it has been edited since.
    """
    line = act.get(Line, line_id)
    created = line.state is LineState.MADE
    entries = tuple(act.many(Entry, line.entry_ids).values())
    edited = [e.id for e in entries if created and e.version > 1]
    if edited:
        raise InUse(
            message("%(record)s was created from this line and has been edited since.", record=edited[0]),
            where=line_id,
            fix=message("Open the entry, and delete it there if creating it was a mistake."),
        )
    removed = {t.id for t in added_names(act, line)} if with_names else set()
    if entries:
        unquote(act, line, entries)
    act.put(replace(line, state=line.open_state(), reason=NOTHING_SAID, entry_ids=()))
    for entry in entries:
        if created:
            entry_acts.remove(act, entry.id)
        elif removed & {t.id for t in entry.terms}:
            kept = tuple(t for t in entry.terms if t.id not in removed)
            entry_acts.save(act, replace(entry, terms=kept))
    return act.get(Line, line_id)


def added_names(reader: Reader, line: Line) -> tuple[Term, ...]:
    """Return the names that a line added to the entry it was attached to and that nothing else depends on.

    Excludes names that have been changed since, have another slip or came from elsewhere; none are returned
    if the entry would be left without a name. In the order of the entry.
    """
    if line.state is not LineState.ATTACHED or not line.entry_ids:
        return ()
    entry = reader.find(Entry, line.entry_ids[0])
    if entry is None:
        return ()
    attached = _names_at_attachment(reader, line, entry)
    quoting = {slip.id for slip in own_slips(reader, line, (entry,))}
    slips = reader.slips_of((entry,))
    result = tuple(
        term
        for term in entry.terms
        if term == attached.get(term.id)
        and term.origin is Origin.WORD_LIST
        and all(slip.id in quoting for slip in slips.get(term.id, ()))
    )
    return result if len(result) < len(entry.terms) else ()


def _names_at_attachment(reader: Reader, line: Line, entry: Entry) -> dict[str, Term]:
    """Return the names that the entry got in the act that attached the line, as they were then, by id."""
    attached = next(
        (
            change.act.id
            for change in reader.history(Line, line.id)
            if entry.id in _entries_of(change.after) and entry.id not in _entries_of(change.before)
        ),
        None,
    )
    change = next((c for c in reader.history(Entry, entry.id) if c.act.id == attached), None)
    if change is None or change.before is None or change.after is None:
        return {}
    before = {t.id for t in _terms(change.before)}
    return {t.id: t for t in _terms(change.after) if t.id not in before}


def _entries_of(state: str | None) -> tuple[str, ...]:
    return () if state is None else msgspec.json.decode(state, type=Line).entry_ids


def _terms(state: str) -> Iterable[Term]:
    return msgspec.json.decode(state, type=Entry).terms
