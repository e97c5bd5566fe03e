"""Enter how a technique is done: a picture to select on, the form beside it, and techniques to borrow from.

The figure itself is drawn by `exports.figures`; other pages show it through `technique/figure.html`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from flask import Blueprint, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from app.web import context, drawing
from app.web.entries.forms import attribute_words
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.language import profile_words, verdict_wording
from exports.figures.technique import Words, draw_technique
from termbase.acts.techniques import borrow_profile, save_technique
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict
from termbase.judging.verdict import Verdict
from termbase.judging.wording import to_words
from termbase.overviews.matrix import verdict_on
from termbase.record.cautions import hurt_notices, own_cautions
from termbase.record.entries import Entry, heads
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode
from termbase.store.entry_lists import EntryFilter, all_ids
from termbase.store.reading import Reader
from termbase.technique.coherence import check_mechanics
from termbase.technique.profile import PRESSURES, Profile
from termbase.technique.words import ATTRIBUTES, BASES, Attribute, StatementText, profile_of, statements_of

__all__ = ["Lender", "blueprint"]

blueprint = Blueprint("technique", __name__, url_prefix="/entries/<entry_id>/technique")

Page = str | Response | tuple[str, int]
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("The right hand", ("right.places", "right.work", "right.essential", "right.also", "right.lets_go")),
    ("The left hand", ("left.places", "left.work", "left.essential", "left.also", "left.lets_go")),
    ("The leg, or what else works on him",
     ("leg_use", "limb", "limb_side", "leg_when", "contact", "his_side", "contact_inward", "contact_from")),
    ("How they stand, and how he falls",
     ("facing", "off_balance", "first_down", "falls_on_him", "pressure", "ground", "left_form")),
)  # fmt: skip
"""The attributes in the order shown."""

ASKS = {
    "right.places": "Where it holds", "left.places": "Where it holds",
    "right.also": "Other places from which the same work is known to be done",
    "left.also": "Other places from which the same work is known to be done",
    "right.work": "What it does", "left.work": "What it does",
    "right.essential": "Must it hold exactly there?", "left.essential": "Must it hold exactly there?",
    "right.lets_go": "Does it let go before he is down?", "left.lets_go": "Does it let go before he is down?",
    "leg_use": "What the leg does", "limb": "What works on him", "limb_side": "On which side of the thrower",
    "leg_when": "When", "contact": "Where he is touched", "his_side": "On which side of him",
    "contact_inward": "From inside or outside", "contact_from": "From the front or from behind",
    "facing": "How the thrower stands in relation to him",
    "off_balance": "Direction in which his balance is broken, as he sees it",
    "first_down": "Who touches the ground first", "falls_on_him": "Does the thrower come down on him?",
    "pressure": "What is pressed or bent", "ground": "Where it is done",
    "left_form": "Is it done left-handed too?",
}  # fmt: skip


@dataclass(frozen=True)
class Lender:
    """An entry whose technique can be borrowed to start from: its id, name, and the analogue it shares."""

    id: str
    name: str
    analogue: str


@blueprint.get("")
def edit(entry_id: str) -> str:
    """Show the picture and the form; `lend` in the address names an entry to start from."""
    reader = context.reader()
    entry = reader.get(Entry, entry_id)
    lender_id = reader.current_id(request.args.get("lend", ""))
    lender = next((other for other in _lenders(reader, entry) if other.id == lender_id), None)
    profile = entry.technique or Profile()
    if lender:
        borrowed = reader.get(Entry, lender.id).technique or Profile()
        profile = borrow_profile(borrowed, lender.analogue or lender.name, profile)
    return _page(entry, profile_form(profile, entry.version), profile, lender)


@blueprint.post("")
def change(entry_id: str) -> Page:
    """Save what is stated; changed values get the basis chosen for changes in the form."""
    form = Form.posted()
    entry = context.reader().get(Entry, entry_id)
    try:
        profile = _read(form, entry.technique)
        version = form.number("version")
        with context.act(Deed.TECHNIQUE_STATED(id=entry_id)) as act:
            save_technique(act, entry_id, profile, version)
    except BadInput as error:
        return _page(entry, _whole(form).refused(error), entry.technique or Profile()), 400
    except Conflict as error:
        now = context.reader().get(Entry, entry_id)
        current = profile_form(now.technique or Profile(), now.version)
        return _page(now, _whole(form).against(current, error), _read(form, now.technique)), 409
    return context.done(act, url_for("entries.index") + f"/{entry_id}#technique")


@blueprint.post("/look")
def look(entry_id: str) -> Page:
    """Preview the figure, its words and the verdicts for the form as it is; nothing is saved."""
    entry = context.reader().get(Entry, entry_id)
    try:
        profile = _read(Form.posted(), entry.technique)
    except BadInput as error:
        return render_template("technique/refused.html", error=error), 400
    return render_template("technique/look.html", **_seen(entry, profile))


def technique_figure(profile: Profile, verdict: Verdict | None = None, key: str = "") -> Markup:
    """Return the figure of a technique as markup, with words in the reader's language."""
    words = Words(
        title=_("Both wrestlers from above"),
        he=_("he"),
        thrower=_("thrower"),
        right=_("R"),
        left=_("L"),
        both_down=_("both go down"),
        thrower_down=_("thrower goes down first"),
        on_him=_("thrower comes down on him"),
        grounded=_("on the ground"),
        pressed=_("pressure"),
        parts={part: _(part) for part in PRESSURES},
    )
    wording = verdict_wording()
    barred = [to_words(why, wording) for why in verdict.breaches] if verdict else []
    barred += [to_words(grip, wording) for grip in verdict.grips] if verdict else []
    return Markup(draw_technique(profile, verdict, words, key, " ".join((profile_words(profile), *barred))))


