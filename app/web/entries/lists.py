"""The list of entries in a language's alphabetical order, filtered, paged, and as a CSV download."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from urllib.parse import quote

from flask import redirect, render_template, request
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.entries.rows import ListState, state_of, table_rows, verdicts_of
from app.web.language import gettext as _
from app.web.language import interface_language
from app.web.lists import as_csv
from termbase.dates import edtf
from termbase.errors import BadInput
from termbase.judging.verdict import VERDICT_WORDS
from termbase.languages import tags
from termbase.messages import joined
from termbase.overviews.conditions import entries_dated
from termbase.record.entries import Origin, Topic
from termbase.record.sources import Source
from termbase.rules.clauses import RuleCode
from termbase.search import finding, texts
from termbase.search import hits as lookup_hits
from termbase.store.entry_lists import (
    STAGES,
    EntryFilter,
    EntryRow,
    count_entries,
    list_entries,
    rows_of,
    section_letters,
)
from termbase.store.entry_lists import all_ids as ids_in_order
from termbase.store.keys import stale_languages
from termbase.store.reading import Reader
from termbase.store.verdicts import entries_with_verdict

__all__ = ["Choice", "narrowing"]

Options = tuple[tuple[str, str], ...]

ROWS = 50
CODES_SHOWN = 4
FEW = 300
MOST_IN_MEMORY = 50_000


@dataclass(frozen=True)
class Choice:
    """A filter on the list: its field's name, label and value, and the options as value and words."""

    name: str
    label: str
    value: str
    options: Options


