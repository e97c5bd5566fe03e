"""Set aside lines that break a rule code; lines that belong to entries stay, and their entry gets a note."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from termbase.acts import entries as entry_acts
from termbase.codes.wording import statement_text
from termbase.errors import Conflict
from termbase.messages import message
from termbase.record.entries import Entry
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Source
from termbase.rules.clauses import RuleCode
from termbase.store.writing import Act
from termbase.trims import judge_pages
from termbase.wordlists.trimming import (
    Group,
    JudgedLine,
    reason_set_aside,
    sense_reason_set_aside,
    verdict_words,
)

__all__ = ["TrimReport", "set_aside_breaches"]

CHUNK = 200


@dataclass(frozen=True)
class TrimReport:
    """What trimming did.

    Attributes:
        aside: ids of the lines set aside.
        noted: ids of the entries that got a note.
        left: lines that break the rules but were left, each with the reason.
    """

    aside: tuple[str, ...]
    noted: tuple[str, ...]
    left: tuple[tuple[Line, str], ...]


def set_aside_breaches(
    act: Act,
    source: Source,
    pages: Iterable[Page],
    code: RuleCode,
    *,
    other_styles: Collection[str] = (),
    chosen: Mapping[str, int] | None = None,
    with_notes: bool = False,
    on_progress: Callable[[int, int], None] | None = None,
) -> TrimReport:
    """Set aside the open lines of pages that go under a code, each with its verdict as the reason.

    A line that belongs to entries is not touched: its slips and names are part of the record. Where it is
    chosen (or with `with_notes`), its entry gets an editor's note that says why it goes; a note that stands
    there already is not repeated.

    Args:
        source, pages, code: as for `termbase.trims.judge_pages`.
        other_styles: style labels that somebody said stand for another style.
        chosen: the lines to do, by id, with the version each was looked at in; None for every line that goes,
            but for those of which only the headword is the same as an entry's, and those that fit although
            their label was said to stand for another style.
        with_notes: where nothing is chosen, whether the entries of lines get their notes.
        on_progress: called now and then with lines seen and lines in all.

    Raises:
        Conflict: a chosen line was worked meanwhile, or does not go any more.
        BadInput: as for `trim`.
    """
    wanted = tuple(pages)
    goes = [
        one
        for one in judge_pages(act, source, wanted, code).with_other_styles(other_styles).lines
        if one.lot is Group.GOES
    ]
    if chosen is not None:
        goes = _still(goes, chosen)
    numbers = {page.id: page.number for page in wanted}
    aside: list[str] = []
    noted: list[str] = []
    left: list[tuple[Line, str]] = []
    for n, one in enumerate(goes):
        if n % CHUNK == 0 and on_progress:
            on_progress(n, len(goes))
        line = one.line
        if one.in_entries and (with_notes or chosen is not None):
            place = f"{source.label}, p. {numbers[line.page_id]}, line {line.first}"
            noted += _note(act, one, code.name, place)
        elif one.in_entries:
            left.append((line, message("it belongs to %(entries)s", entries=", ".join(line.entry_ids))))
        elif chosen is None and not one.certain:
            left.append((line, _why_looked_at(one)))
        else:
            act.put_known(
                line, replace(line, state=LineState.SET_ASIDE, reason=reason_set_aside(one, code.name))
            )
            aside.append(line.id)
    if on_progress:
        on_progress(len(goes), len(goes))
    return TrimReport(tuple(aside), tuple(dict.fromkeys(noted)), tuple(left))


def _why_looked_at(one: JudgedLine) -> str:
    """Return why a line that breaks the rules is left to a person."""
    sense = next((s for s in one.senses if s.contradicted), None)
    if sense is None:
        return message("only its headword is the same: check it first")
    return message(
        "the label “%(label)s” was marked as another style, but the verdict is “%(verdict)s”: check it first",
        label=sense.label,
        verdict=verdict_words(sense),
    )


def _still(goes: Iterable[JudgedLine], chosen: Mapping[str, int]) -> list[JudgedLine]:
    found = [one for one in goes if chosen.get(one.line.id) == one.line.version]
    missing = chosen.keys() - {one.line.id for one in found}
    if missing:
        raise Conflict(
            message(
                "%(n)s of these lines have changed since, or should no longer be set aside; "
                "nothing was set aside.",
                n=len(missing),
            ),
            where=min(missing, key=lambda i: (len(i), i)),
            fix=message("Check the lines as they are now and choose again."),
        )
    return found


def _note(act: Act, one: JudgedLine, code_name: str, place: str) -> list[str]:
    """Add a note to each entry of a line, and return the ids of those that got one."""
    found = []
    for sense in one.senses:
        note = f"Trimmed: {statement_text(sense_reason_set_aside(sense, code_name))} ({place})"
        for standing in sense.standings:
            entry = act.get(Entry, standing.entry_id)
            if note not in entry.editor_note:
                text = "\n".join(filter(None, (entry.editor_note, note)))
                found.append(entry_acts.save(act, replace(entry, editor_note=text)).id)
    return found
