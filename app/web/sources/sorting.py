"""Sorting slips to names, deciding which slips are one witness, and where a quotation has its name.

Slips are sorted one at a time, with their likely names on digit keys. Witnesses are computed, or decided by
the editor. A slip whose quotation does not contain its name is always saved, but it does not count as a
witness until someone says where the name is.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import sources as blueprint
from app.web.language import gettext as _
from termbase.acts.sources import join_slips, part_slips, save_slip, sort_slip
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, NotFound, WordholdError
from termbase.evidence.witnesses import attestation, may_lack_name
from termbase.fields.notes import CodedText
from termbase.record.entries import Entry, Term, heads
from termbase.record.sources import Presence, Slip, SlipKind, Source
from termbase.search import finding
from termbase.search import hits as lookup_hits
from termbase.store.reading import Reader
from termbase.store.rows import ActRecord
from termbase.store.slip_lists import count_unsorted, next_unsorted, slip_rows

__all__ = ["Offer", "SlipQuestion", "offer_of", "offers"]


OFFERED = 9
"""As many as there are digit keys."""


@dataclass(frozen=True)
class Offer:
    """A suggested name: the term, its entry and heads, and why it is suggested."""

    term_id: str
    text: str
    language: str
    entry_id: str
    heads: tuple[tuple[str, str], ...]
    said: str


def offers(reader: Reader, typed: str, chosen: str = "") -> tuple[Offer, ...]:
    """Return names that the typed text may mean, nearest first; the chosen one before all others.

    Includes names that begin with it and names that it may be a form of (mutated, inflected, in old print).
    """
    hits: list[lookup_hits.Hit] = []
    if typed.strip():
        hits = [
            *finding.find(reader, typed, limit=OFFERED),
            *finding.complete(reader, typed, limit=OFFERED),
        ]
    result = {hit.term_id: hit.said for hit in hits if hit.term_id != chosen}
    by_term = {hit.term_id: hit for hit in hits}
    first = [chosen_offer] if chosen and (chosen_offer := offer_of(reader, chosen)) else []
    names = [by_term[term_id] for term_id in result][:OFFERED]
    entries = reader.many(Entry, (hit.entry_id for hit in names))
    return (*first, *(_offer(hit, entries) for hit in names if hit.entry_id in entries))


def offer_of(reader: Reader, term_id: str) -> Offer | None:
    """Return a term as an offer; None if there is no such term."""
    entry = reader.find(Entry, reader.entry_of_term(term_id)) if term_id else None
    term = next((t for t in entry.terms if t.id == term_id), None) if entry else None
    if entry is None or term is None:
        return None
    return Offer(term.id, term.text, term.language, entry.id, _heads(entry, term.text), "")


def _offer(hit: lookup_hits.Hit, entries: dict[str, Entry]) -> Offer:
    others = _heads(entries[hit.entry_id], hit.text)
    return Offer(hit.term_id, hit.text, hit.language, hit.entry_id, others, hit.said)


def _heads(entry: Entry, but: str) -> tuple[tuple[str, str], ...]:
    return tuple((t.text, t.language) for t in heads(entry).values() if t.text != but)


@blueprint.get("/unsorted")
def unsorted() -> str | Response:
    """Show the requested slip, or the next unsorted one."""
    source_id = request.args.get("source", "")
    slip_id = request.args.get("slip", "") or next_unsorted(
        context.reader(), request.args.get("after", ""), source_id
    )
    if not slip_id:
        return render_template("sources/all_sorted.html", source=_source(source_id))
    return _page(slip_id, source_id)


@blueprint.post("/unsorted/<slip_id>")
def sort(slip_id: str) -> str | Response | tuple[str, int]:
    """Sort a slip to a name and continue with the next."""
    source_id = request.form.get("source", "")
    term_id = request.form.get("term", "").strip()
    slip = context.reader().get(Slip, slip_id)
    try:
        if not term_id:
            raise BadInput(
                _("No name is selected."), where="term", fix=_("Type a name and choose from the results.")
            )
        with context.act(_deed(slip)) as act:
            sort_slip(act, slip_id, term_id)
    except BadInput as error:
        return _page(slip_id, source_id, error), 400
    return context.done(act, _next_address(slip_id, source_id))


@blueprint.post("/unsorted/<slip_id>/later")
def later(slip_id: str) -> Response:
    """Skip a slip for now."""
    return redirect(_next_address(slip_id, request.form.get("source", "")), 303)


def _page(slip_id: str, source_id: str, error: WordholdError | None = None) -> str:
    reader = context.reader()
    row = slip_rows(reader, [reader.get(Slip, slip_id).id])[0]
    typed = request.values.get("find", "").strip()
    return render_template(
        "sources/unsorted.html",
        row=row,
        typed=typed,
        offers=offers(reader, typed or row.slip.name),
        left=count_unsorted(reader, source_id),
        source=_source(source_id),
        error=error,
    )


def _source(source_id: str) -> Source | None:
    return context.reader().get(Source, source_id) if source_id else None


def _next_address(slip_id: str, source_id: str) -> str:
    return url_for("sources.unsorted", after=slip_id, source=source_id or None)


def _deed(slip: Slip) -> CodedText:
    if slip.name:
        return Deed.SLIP_OF_NAME_SORTED(id=slip.id, name=slip.name)
    return Deed.SLIP_SORTED(id=slip.id)


@blueprint.get("/witnesses/<term_id>")
def show_witnesses(term_id: str) -> str:
    """Show the slips of a name, witness by witness."""
    return _page_of_witnesses(term_id)


@blueprint.post("/witnesses/<term_id>")
def decide(term_id: str) -> str | Response | tuple[str, int]:
    """Join the ticked slips into one witness, or separate them."""
    _, term = _entry_and_term(term_id)
    chosen = request.form.getlist("slip")
    joining = request.form.get("do") == "join"
    try:
        deed = Deed.SLIPS_JOINED if joining else Deed.SLIPS_PARTED
        with context.act(deed(name=term.text)) as act:
            slip_ids = {slip.id for slip in act.all(Slip, term_id=term_id)}
            (join_slips if joining else part_slips)(act, [i for i in chosen if i in slip_ids])
    except BadInput as error:
        return _page_of_witnesses(term_id, error), 400
    return context.done(act, url_for("sources.show_witnesses", term_id=term_id))


def _page_of_witnesses(term_id: str, error: BadInput | None = None) -> str:
    reader = context.reader()
    entry, term = _entry_and_term(term_id)
    slips = reader.all(Slip, term_id=term_id)
    issued = {s.id: s.issued for s in reader.many(Source, (slip.source_id for slip in slips)).values()}
    evidence = attestation(term, slips, issued)
    result = [(w, slip_rows(reader, w.slip_ids)) for w in evidence.all]
    return render_template(
        "sources/witnesses.html",
        entry=entry,
        term=term,
        found=result,
        number=len(slips),
        of_use=len(evidence.of_use),
        error=error,
        ticked=frozenset(request.form.getlist("slip")),
    )


def _entry_and_term(term_id: str) -> tuple[Entry, Term]:
    reader = context.reader()
    entry_id = reader.entry_of_term(term_id)
    if not entry_id:
        raise NotFound(_("This name does not exist."), where=term_id, fix=_("Open it from its entry."))
    entry = reader.get(Entry, entry_id)
    return entry, next(t for t in entry.terms if t.id == term_id)


@dataclass(frozen=True)
class SlipQuestion:
    """A slip whose quotation does not contain the name it is sorted to."""

    slip: Slip
    term: Term
    language: str
    """The language of the quotation, from its source."""


@blueprint.app_context_processor
def _for_templates() -> dict[str, Callable[..., object]]:
    return {"slip_question": _question_after, "presence_answers": _answers}


def _question_after(act: ActRecord) -> SlipQuestion | None:
    """Return the question to ask after an act that wrote a single slip; None if there is nothing to ask."""
    reader = context.reader()
    written = reader.records_of(act.id, Slip, 2)
    slip = reader.find(Slip, written[0]) if len(written) == 1 else None
    if slip is None or not slip.term_id:
        return None
    entry = reader.get(Entry, reader.entry_of_term(slip.term_id))
    term = next(t for t in entry.terms if t.id == slip.term_id)
    if not may_lack_name(slip, term):
        return None
    return SlipQuestion(slip, term, reader.get(Source, slip.source_id).language)


def _answers() -> tuple[tuple[str, str], ...]:
    """Return the possible answers, each with its words."""
    answers = tuple((p.value, _(p.words)) for p in Presence if p)
    return (*answers, (SlipKind.DESCRIPTION.value, _("not at all: it describes the movement")))


@blueprint.post("/slips/<slip_id>/presence")
def say_presence(slip_id: str) -> Response:
    """Save where in the quotation the name is, or that it only describes the movement.

    Raises:
        BadInput: the answer is not one of the options.
        Conflict: someone else has changed the slip since the page was shown.
    """
    answer = request.form.get("presence", "")
    if answer not in {value for value, _words in _answers()}:
        raise BadInput(
            _("Say how the name appears in the quotation."),
            where="presence",
            fix=_("Choose one from the list."),
        )
    version = request.form.get("version", "")
    with context.act(Deed.SLIP_CHANGED(id=slip_id)) as this:
        slip = this.get(Slip, slip_id)
        if version.isascii() and version.isdigit():
            slip = replace(slip, version=int(version))
        if answer == SlipKind.DESCRIPTION:
            save_slip(this, replace(slip, kind=SlipKind.DESCRIPTION))
        else:
            save_slip(this, replace(slip, presence=Presence(answer)))
    return context.done(this, context.local_path(request.form.get("back", "/")))
