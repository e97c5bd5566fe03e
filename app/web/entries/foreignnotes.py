"""Imported notes on an entry's page: accepting them for printing, withdrawing that, deleting."""

from typing import Final

from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.entries.article import article_page
from app.web.errors import status_of
from app.web.forms import Form
from app.web.language import gettext as _
from termbase.acts import foreignnotes
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, WordholdError

__all__ = ["change"]

_DOING: Final = {
    "accept": (foreignnotes.accept, Deed.FOREIGN_NOTE_ACCEPTED),
    "withdraw": (foreignnotes.withdraw, Deed.FOREIGN_NOTE_WITHDRAWN),
    "delete": (foreignnotes.delete, Deed.FOREIGN_NOTE_DELETED),
}
_LONGEST: Final = 9


@blueprint.post("/<entry_id>/foreign-notes")
def change(entry_id: str) -> Response | tuple[str, int]:
    """Accept a note for printing, withdraw that, or delete the note."""
    form = Form.posted()
    number, doing = form.line("number"), _DOING.get(form.line("do"))
    try:
        if doing is None or not (number.isascii() and number.isdigit() and len(number) <= _LONGEST):
            raise BadInput(
                _("The note cannot be changed in this way."),
                where="do",
                fix=_("Use the buttons on the page."),
            )
        act, deed = doing
        with context.act(deed(id=entry_id)) as this:
            act(this, entry_id, form.line("term"), int(number), form.text("words"))
    except WordholdError as error:
        page = article_page(context.reader(), entry_id, "", form.refused(_beside_notes(error)))
        return page, status_of(error)
    return context.done(this, f"/entries/{entry_id}#foreign-notes")


def _beside_notes(error: WordholdError) -> BadInput:
    return BadInput(error.what, where="foreign-notes", fix=error.fix)