@blueprint.get("")
def index() -> str | Response:
    """Show the list of entries; with `part=1` only what changes while typing."""
    termbase = context.termbase()
    languages = termbase.languages
    state = state_of(request.args, languages)
    reader = context.reader()
    match = _only_match(reader, request.args.get("find", ""))
    if match and "part" not in request.args:
        return redirect(f"/entries/{match}", 303)
    codes = context.cached("codes", _all_codes)
    shown_codes = tuple(c for c in codes if c.id == state.code) or codes[:CODES_SHOWN]
    filters = narrowing(reader, state, codes)
    total, page, result = _page(reader, state, filters)
    letters = context.cached(("letters", state.lang), partial(section_letters, language=state.lang))
    reasons = _reasons(reader, state.q, result)
    values = {
        "state": state,
        "usual": languages[0],
        "languages": (state.lang, *(tag for tag in languages if tag != state.lang)),
        "rows": table_rows(
            result, (state.lang, *(tag for tag in languages if tag != state.lang)), shown_codes, reasons
        ),
        "codes": shown_codes,
        "total": total,
        "page": page,
        "last": max(1, -(-total // ROWS)),
        "letters": _letter_links(letters, state, languages[0]),
    }
    if "part" in request.args:
        return render_template("entries/list_part.html", **values)
    return render_template(
        "entries/list.html",
        faults={name: _date_fault(getattr(state, name)) for name in ("since", "until")},
        stale=context.cached(("stale keys", interface_language()), _stale_names),
        choices=_choices(state, languages, codes, context.cached("source labels", _source_labels)),
        **values,
    )


@blueprint.get("/export.csv")
def export() -> Response:
    """Return the filtered list, all pages, as CSV."""
    termbase = context.termbase()
    languages = termbase.languages
    state = state_of(request.args, languages)
    reader = context.reader()
    codes = reader.all(RuleCode)
    wanted = narrowing(reader, state, codes)
    ids = ids_in_order(reader, wanted, state.lang, descending=state.order == "down")
    head = [_("Entry"), _("Topic")]
    for tag in languages:
        name = tags.display_name(tag, interface_language())
        head += [name, f"{name}: {_('origin')}"]
    head += [_("Names"), _("Slips"), *(code.name for code in codes), _("Stage")]
    if termbase.notice:
        head.append(_("Notice"))
    # the rows are read before the response starts: the snapshot is closed by then
    return as_csv("entries.csv", head, list(_table(reader, ids, languages, codes, termbase.notice)))


def narrowing(reader: Reader, state: ListState, codes: tuple[RuleCode, ...]) -> EntryFilter:
    """Return the filter for a state of the list."""
    ids: frozenset[str] | None = None
    if state.q:
        result = (i for i in (state.q.casefold(),) if i[:1] == "c" and i[1:].isdigit())
        ids = frozenset((*finding.filter_ids(reader, state.q), *result))
    if state.verdict:
        chosen = next((c for c in codes if c.id == state.code), codes[0] if codes else None)
        judged = entries_with_verdict(reader, chosen, (state.verdict,)) if chosen else frozenset()
        ids = judged if ids is None else ids & judged
    since, until = (date if not _date_fault(date) else "" for date in (state.since, state.until))
    if since or until:
        dated = entries_dated(reader, since, until)
        ids = dated if ids is None else ids & dated
    return EntryFilter(
        topic=state.topic,
        origin=state.origin,
        stage=state.stage,
        source_id=state.source,
        section=state.section,
        ids=ids,
    )


def _date_fault(date: str) -> str:
    """Return what is wrong with a date typed as a filter, and how to fix it; empty if nothing is."""
    try:
        edtf.parse(date) if date else None
    except BadInput as error:
        return joined((error.what, error.fix))
    return ""


def _stale_names(reader: Reader) -> tuple[str, ...]:
    """Return the languages whose search index is out of date."""
    tongue = interface_language()
    return tuple(tags.display_name(tag, tongue) or tag for tag in stale_languages(reader))


def _letter_links(
    letters: tuple[tuple[str, int], ...], state: ListState, usual: str
) -> list[tuple[str, int, str]]:
    """Yield each letter with its count and the address of its part of the list."""
    base = state.address(usual, section="")
    joined = f"{base}{'&' if '?' in base else '?'}section="
    return [(letter, number, joined + quote(letter)) for letter, number in letters]


def _choices(
    state: ListState,
    languages: tuple[str, ...],
    codes: tuple[RuleCode, ...],
    sources: Options,
) -> list[Choice]:
    tongue = interface_language()
    names = tuple((tag, tags.display_name(tag, tongue)) for tag in languages)
    result = [
        Choice("lang", _("Alphabetical order of"), state.lang, names),
        Choice("topic", _("Topic"), state.topic, _list_options(tongue, "any topic", tuple(Topic))),
        Choice(
            "origin", _("Name's origin"), state.origin, _list_options(tongue, "of any origin", tuple(Origin))
        ),
        Choice("stage", _("Stage"), state.stage, _list_options(tongue, "any stage", STAGES)),
        Choice("source", _("Quoted from"), state.source, (("", _("any source")), *sources)),
    ]
    if codes:
        named = tuple((code.id, code.name) for code in codes)
        verdicts = _list_options(tongue, "any verdict", VERDICT_WORDS)
        result += [
            Choice("code", _("Under"), state.code, (("", _("all rule codes")), *named)),
            Choice("verdict", _("Verdict"), state.verdict, verdicts),
        ]
    return result


@lru_cache(maxsize=100)
def _list_options(_tongue: str, any_label: str, values: tuple[str, ...]) -> Options:
    """Return the options of a closed list, with one for any."""
    return (("", _(any_label)), *((str(value), _(str(value))) for value in values))


def _page(reader: Reader, state: ListState, wanted: EntryFilter) -> tuple[int, int, tuple[EntryRow, ...]]:
    """Return the number of entries, the page shown (the last if the number is too high), and its rows."""
    down = state.order == "down"
    if wanted.ids is not None:
        ids = _cached_order(reader, wanted, state.lang, down)
        page = min(state.page, max(1, -(-len(ids) // ROWS)))
        return len(ids), page, rows_of(reader, ids[(page - 1) * ROWS : page * ROWS])
    total = context.cached(
        ("count", wanted, state.lang), partial(count_entries, wanted=wanted, language=state.lang)
    )
    page = min(state.page, max(1, -(-total // ROWS)))
    offset = (page - 1) * ROWS
    return total, page, list_entries(reader, wanted, state.lang, offset=offset, limit=ROWS, descending=down)


def _only_match(reader: Reader, name: str) -> str:
    """Return the id of the only entry with exactly this name; Enter in the search field goes straight to
    it."""
    if not name.strip():
        return ""
    exact = [
        hit.entry_id for hit in finding.find(reader, name, limit=5) if hit.how is lookup_hits.How.VERY_FORM
    ]
    return exact[0] if len(exact) == 1 else ""


def _reasons(reader: Reader, typed: str, rows: tuple[EntryRow, ...]) -> dict[str, str]:
    """Return, by id, where in the texts of these entries the typed words were found."""
    if not typed:
        return {}
    hits = texts.by_words(reader, typed, ROWS, begun=True, within={row.id for row in rows})
    return {hit.entry_id: hit.said for hit in hits if hit.how is lookup_hits.How.IN_A_TEXT}


def _all_codes(reader: Reader) -> tuple[RuleCode, ...]:
    return reader.all(RuleCode)


def _cached_order(reader: Reader, wanted: EntryFilter, language: str, down: bool) -> list[str]:
    """Return the ids that match a filter, in order. While a user types, many are requested repeatedly: the
    order of all entries is then cached and only filtered."""
    if wanted.ids is None or not FEW < len(wanted.ids) <= MOST_IN_MEMORY:
        return ids_in_order(reader, wanted, language, descending=down)
    others = replace(wanted, ids=None)
    order = context.cached(
        ("order", others, language, down),
        partial(ids_in_order, wanted=others, language=language, descending=down),
    )
    return [i for i in order if i in wanted.ids]


def _source_labels(reader: Reader) -> tuple[tuple[str, str], ...]:
    return tuple(sorted(((s.id, s.label) for s in reader.all(Source)), key=lambda pair: pair[1].casefold()))


def _table(
    reader: Reader, ids: list[str], languages: tuple[str, ...], codes: tuple[RuleCode, ...], notice: str
) -> Iterator[list[object]]:
    rows = rows_of(reader, ids)
    for row, words in zip(rows, verdicts_of(rows, codes), strict=True):
        cells: list[object] = [row.id, row.topic.value if row.topic else ""]
        for tag in languages:
            head = row.head(tag)
            cells += [head.text, head.origin.value] if head else ["", ""]
        cells += [len(row.names), row.slips]
        cells += [word + (f" ({_('ruling')})" if ruled else "") for word, ruled in words]
        cells.append(_("ready") if row.ready else _("draft"))
        yield [*cells, notice] if notice else cells
