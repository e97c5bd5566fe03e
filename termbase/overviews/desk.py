"""What the desk says about a line: what it resembles, where its cross-references lead, where reading stopped.

Nothing is written here; the acts are in `termbase.acts.pages`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from termbase.acts.drafting import ListLanguages, drafts
from termbase.codes.wording import statement_text
from termbase.messages import joined, message
from termbase.record.entries import Entry, RelationKind, Term, heads
from termbase.record.lines import ParsedLine
from termbase.record.pages import Line
from termbase.search import likeness
from termbase.store.reading import Reader
from termbase.wordlists.cutting import cut
from termbase.wordlists.patterns import LinePattern

__all__ = ["MOST_OFFERS", "Offer", "Piece", "Reference", "offers", "printed_pieces", "references"]

MOST_OFFERS = 5
_SAID = message("the line refers to it")


@dataclass(frozen=True, slots=True)
class Offer:
    """An entry that a line could be attached to: its head terms, how many names it has, why it is offered."""

    entry_id: str
    heads: tuple[Term, ...]
    names: int
    why: str


@dataclass(frozen=True, slots=True)
class Reference:
    """A cross-reference of a line and the entry it leads to; no id when there is none yet.

    `can_relate` tells whether the line's own entry could be related to it as *see also*.
    """

    text: str
    entry_id: str = ""
    can_relate: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the printed text; `why` tells what stopped the reading there, empty where nothing did."""

    text: str
    why: str = ""


def offers(reader: Reader, line: Line, names: ListLanguages, limit: int = MOST_OFFERS) -> tuple[Offer, ...]:
    """Entries that a line could be attached to, nearest first.

    A line that has nothing but a cross-reference is offered what it refers to before what it resembles.

    Args:
        line: the line; one without a headword resembles nothing.
        names: the languages of the word-list.
        limit: how many at most.
    """
    ready = drafts(line, names)
    spoken = [(t.text, t.language) for draft in ready for t in draft.terms]
    found: dict[str, str] = {}
    if line.parsed is not None and not any(s.equivalents for s in line.parsed.senses):
        found = {r.entry_id: _SAID for r in references(reader, line, names) if r.entry_id}
    for one in likeness.resembling(reader, spoken, limit=limit) if spoken else ():
        known = found.get(one.entry_id)
        found[one.entry_id] = joined((known or "", one.why), "; ")
    kept = dict(list(found.items())[:limit])
    entries = reader.many(Entry, kept)
    return tuple(
        Offer(i, tuple(heads(entries[i]).values()), len(entries[i].terms), why)
        for i, why in kept.items()
        if i in entries
    )


def references(reader: Reader, line: Line, names: ListLanguages) -> tuple[Reference, ...]:
    """The cross-references of a line, with the entries that bear exactly such a name."""
    if line.parsed is None:
        return ()
    own = next(iter(reader.many(Entry, line.entry_ids[:1]).values()), None)
    found = []
    for text in _see(line.parsed):
        hits = likeness.resembling(reader, [(text, names.headword)], limit=1)
        target = hits[0].entry_id if hits and hits[0].strength is likeness.Strength.SAME else ""
        relatable = bool(own and target and target != own.id and not _related(reader, own, target))
        found.append(Reference(text, target, relatable))
    return tuple(found)


def printed_pieces(line: Line, pattern: LinePattern) -> tuple[Piece, ...]:
    """The printed text of a line, parted where reading stopped; put together they are the text."""
    text = line.text.strip("\n")
    marks = _marks(line, pattern, len(line.text) - len(line.text.lstrip("\n")))
    pieces: list[Piece] = []
    place = 0
    for at, why in marks:
        if not place <= at < len(text):
            continue
        end = next((n for n in range(at, len(text)) if text[n].isspace() and n > at), len(text))
        pieces += [Piece(text[place:at])] if at > place else []
        pieces.append(Piece(text[at:end], why))
        place = end
    return (*pieces, Piece(text[place:])) if place < len(text) else tuple(pieces)


def _marks(line: Line, pattern: LinePattern, skipped: int) -> Sequence[tuple[int, str]]:
    """Offsets in the printed text where troubles stand, each once, in order."""
    if line.parsed is None or not line.parsed.troubles:
        return ()
    records = [c for c in cut(line.text, pattern) if c.kind == "record"]
    if len(records) != 1:
        return ()
    printed = line.text.split("\n")
    starts = [0]
    for one in printed:
        starts.append(starts[-1] + len(one) + 1)
    found: dict[int, str] = {}
    for trouble in line.parsed.troubles:
        row, column = records[0].place(trouble.column)
        if 1 <= row <= len(printed):
            at = min(starts[row - 1] + column - 1, max(len(line.text.rstrip()) - 1, 0)) - skipped
            found.setdefault(at, statement_text(trouble.why))
    return sorted(found.items())


def _see(parsed: ParsedLine) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*parsed.see, *(text for sense in parsed.senses for text in sense.see))))


def _related(reader: Reader, entry: Entry, target_id: str) -> bool:
    if any(r.target_id == target_id for r in entry.relations):
        return True
    incoming = reader.incoming([entry]).get(entry.id, ())
    return any(kind == RelationKind.SEE_ALSO.value and i == target_id for kind, i in incoming)
