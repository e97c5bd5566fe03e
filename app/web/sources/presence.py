"""A slip whose quotation does not contain its name: asking after saving where the name is.

Saving is never refused. The slip just does not count as a witness until someone says where the name is.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from flask import request
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import sources as blueprint
from app.web.language import gettext as _
from termbase.acts.sources import save_slip
from termbase.codes.deeds import Deed
from termbase.errors import BadInput
from termbase.evidence.witnesses import may_lack_name
from termbase.record.entries import Entry, Term
from termbase.record.sources import Presence, Slip, SlipKind, Source
from termbase.store.rows import ActRecord

__all__ = ["SlipQuestion"]


@dataclass(frozen=True)
class SlipQuestion:
    """A slip whose quotation does not contain the name it is sorted to."""

    slip: Slip
    term: Term
    language: str
    """The language of the quotation, from its source."""


@blueprint.app_context_processor
def _for_templates() -> dict[str, Callable[..., object]]:
    return {"slip_question": _asked, "presence_answers": _answers}


def _asked(act: ActRecord) -> SlipQuestion | None:
    """Return what to ask after an act, only if it wrote a single slip."""
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
