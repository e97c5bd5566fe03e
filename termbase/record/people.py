"""The termbase itself and the people who work on it."""

from dataclasses import KW_ONLY, dataclass
from enum import StrEnum
from typing import Annotated

from termbase.fields.declarations import VERSION, Block, Count, Data, Id, Language, Line, Lines, Members

__all__ = ["CAUTIONS", "UNNAMED", "Image", "Person", "Role", "Termbase"]

CAUTIONS = (
    "Throws and trips can injure neck, spine, head and joints. Try them only with a qualified coach, on "
    "mats, between willing partners of like size, with breakfalls learnt first. Within the rules does not "
    "mean safe. Local law, your federation's rules and medical advice come before anything here."
)
"""Shown wherever a technique can be tried or is printed."""


class Role(StrEnum):
    """A person's role in the project."""

    RESEARCHER = "researcher"
    SPEAKER = "speaker"
    COACH = "coach"


@dataclass(frozen=True)
class Person:
    """A person who works on the termbase: `p1`, name, roles."""

    id: Annotated[str, Id(bookkeeping=True)]
    name: Annotated[str, Line(needed=True, title=True)]
    _: KW_ONLY
    roles: Annotated[tuple[Role, ...], Members("role", back="replaces")] = ()
    version: Annotated[int, VERSION] = 0


UNNAMED = "Untitled termbase"
"""The title of a termbase without a name."""


@dataclass(frozen=True)
class Termbase:
    """The termbase's own data: title, working language, vernaculars (BCP 47), licence, rights.

    `notice` is printed on every page and export (the demo says there that it is invented).
    """

    title: Annotated[str, Line(needed=True, title=True)]
    _: KW_ONLY
    working_language: Annotated[str, Language(needed=True)] = "en"
    vernaculars: Annotated[tuple[str, ...], Lines(language=True)] = ()
    licence: Annotated[str, Line()] = ""
    rights: Annotated[str, Block()] = ""
    notice: Annotated[str, Block()] = ""
    id: Annotated[str, Id(bookkeeping=True)] = "termbase"
    version: Annotated[int, VERSION] = 0

    @property
    def languages(self) -> tuple[str, ...]:
        """The working language, then the vernaculars."""
        return (self.working_language, *self.vernaculars)


@dataclass(frozen=True)
class Image:
    """A picture kept in the termbase. `id` is the first 16 hex digits of its SHA-256; sizes in pixels."""

    id: Annotated[str, Id(bookkeeping=True)]
    media_type: Annotated[str, Line()]
    width: Annotated[int, Count()]
    height: Annotated[int, Count()]
    data: Annotated[bytes, Data(bookkeeping=True)]