def profile_form(profile: Profile, version: int) -> Form:
    """Fill the form from a profile: each attribute by its path, with `-basis` and `-ref` beside it."""
    stated = statements_of(profile)
    values: dict[str, object] = {"version": version, "basis": "reading", "ref": ""}
    values |= {"names": "\n".join(profile.names), "note": profile.note}
    for attribute in ATTRIBUTES:
        statement = stated.get(attribute.path, StatementText(()))
        values[attribute.path] = statement.values
        values[f"{attribute.path}-basis"] = statement.basis
        values[f"{attribute.path}-ref"] = statement.ref
    return Form.of(**values)


def _whole(form: Form) -> Form:
    """Return the form with every attribute in it, so that an error can be shown at its field."""
    blank: dict[str, tuple[str, ...]] = {attribute.path: () for attribute in ATTRIBUTES}
    return replace(form, texts={**blank, **form.texts})


def _read(form: Form, before: Profile | None) -> Profile:
    """Return the profile in the form.

    Raises:
        BadInput: as for `profile_of`.
    """
    old = statements_of(before)
    stated = profile_of(
        {a.path: _statement(form, a, old.get(a.path)) for a in ATTRIBUTES if any(form.all(a.path))}
    )
    names = tuple(name for line in form.text("names").split("\n") if (name := line.strip()))
    return replace(stated, names=names, note=form.text("note").strip())


def _statement(form: Form, attribute: Attribute, old: StatementText | None) -> StatementText:
    given = tuple(v for v in form.all(attribute.path) if v)
    values = tuple(v for v in attribute.values if v in given) if attribute.several else given
    strange = tuple(v for v in given if v not in attribute.values)
    own = StatementText(
        values if not strange else given,
        form.line(f"{attribute.path}-basis") or "reading",
        form.line(f"{attribute.path}-ref"),
    )
    before = (old.basis, old.ref) if old else ("reading", "")
    untouched = old is not None and set(old.values) == set(given)
    if untouched and old is not None:
        own = replace(own, values=old.values)
    if untouched or (own.basis, own.ref) != before:
        return own
    return replace(own, basis=form.line("basis") or "reading", ref=form.line("ref"))


def _seen(entry: Entry, profile: Profile) -> dict[str, object]:
    codes = context.reader().all(RuleCode)
    changed = replace(entry, technique=profile)
    return {
        "entry": entry,
        "profile": profile,
        "questions": check_mechanics(profile),
        "verdicts": [(code, verdict_on(changed, code)) for code in codes],
        "hand_map": drawing.hand_map(_values(profile, "right.places"), _values(profile, "left.places")),
        "contact_map": drawing.contact_map(
            _values(profile, "contact"), next(iter(_values(profile, "his_side")), "")
        ),
    }


def _values(profile: Profile, path: str) -> tuple[str, ...]:
    return statements_of(profile).get(path, StatementText(())).values


def _page(entry: Entry, form: Form, profile: Profile, lender: Lender | None = None) -> str:
    known: Mapping[str, Attribute] = {attribute.path: attribute for attribute in ATTRIBUTES}
    return render_template(
        "technique/edit.html",
        form=form,
        groups=[(_(title), [known[path] for path in paths]) for title, paths in GROUPS],
        asks={path: _(words) for path, words in ASKS.items()},
        about={path: attribute_words(path) for path in known},
        bases=BASES,
        heads=tuple(heads(entry).values()),
        lender=lender,
        lenders=_lenders(context.reader(), entry),
        extra_cautions=own_cautions(entry.topic, profile),
        hurt=hurt_notices(context.reader().all(Trial, entry_id=entry.id)),
        **_seen(entry, profile),
    )


def _lenders(reader: Reader, entry: Entry) -> list[Lender]:
    """Return entries that can lend their technique, those that share an analogue first."""
    mine = {(a.name.casefold(), a.style.casefold()): a for a in entry.analogues}
    language = reader.termbase().working_language
    lenders = []
    for batch in reader.entries(all_ids(reader, EntryFilter(technique=True), language)):
        for other in batch:
            if other.id == entry.id or other.technique is None:
                continue
            known = heads(other)
            name = (known.get(language) or next(iter(known.values()))).text
            shared = [a for a in other.analogues if (a.name.casefold(), a.style.casefold()) in mine]
            analogue = f"{shared[0].name} ({shared[0].style})" if shared else ""
            lenders.append(Lender(other.id, name, analogue))
    return sorted(lenders, key=lambda lender: not lender.analogue)


blueprint.add_app_template_global(technique_figure)
blueprint.add_app_template_global(profile_words, "technique_said")
