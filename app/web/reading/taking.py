"""Taking a slip from a sentence of a text that is being read."""

from dataclasses import replace

from flask import request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.addresses import whole_number
from app.web.language import gettext as _
from app.web.reading import kept
from app.web.reading.kept import ReadText
from app.web.reading.section import blueprint
from app.web.reading.texts import page_of, sentences_of
from termbase.acts.sources import save_slip
from termbase.codes.deeds import Deed
from termbase.errors import BadInput
from termbase.evidence.witnesses import may_lack_name
from termbase.fields.notes import CodedText
from termbase.overviews.texts import Mark, ReadSentence
from termbase.record.entries import Entry
from termbase.record.sources import Certainty, Presence, Slip, Source
from termbase.search.hits import Hit, How

__all__: list[str] = []


@blueprint.post("/<key>/slips")
def take_slip(key: str) -> Response | tuple[str, int]:
    """Take a slip: the sentence word for word, the name as it is printed in it.

    The button says which: `3` is the fourth sentence and no name yet, `3.1.0` the first meaning of the second
    name marked in it. What is selected in the sentence comes as `name` with the former.
    """
    text = kept.get(key)
    try:
        slip = _slip(text)
        with context.act(_deed(text, slip)) as act:
            if _is_there(act.all(Slip, source_id=slip.source_id), slip):
                raise BadInput(
                    _("This slip has already been taken."), fix=_("It is listed beside the sentence.")
                )
            save_slip(act, slip)
    except BadInput as error:
        return page_of(text, error), 400
    sentence = request.form.get("take", "").partition(".")[0]
    return context.done(act, url_for("reading.show", key=key, _anchor=f"n{sentence}"))


def _slip(text: ReadText) -> Slip:
    reader = context.reader()
    sentence, mark, hit = _asked(sentences_of(reader, text))
    selected = " ".join(request.form.get("name", "").split())
    if mark is None and selected and selected not in " ".join(sentence.text.split()):
        raise BadInput(
            _("“%(name)s” is not in that sentence.", name=selected),
            fix=_("Select the name within the sentence."),
        )
    doubtful = hit is not None and hit.how is How.NEAR
    slip = Slip(
        id="",
        source_id=text.source_id,
        text=sentence.text,
        name=" ".join(mark.text.split()) if mark else selected,
        page=text.page,
        column=text.column,
        date=text.date,
        place=text.place,
        certainty=Certainty.PROBABLE if doubtful else Certainty.SECURE,
        term_id=hit.term_id if hit else "",
    )
    if hit is None:
        return slip
    term = next(t for t in reader.get(Entry, hit.entry_id).terms if t.id == hit.term_id)
    # the reader chose this name for what is marked, so a form that is not recognised is a misprint of it
    return replace(slip, presence=Presence.MISPRINT) if may_lack_name(slip, term) else slip


def _asked(sentences: tuple[ReadSentence, ...]) -> tuple[ReadSentence, Mark | None, Hit | None]:
    """The sentence that the button names, and the name marked in it.

    Raises:
        BadInput: there is none such.
    """
    parts = request.form.get("take", "").split(".")
    try:
        numbers = [number for part in parts if (number := whole_number(part)) is not None]
        if len(numbers) != len(parts):
            raise IndexError
        sentence = sentences[numbers[0]]
        if len(numbers) == 1:
            return sentence, None, None
        mark = sentence.marks[numbers[1]]
        return sentence, mark, mark.hits[numbers[2]]
    except IndexError:
        raise BadInput(
            _("That place is not in the text."), fix=_("Use a button beside one of its sentences.")
        ) from None


def _is_there(slips: tuple[Slip, ...], slip: Slip) -> bool:
    same = (slip.text, slip.name, slip.date or "", slip.term_id)
    return any((q.text, q.name, q.date or "", q.term_id) == same for q in slips)


def _deed(text: ReadText, slip: Slip) -> CodedText:
    label = context.reader().get(Source, text.source_id).label
    return Deed.SLIP_OF_NAME_TAKEN(label=label, name=slip.name) if slip.name else Deed.SLIP_TAKEN(label=label)
