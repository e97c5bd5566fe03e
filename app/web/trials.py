"""The Trials section: list and record what was tried on the mat."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

from flask import Blueprint, Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from app.web import context, lists, uploads
from app.web.forms import Form, error_text
from app.web.language import gettext as _
from app.web.recordforms import RecordForm
from app.web.templating import readable_date
from termbase.acts import trials as acts
from termbase.codes.deeds import Deed
from termbase.dates import edtf as dates
from termbase.dates.plain import is_after, read_plain_date
from termbase.errors import Ambiguous, BadInput, Conflict, Problems
from termbase.fields.declarations import Block, Date, fields_of
from termbase.languages.alphabets import sort_key
from termbase.media.pictures import read_photograph
from termbase.messages import message
from termbase.overviews.matrix import verdict_on
from termbase.overviews.trials import ORDERS, Order, TrialRow, filter_trials, sort_trials, trial_rows
from termbase.record.cautions import hurt_notices, own_cautions
from termbase.record.entries import Entry, heads
from termbase.record.people import Image
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import RuleCode
from termbase.search.finding import entry_called
from termbase.store.caching import remembered
from termbase.store.reading import Reader

__all__ = ["FORM", "blueprint"]

blueprint = Blueprint("trials", __name__, url_prefix="/trials")

Page = str | AnyResponse | tuple[str, int]
LINES = tuple(field.column for field in fields_of(Trial) if isinstance(field.is_a, Date | Block))
"""The text fields of a trial, as columns of the downloaded list."""
FORM = RecordForm(
    Trial,
    without={"image_ids": "Pictures are sent as files, and each can be left out."},
    names={"entry_id": "entry", "code_id": "code"},
    unsaid={"outcome": (message("State how it went."), message("Choose one of the three."))},
)
NEW = Trial("", "", "", Outcome.WORKS)
UNKNOWN = "?"  # stands for an entry that was not found, so that the error is reported only once
CONSENTS = ("coach", "guardian")
_FIELD_OF = {"guardian": "guardian"}


@blueprint.get("")
def index() -> str:
    """List the trials; only the rows while the user types."""
    rows = _wanted()
    part = lists.part_of(len(rows))
    return render_template(
        "trials/rows.html" if lists.is_part() else "trials/index.html",
        rows=rows[part.offset : part.offset + part.limit],
        part=part,
        order=_order(),
        typed=lists.typed(),
        codes=context.reader().all(RuleCode),
        outcomes=[o.value for o in Outcome],
        narrow=any(request.args.get(name) for name in ("outcome", "code", "against")) or bool(lists.typed()),
        address=lists.address,
    )


@blueprint.get("/trials.csv")
def take() -> Response:
    """Download the list as shown, as a table."""
    tag = context.termbase().working_language
    head = ["id", "entry", _("technique"), *LINES, _("code"), _("outcome"), _("verdict"), _("contradicts")]
    return lists.as_csv("trials.csv", head, _cells(_wanted(), tag))


@blueprint.get("/new")
def new() -> Page:
    """Show the form for a new trial; the address may name the entry and the code."""
    blank = Form.of(**{**FORM.filled(NEW), "outcome": ""}, **_consents(False))
    blank = blank.with_text("date", _date_shown(_today()))
    entry, code = request.args.get("entry", ""), request.args.get("code", "")
    return _form(blank.with_text("entry", _entry_words(entry)).with_text("code", code), None)


@blueprint.post("/new")
def record() -> Page:
    """Record a trial."""
    return _save(None)


@blueprint.get("/<trial_id>")
def show(trial_id: str) -> str:
    """Show a trial in full."""
    trial = context.reader().get(Trial, trial_id)
    return _shown(trial)


@blueprint.get("/<trial_id>/edit")
def edit(trial_id: str) -> Page:
    """Show the form of a trial."""
    trial = context.reader().get(Trial, trial_id)
    return _form(_trial_form(trial), trial)


@blueprint.post("/<trial_id>/edit")
def change(trial_id: str) -> Page:
    """Change a trial."""
    return _save(context.reader().get(Trial, trial_id))


@blueprint.post("/<trial_id>/remove")
def remove(trial_id: str) -> AnyResponse:
    """Delete a trial; undo restores it."""
    trial = context.reader().get(Trial, trial_id)
    with context.act(Deed.TRIAL_REMOVED(id=trial.id)) as act:
        acts.remove(act, trial.id)
    return context.done(act, url_for("trials.index"))


def _save(before: Trial | None) -> Page:
    form = Form.posted().with_text("pictures", "")
    try:
        problems = Problems()
        trial = _read(form, before, problems)
        pictures: list[Image] = problems.value([], _pictures)
        what = Deed.TRIAL_CHANGED(id=trial.id) if before else Deed.TRIAL_RECORDED(id=trial.entry_id)
        with context.act(what) as act, problems:
            for picture in pictures:
                act.add_image(picture)
            kept = (i for i in trial.image_ids if not form.text(f"drop-{i}"))
            images = tuple(dict.fromkeys((*kept, *(picture.id for picture in pictures))))
            saved = acts.save(act, replace(trial, image_ids=images))
    except BadInput as error:
        return _form(FORM.refused(form, error, _FIELD_OF), before), 400
    except Conflict as error:
        now = context.reader().get(Trial, before.id if before else "")
        return _form(form.against(_trial_form(now), error), now), 409
    return context.done(act, url_for("trials.show", trial_id=saved.id))


def _read(form: Form, before: Trial | None, problems: Problems) -> Trial:
    """Return the trial in the form; errors are collected in `problems`.

    It must have an outcome, and both consents if young people took part.
    """
    if form.text("young") and not all(form.text(name) for name in CONSENTS):
        problems.add(
            BadInput(
                _("Young people took part: both consents are needed."),
                where="guardian",
                fix=_("Record the trial once coach and guardian have consented."),
            )
        )
    called = form.line("entry")
    own = {
        "entry_id": problems.value(UNKNOWN, entry_called, context.reader(), called, "entry")
        if called
        else "",
        "date": problems.value("", _date_typed, form) if form.line("date") else "",
        "safety": _with_consent(form.text("safety"), bool(form.text("young"))),
    }
    return FORM.read(form, before or NEW, problems, own)


def _today() -> str:
    """Return today's date on the server (ISO)."""
    return context.store().clock().astimezone().date().isoformat()


