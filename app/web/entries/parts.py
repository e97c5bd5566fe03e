"""The parts of an entry that are changed one at a time: what stands in each form, what it makes of an entry.

A part has a name and, where there are several of it, a key (`term-t12`). Its form carries a mark of what
stood there when it was made, so that two people who change different parts are not in each other's way.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from hashlib import sha256
from typing import TypeVar

from app.web.forms import Form
from app.web.language import gettext as _
from termbase.codes.deeds import Deed
from termbase.entries import (
    Analogue,
    Definition,
    Entry,
    Figure,
    Gender,
    Number,
    Origin,
    PartOfSpeech,
    Register,
    Status,
    Term,
    TermType,
    Topic,
)
from termbase.entries import Form as Inflected
from termbase.errors import BadInput, NotFound, Problems
from termbase.intake import take_entry
from termbase.languages.alphabets import double_letters, parted
from termbase.languages.folding import PARTING
from termbase.tags import is_well_formed

__all__ = ["PARTS", "Asked", "Part", "of_list", "part_named", "stamped"]

Closed = TypeVar("Closed", bound=StrEnum)

PARTED = "|"
SPARE_ANALOGUES = 2


@dataclass(frozen=True)
class Asked:
    """Which part of which entry.

    Attributes:
        entry: the entry as it is.
        key: which of several parts; empty where there is one.
        languages: the termbase's languages, the working language first.
        like: id of the name that a new one is a variant of; empty otherwise.
    """

    entry: Entry
    key: str = ""
    languages: tuple[str, ...] = ()
    like: str = ""


@dataclass(frozen=True)
class Part:
    """One part: the act that changes it, what stands in its form, the entry that a form makes of it."""

    deed: Deed
    fill: Callable[[Asked], Form]
    apply: Callable[[Asked, Form], Entry]
    places: Callable[[Asked], Mapping[str, str]] = field(default=lambda asked: {})


def part_named(part_id: str) -> tuple[Part, str]:
    """The part of this id and its key.

    Raises:
        NotFound: there is no such part.
    """
    name, _dash, key = part_id.partition("-")
    if name not in PARTS or (bool(key) != (name in KEYED)):
        raise NotFound(
            _("An entry has no part “%(id)s”.", id=part_id),
            where=part_id,
            mend=_("Choose it on the entry's page."),
        )
    return PARTS[name], key


def stamped(form: Form) -> Form:
    """The form with the mark of what stands in it, in the field `version`."""
    held = sorted((name, texts) for name, texts in form.texts.items() if name != "version")
    return form.with_text("version", sha256(repr(held).encode()).hexdigest()[:16])


def of_list(kind: type[Closed], value: str, where: str) -> Closed | None:
    """A member of a closed list, None where nothing is chosen.

    Raises:
        BadInput: the list has no such member.
    """
    if not value:
        return None
    try:
        return kind(value)
    except ValueError as error:
        raise BadInput(
            _("“%(value)s” is none of these.", value=value), where=where, mend=_("Choose one of the list.")
        ) from error


def _fill_topic(asked: Asked) -> Form:
    return Form.of(topic=asked.entry.topic or "")


def _apply_topic(asked: Asked, form: Form) -> Entry:
    return replace(asked.entry, topic=of_list(Topic, form.line("topic"), "topic"))


def _fill_definitions(asked: Asked) -> Form:
    rows = list(asked.entry.definitions)
    here = {d.language for d in rows}
    rows += [Definition(tag, "") for tag in asked.languages if tag not in here]
    return Form.of(
        text=tuple(d.text for d in rows),
        language=tuple(d.language for d in rows),
        source_id=tuple(d.source_id for d in rows),
    )


def _apply_definitions(asked: Asked, form: Form) -> Entry:
    rows = zip(form.all("language"), form.all("text"), _padded(form, "source_id", "text"), strict=False)
    made = tuple(Definition(tag, text, source) for tag, text, source in rows)
    return replace(asked.entry, definitions=made)


def _fill_notes(asked: Asked) -> Form:
    return Form.of(usage_note=asked.entry.usage_note, editor_note=asked.entry.editor_note)


def _apply_notes(asked: Asked, form: Form) -> Entry:
    return replace(asked.entry, usage_note=form.text("usage_note"), editor_note=form.text("editor_note"))


def _fill_analogues(asked: Asked) -> Form:
    rows = [*asked.entry.analogues, *(Analogue("", "", "") for _ in range(SPARE_ANALOGUES))]
    return Form.of(
        name=tuple(a.name for a in rows),
        style=tuple(a.style for a in rows),
        language=tuple(a.language for a in rows),
        source_id=tuple(a.source_id for a in rows),
    )


def _apply_analogues(asked: Asked, form: Form) -> Entry:
    columns = (form.all("name"), *(_padded(form, n, "name") for n in ("language", "style", "source_id")))
    return replace(asked.entry, analogues=tuple(Analogue(*row) for row in zip(*columns, strict=False)))


def _fill_figures(asked: Asked) -> Form:
    rows = asked.entry.figures
    columns = ("image_id", "caption", "maker", "rights", "source_id")
    return Form.of(drop=(), **{name: tuple(getattr(f, name) for f in rows) for name in columns})


def _apply_figures(asked: Asked, form: Form) -> Entry:
    """The figures that are there; a picture that was sent has its id at the end of `image_id` already."""
    known = {f.image_id for f in asked.entry.figures} | {form.line("taken_in")}
    columns = [_padded(form, n, "image_id") for n in ("caption", "maker", "rights", "source_id")]
    rows = zip(form.all("image_id"), *columns, strict=False)
    kept = tuple(
        Figure(*row)
        for number, row in enumerate(rows)
        if str(number) not in form.all("drop") and row[0] in known
    )
    return replace(asked.entry, figures=kept)


def _fill_term(asked: Asked) -> Form:
    term = _term(asked)
    return Form.of(
        text=term.text,
        language=term.language,
        origin=term.origin.value if term.id or asked.like else "",
        type=term.type or "",
        status=term.status or "",
        part_of_speech=term.part_of_speech or "",
        gender=term.gender or "",
        number=term.number or "",
        forms="\n".join(f"{form.label}: {form.text}" for form in term.forms),
        printed=term.printed,
        printed_language=term.printed_language,
        pronunciation=term.pronunciation,
        register=term.register or "",
        region=term.region,
        sort_text="" if _is_parting(term) else term.sort_text.replace(PARTING, PARTED),
        parted=_parted_places(term),
        usage_note=term.usage_note,
    )


def _is_parting(term: Term) -> bool:
    """Whether the sort form is the name itself with double letters parted: then boxes say all of it."""
    return term.sort_text == parted(term.text, (int(place) for place in _parted_places(term)))


def _parted_places(term: Term) -> tuple[str, ...]:
    """The places of the double letters that are two in this name."""
    places, length = set(), 0
    for letter in term.sort_text:
        if letter == PARTING:
            places.add(length - 1)
        else:
            length += 1
    return tuple(str(at) for at, _letters in double_letters(term.text, term.language) if at in places)


def _parting(form: Form) -> str:
    """The sort form that the ticked boxes make of the name as typed."""
    text, tag = " ".join(form.line("text").split()), form.line("language")
    ticked = form.all("parted")
    if not text or not ticked or not is_well_formed(tag):
        return ""
    return parted(text, (at for at, _letters in double_letters(text, tag) if str(at) in ticked))


def _term(asked: Asked) -> Term:
    """The name itself; a new one takes grammar and language from the name it is a variant of."""
    if asked.key == "new":
        like = next((t for t in asked.entry.terms if t.id == asked.like), None)
        if like is None:
            return Term("", "", asked.languages[-1], Origin.IN_USE)
        return Term(
            "", "", like.language, like.origin, part_of_speech=like.part_of_speech, gender=like.gender,
            number=like.number, type=TermType.VARIANT, status=Status.ADMITTED,
        )  # fmt: skip
    found = next((t for t in asked.entry.terms if t.id == asked.key), None)
    if found is None:
        raise NotFound(
            _("The entry has no such name any more."), where=asked.key, mend=_("Look at the entry's history.")
        )
    return found


def _apply_term(asked: Asked, form: Form) -> Entry:
    with Problems() as problems:
        term = _term_of(asked, form, problems)
        own = asked.entry.terms
        terms = tuple(term if t.id == term.id else t for t in own) if term.id else (*own, term)
        made = replace(asked.entry, terms=terms)
        problems.value(made, take_entry, made)  # what the record itself refuses is told with the rest
    return made


def _term_of(asked: Asked, form: Form, problems: Problems) -> Term:
    """The name that the form says; what is wrong is collected in `problems`."""

    def chosen(kind: type[Closed], name: str) -> Closed | None:
        return problems.value(None, of_list, kind, form.line(name), name)

    origin = chosen(Origin, "origin")
    if origin is None and not form.line("origin"):
        problems.add(
            BadInput(
                _("It is not said where the name comes from."),
                where="origin",
                mend=_("Choose one, so that a guess is never taken for a record."),
            )
        )
    return Term(
        id="" if asked.key == "new" else _term(asked).id,
        text=form.line("text"),
        language=form.line("language"),
        origin=origin or Origin.IN_USE,
        printed=form.line("printed"),
        printed_language=form.line("printed_language"),
        part_of_speech=chosen(PartOfSpeech, "part_of_speech"),
        gender=chosen(Gender, "gender"),
        number=chosen(Number, "number"),
        forms=problems.value((), _forms, form.text("forms")),
        pronunciation=form.line("pronunciation"),
        register=chosen(Register, "register"),
        region=form.line("region"),
        usage_note=form.text("usage_note"),
        type=chosen(TermType, "type"),
        status=chosen(Status, "status"),
        sort_text=form.line("sort_text").replace(PARTED, PARTING) or _parting(form),
        foreign_notes=() if asked.key == "new" else _term(asked).foreign_notes,
    )


def _forms(text: str) -> tuple[Inflected, ...]:
    found = []
    for line in filter(None, (line.strip() for line in text.splitlines())):
        label, colon, form = line.partition(":")
        if not colon or not form.strip():
            raise BadInput(
                _("“%(line)s” has no colon between label and form.", line=line),
                where="forms",
                mend=_("Write for example “plural: ymafaelion”."),
            )
        found.append(Inflected(label.strip(), form.strip()))
    return tuple(found)


def _places_of_term(asked: Asked) -> Mapping[str, str]:
    """Fields of the form by what errors call them: names are counted in the order of the entry."""
    ids = [t.id for t in asked.entry.terms]
    number = ids.index(asked.key) + 1 if asked.key in ids else len(ids) + 1
    return {
        f"name {number}, text": "text",
        f"name {number}, language": "language",
        f"name {number}, printed language": "printed_language",
    }


def _padded(form: Form, name: str, like: str) -> tuple[str, ...]:
    """The values of a field, as many as another has."""
    values, wanted = form.all(name), len(form.all(like))
    return (*values, *("",) * (wanted - len(values)))[:wanted]


PARTS: dict[str, Part] = {
    "topic": Part(Deed.TOPIC_CHANGED, _fill_topic, _apply_topic),
    "definitions": Part(Deed.DEFINITION_CHANGED, _fill_definitions, _apply_definitions),
    "notes": Part(Deed.NOTES_CHANGED, _fill_notes, _apply_notes),
    "analogues": Part(Deed.ANALOGUES_CHANGED, _fill_analogues, _apply_analogues),
    "figures": Part(Deed.FIGURES_CHANGED, _fill_figures, _apply_figures),
    "term": Part(Deed.NAME_CHANGED, _fill_term, _apply_term, _places_of_term),
}
"""Parts with a form of one kind; relations, rulings, slips and the technique have views of their own."""

KEYED = frozenset({"term"})
