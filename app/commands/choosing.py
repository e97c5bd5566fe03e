"""What goes into a publication, as options that all publishing commands share."""

from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import ParamSpec, TypedDict, TypeVar

import click

from app.catalogues import LANGUAGES, spoken_language, voice_of
from app.narrowed import narrowed
from exports.glossary.print.choices import Selection
from termbase.acts.rules import code_named
from termbase.entries import Origin, Topic
from termbase.errors import BadInput
from termbase.judging import VERDICT_WORDS
from termbase.narrowing import Conditions
from termbase.store import Reader

__all__ = ["Choices", "fonts_option", "output_option", "selection_of", "selection_options"]

P = ParamSpec("P")
R = TypeVar("R")


class Choices(TypedDict):
    """The options as click gives them."""

    ready_only: bool
    codes: tuple[str, ...]
    vernaculars: tuple[str, ...]
    no_quotations: bool
    no_figures: bool
    no_pictures: bool
    words: str | None
    topic: str | None
    origin: str | None
    source: str | None
    verdict: str | None


def _values(closed: type[StrEnum]) -> list[str]:
    return [one.value for one in closed]


def selection_options(command: Callable[P, R]) -> Callable[P, R]:
    """What goes in, and in which language's words."""
    for option in (
        click.option("--words", type=click.Choice([*LANGUAGES]),
                     help="Language of the publication's own words: headings, marks, verdicts, dates. "
                     "The termbase's working language where it is one of these, else English."),
        click.option("--no-pictures", is_flag=True, help="Leave pictures of entries out."),
        click.option("--no-figures", is_flag=True, help="Leave figures out."),
        click.option("--no-quotations", is_flag=True, help="Leave quotations out."),
        click.option("--vernacular", "vernaculars", multiple=True, metavar="TAG",
                     help="Only this vernacular; may be given again."),
        click.option("--code", "codes", multiple=True, metavar="CODE",
                     help="Only verdicts under this rule code (id or name); may be given again."),
        click.option("--verdict", type=click.Choice(VERDICT_WORDS),
                     help="Only entries with this verdict, under the first --code, else the first code."),
        click.option("--source", metavar="LABEL", help="Only entries quoted from this source."),
        click.option("--origin", type=click.Choice(_values(Origin)), help="Only entries with such a name."),
        click.option("--topic", type=click.Choice(_values(Topic)), help="Only entries of this topic."),
        click.option("--ready-only", is_flag=True, help="Leave drafts out."),
    ):  # fmt: skip
        command = option(command)
    return command


def output_option(text: str, *, folder: bool = False) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """`-o PATH`: a file, or a folder."""
    kind = click.Path(dir_okay=folder, file_okay=not folder, path_type=Path)
    return click.option("-o", "--output", required=True, type=kind, help=text)


def fonts_option(command: Callable[P, R]) -> Callable[P, R]:
    """`--fonts FOLDER`: further typefaces."""
    kind = click.Path(exists=True, file_okay=False, path_type=Path)
    return click.option(
        "--fonts", "font_folders", multiple=True, type=kind, metavar="FOLDER",
        help="A folder with further typefaces (.otf, .ttf), for letters that the shipped ones lack; "
        "may be given again.",
    )(command)  # fmt: skip


def selection_of(reader: Reader, chosen: Choices) -> Selection:
    """What the options ask for.

    Raises:
        NotFound: there is no such rule code or source.
        BadInput: a vernacular is none of the termbase's.
    """
    known = reader.termbase().vernaculars
    for tag in chosen["vernaculars"]:
        if tag not in known:
            raise BadInput(
                f"{tag!r} is no vernacular of this termbase.",
                where="--vernacular",
                mend=f"Choose among {', '.join(known)}.",
            )
    codes = tuple(code_named(reader, name).id for name in chosen["codes"])
    selection = Selection(
        codes=codes or None,
        drafts=not chosen["ready_only"],
        vernaculars=chosen["vernaculars"] or None,
        quotations=not chosen["no_quotations"],
        figures=not chosen["no_figures"],
        pictures=not chosen["no_pictures"],
        voice=voice_of(chosen["words"] or spoken_language(reader.termbase().working_language)),
    )
    wanted = Conditions(
        topic=chosen["topic"] or "",
        origin=chosen["origin"] or "",
        source=chosen["source"] or "",
        code=codes[0] if codes else "",
        verdict=chosen["verdict"] or "",
    )
    return narrowed(reader, selection, wanted)