def _date_typed(form: Form) -> str:
    """Return the date of a trial, typed in plain words or as EDTF.

    Raises:
        BadInput: it is not a date.
        Ambiguous: it can mean two days, or it is in the future and has not been confirmed.
    """
    today = _today()
    edtf = read_plain_date(form.line("date"), today)
    if is_after(edtf, today) and "date" not in form.chosen:
        raise Ambiguous(
            _("“%(date)s” is in the future.", date=form.line("date")),
            where="date",
            choices=(
                (edtf, _("Yes, it is %(date)s", date=readable_date(edtf))),
                (today, readable_date(today)),
            ),
        )
    return edtf


def _date_shown(edtf: str) -> str:
    """Return a date as the field shows it: a full date in words, any other date as EDTF."""
    return readable_date(edtf) if dates.is_iso_date(edtf) else edtf


def _with_consent(safety: str, young: bool) -> str:
    """Return the safety measures, with the consents in words if young people took part."""
    sentence = "Young people took part, with the consent of coach and guardian."
    bare = safety.replace(sentence, "").strip()
    return f"{bare}\n{sentence}".strip() if young else bare


def _trial_form(trial: Trial) -> Form:
    young = "Young people took part" in trial.safety
    own = {"date": _date_shown(trial.date), "entry": _entry_words(trial.entry_id)}
    return Form.of(**{**FORM.filled(trial), **own}, **_consents(young))


def _consents(young: bool) -> dict[str, object]:
    return dict.fromkeys(("young", *CONSENTS), "yes" if young else "")


