"""Accepting all clear lines: entries from every line that was parsed cleanly and resembles no entry."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from termbase.acts.drafting import ListLanguages, drafts, quote, setting
from termbase.codes.wording import statement_text
from termbase.messages import message
from termbase.record.entries import Entry
from termbase.record.lines import troubles_of
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Source
from termbase.store.writing import Act

__all__ = ["AcceptReport", "Likeness", "accept_all_clear"]

CHUNK = 200
"""Lines after which a long run writes its batch."""


@dataclass(frozen=True)
class AcceptReport:
    """What `accept_all_clear` did: entries created, and the lines left, each with the reason."""

    made: tuple[str, ...]
    left: tuple[tuple[Line, str], ...]


class Likeness(Protocol):
    """Tells whether a line resembles an entry; entries are added as they are created."""

    def why(self, names: Sequence[tuple[str, str]]) -> str:
        """Return the reason in words; empty if nothing resembles these (text, language) names."""

    def add(self, entry: Entry) -> None:
        """Add an entry to compare with."""


def accept_all_clear(
    act: Act,
    lines: Sequence[Line],
    likeness: Likeness,
    *,
    also_alike: bool = False,
    on_progress: Callable[[int, int], None] | None = None,
) -> AcceptReport:
    """Create entries from every line that parsed cleanly and resembles no entry; report what was left and
    why.

    Args:
        lines: open lines, in order; lines that are already done are skipped.
        likeness: finds entries that resemble a line.
        also_alike: accept lines that resemble an entry as separate entries (homonyms).
        on_progress: called now and then with the number of lines seen and the total.
    """
    created: list[str] = []
    left: list[tuple[Line, str]] = []
    settings: dict[str, tuple[Source, Page, ListLanguages]] = {}
    for n, line in enumerate(lines):
        if n % CHUNK == 0:
            act.flush()  # memory stays flat over thousands of lines; the act is still one transaction
            if on_progress:
                on_progress(n, len(lines))
        if line.page_id not in settings:
            settings[line.page_id] = setting(act, line)
        source, page, names = settings[line.page_id]
        ready = drafts(line, names)
        why = _why_left(line, ready, likeness, also_alike)
        if why:
            left.append((line, why))
            continue
        entries = tuple(_add_bare(act, draft) for draft in ready)
        for entry in entries:
            likeness.add(entry)
            quote(act, line, page, source, entry.terms)
        act.put_known(line, replace(line, state=LineState.MADE, entry_ids=tuple(e.id for e in entries)))
        created.extend(e.id for e in entries)
    if on_progress:
        on_progress(len(lines), len(lines))
    return AcceptReport(tuple(created), tuple(left))


def _add_bare(act: Act, draft: Entry) -> Entry:
    """Store a draft from a clean line without the checks that an edited entry needs."""
    terms = tuple(replace(t, id=act.new_id("term")) for t in draft.terms)
    return act.add(replace(draft, id=act.new_id("entry"), terms=terms))


def _why_left(line: Line, ready: Sequence[Entry], likeness: Likeness, also_alike: bool) -> str:
    parsed = line.parsed
    if parsed is None:
        return message("not read cleanly")
    problems = troubles_of(parsed)
    if problems:
        return message("not read cleanly: %(why)s", why=statement_text(problems[0].why))
    if not ready:
        return message("no headword")
    refers_to = (*parsed.see, *(text for sense in parsed.senses for text in sense.see))
    if refers_to and not any(sense.equivalents for sense in parsed.senses):
        return message(
            "only a cross-reference to “%(name)s”: it may be another name for the same thing",
            name=refers_to[0],
        )
    if also_alike:
        return ""
    for draft in ready:
        why = likeness.why([(t.text, t.language) for t in draft.terms])
        if why:
            return why
    return ""
