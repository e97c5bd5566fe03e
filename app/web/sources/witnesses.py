"""Which slips of a name are one witness: computed, or decided by the editor."""

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import sources as blueprint
from app.web.language import gettext as _
from termbase.acts.sources import join_slips, part_slips
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, NotFound
from termbase.evidence.witnesses import attestation
from termbase.record.entries import Entry, Term
from termbase.record.sources import Slip, Source
from termbase.store.slip_lists import slip_rows

__all__: list[str] = []


@blueprint.get("/witnesses/<term_id>")
def show_witnesses(term_id: str) -> str:
    """Show the slips of a name, witness by witness."""
    return _page(term_id)


@blueprint.post("/witnesses/<term_id>")
def decide(term_id: str) -> str | Response | tuple[str, int]:
    """Join the ticked slips into one witness, or separate them."""
    _, term = _named(term_id)
    chosen = request.form.getlist("slip")
    joining = request.form.get("do") == "join"
    try:
        deed = Deed.SLIPS_JOINED if joining else Deed.SLIPS_PARTED
        with context.act(deed(name=term.text)) as act:
            mine = {slip.id for slip in act.all(Slip, term_id=term_id)}
            (join_slips if joining else part_slips)(act, [i for i in chosen if i in mine])
    except BadInput as error:
        return _page(term_id, error), 400
    return context.done(act, url_for("sources.show_witnesses", term_id=term_id))


def _page(term_id: str, error: BadInput | None = None) -> str:
    reader = context.reader()
    entry, term = _named(term_id)
    slips = reader.all(Slip, term_id=term_id)
    issued = {s.id: s.issued for s in reader.many(Source, (slip.source_id for slip in slips)).values()}
    attested = attestation(term, slips, issued)
    result = [(w, slip_rows(reader, w.slip_ids)) for w in attested.all]
    return render_template(
        "sources/witnesses.html",
        entry=entry,
        term=term,
        found=result,
        number=len(slips),
        of_use=len(attested.of_use),
        error=error,
        ticked=frozenset(request.form.getlist("slip")),
    )


def _named(term_id: str) -> tuple[Entry, Term]:
    reader = context.reader()
    entry_id = reader.entry_of_term(term_id)
    if not entry_id:
        raise NotFound(_("This name does not exist."), where=term_id, fix=_("Open it from its entry."))
    entry = reader.get(Entry, entry_id)
    return entry, next(t for t in entry.terms if t.id == term_id)