def _pictures() -> list[Image]:
    """Return the uploaded pictures.

    Raises:
        BadInput: one of them is not a picture.
    """
    sent = uploads.files("pictures")
    try:
        return [read_photograph(f.read(), f.filename or "") for f in sent]
    except BadInput as error:
        raise BadInput(error_text(error), where="pictures", fix=error.fix) from error


def _form(form: Form, trial: Trial | None) -> str:
    reader = context.reader()
    entry = _entry_typed(reader, form.line("entry"))
    code = reader.find(RuleCode, form.text("code")) if form.text("code") else None
    return render_template(
        "trials/form.html",
        form=form if "pictures" in form.texts else form.with_text("pictures", ""),
        trial=trial,
        entry=entry,
        code_options=[("", _("none")), *((c.id, c.name) for c in reader.all(RuleCode))],
        outcome_options=[(o.value, _(o.value)) for o in Outcome],
        techniques=_known(reader),
        verdict=verdict_on(entry, code) if entry and entry.technique and code else None,
        extra_cautions=own_cautions(entry.topic, entry.technique) if entry else own_cautions(None, None),
        hurt=hurt_notices(reader.all(Trial, entry_id=entry.id)) if entry else (),
    )


def _shown(trial: Trial) -> str:
    reader = context.reader()
    entry = reader.get(Entry, trial.entry_id)
    (row,) = trial_rows(reader, [trial])
    return render_template(
        "trials/trial.html",
        row=row,
        trial=trial,
        entry=entry,
        extra_cautions=own_cautions(entry.topic, entry.technique),
        hurt=hurt_notices([trial]),
    )


def _wanted() -> tuple[TrialRow, ...]:
    reader = context.reader()
    rows = remembered(reader, "tried", trial_rows)
    trials = filter_trials(
        rows,
        text=lists.typed(),
        outcome=request.args.get("outcome", ""),
        code_id=request.args.get("code", ""),
        contradicting=bool(request.args.get("against")),
    )
    tag = context.termbase().working_language
    order, descending = _order()
    return sort_trials(trials, order, partial(sort_key, tag=tag), tag, turned=descending)


def _order() -> tuple[Order, bool]:
    asked = request.args.get("sort", "")
    order = next((known for known in ORDERS if known == asked), None)
    return (order, bool(request.args.get("desc"))) if order else ("date", "sort" not in request.args)


def _cells(rows: Sequence[TrialRow], tag: str) -> Iterator[tuple[object, ...]]:
    for row in rows:
        name = row.heads.get(tag) or next(iter(row.heads.values()), None)
        trial = row.trial
        yield (
            trial.id,
            trial.entry_id,
            name.text if name else "",
            *(getattr(trial, field) for field in LINES),
            row.code.name if row.code else "",
            trial.outcome.value,
            row.verdict,
            _("yes") if row.contradicts else "",
        )


def _entry_words(entry_id: str) -> str:
    """Return an entry as the field shows it: its id, then its names."""
    entry = _entry(context.reader(), entry_id)
    return f"{entry.id} {' · '.join(t.text for t in heads(entry).values())}" if entry else entry_id


def _entry(reader: Reader, entry_id: str) -> Entry | None:
    """Return the entry with an id, or the one it was merged into."""
    return reader.find(Entry, reader.current_id(entry_id)) if entry_id else None


def _entry_typed(reader: Reader, typed: str) -> Entry | None:
    """Return the entry that a field means; None if it means none or more than one."""
    try:
        return _entry(reader, entry_called(reader, typed, "entry")) if typed else None
    except BadInput:
        return None


def _known(reader: Reader) -> list[str]:
    """Return every technique to choose from, as id and names."""
    return list(remembered(reader, "techniques to try", _all_known))


def _all_known(reader: Reader) -> tuple[str, ...]:
    return tuple(
        f"{entry.id} {' · '.join(t.text for t in heads(entry).values())}"
        for batch in reader.entries()
        for entry in batch
        if entry.technique is not None
    )
