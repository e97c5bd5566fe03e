"""What somebody wants published, read from a form and checked."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar, get_args

from app.catalogues import LANGUAGES, voice_of
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.language import interface_language
from exports.glossary.print.choices import Direction, Paper, Selection
from exports.tbx.markup import DIALECTS, DialectName
from termbase.errors import BadInput
from termbase.narrowing import Conditions

__all__ = [
    "ENTRIES",
    "Entries",
    "PdfChoice",
    "TbxChoice",
    "first_form",
    "narrowing",
    "pdf_choice",
    "tbx_choice",
]

Entries = Literal["all", "ready"]
ENTRIES: tuple[Entries, ...] = get_args(Entries)
One = TypeVar("One", bound=str)


@dataclass(frozen=True)
class PdfChoice:
    """A glossary to print: its paper and what goes in."""

    paper: Paper
    selection: Selection


@dataclass(frozen=True)
class TbxChoice:
    """A TBX file to write: its dialect and style, and which entries."""

    dialect: DialectName
    entries: Entries


def first_form(code_ids: Sequence[str]) -> Form:
    """The forms as they stand at first: everything, drafts marked, on A5, in the reader's language."""
    return Form.of(
        paper="a5", words=interface_language(), drafts="all", code=tuple(code_ids),
        direction=get_args(Direction), figures="yes", pictures="yes", quotations="yes", mark_missing="",
        topic="", verdict="",
        dialect="basic-dca", entries="all",
    )  # fmt: skip


def pdf_choice(form: Form, code_ids: Sequence[str]) -> PdfChoice:
    """The glossary that the form asks for.

    Raises:
        BadInput: an option is none of those there are, or neither part of the book is chosen.
    """
    codes = tuple(code for code in code_ids if code in form.all("code"))
    if unknown := set(form.all("code")) - set(code_ids):
        raise BadInput(
            _("There is no rule code “%(id)s”.", id=sorted(unknown)[0]),
            where="code",
            mend=_("Choose among those shown."),
        )
    directions = tuple(_one_of(get_args(Direction), d, "direction") for d in form.all("direction"))
    if not directions:
        raise BadInput(
            _("The book would have no part."), where="direction", mend=_("Choose one direction at least.")
        )
    drafts = _one_of(ENTRIES, form.line("drafts"), "drafts") == "all"
    selection = Selection(
        codes=None if len(codes) == len(code_ids) else codes,
        drafts=drafts,
        directions=tuple(d for d in get_args(Direction) if d in directions),
        figures=bool(form.line("figures")),
        quotations=bool(form.line("quotations")),
        mark_missing=bool(form.line("mark_missing")),
        pictures=bool(form.line("pictures")),
        voice=voice_of(_one_of(LANGUAGES, form.line("words") or interface_language(), "words")),
    )
    return PdfChoice(_one_of(get_args(Paper), form.line("paper"), "paper"), selection)


def narrowing(form: Form, code_ids: Sequence[str]) -> Conditions:
    """What the form narrows the glossary to; a verdict is meant under the first of the chosen codes."""
    codes = [code for code in code_ids if code in form.all("code")]
    return Conditions(topic=form.line("topic"), verdict=form.line("verdict"), code=codes[0] if codes else "")


def tbx_choice(form: Form) -> TbxChoice:
    """The TBX file that the form asks for.

    Raises:
        BadInput: an option is none of those there are.
    """
    dialect = _one_of(tuple(DIALECTS), form.line("dialect"), "dialect")
    return TbxChoice(dialect, _one_of(ENTRIES, form.line("entries"), "entries"))


def _one_of(known: Iterable[One], asked: str, where: str) -> One:
    found = next((each for each in known if each == asked), None)
    if found is None:
        raise BadInput(
            _("“%(asked)s” is none of the choices.", asked=asked),
            where=where,
            mend=_("Choose one of those shown."),
        )
    return found
