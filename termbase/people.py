"""The termbase itself and the people who work on it."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["CAUTIONS", "UNNAMED", "Image", "Person", "Role", "Termbase"]

CAUTIONS = (
    "Throws and trips can injure neck, spine, head and joints. Try them only with a qualified coach, on "
    "mats, between willing partners of like size, with breakfalls learnt first. Within the rules does not "
    "mean safe. Local law, your federation's rules and medical advice come before anything here."
)
"""Shown wherever a technique can be tried or is printed."""


class Role(StrEnum):
    """What a person does here."""

    RESEARCHER = "researcher"
    SPEAKER = "speaker"
    COACH = "coach"


@dataclass(frozen=True)
class Person:
    """Somebody who works on the termbase: `p1`, name, roles."""

    id: str
    name: str
    roles: tuple[Role, ...] = ()
    version: int = 0


UNNAMED = "Untitled termbase"
"""The title of a termbase that nobody has named yet."""


@dataclass(frozen=True)
class Termbase:
    """What the whole is: title, working language, vernaculars (BCP 47), licence, rights.

    `notice` is printed on every page and export (the demo says there that it is invented).
    """

    title: str
    working_language: str = "en"
    vernaculars: tuple[str, ...] = ()
    licence: str = ""
    rights: str = ""
    notice: str = ""
    id: str = "termbase"
    version: int = 0


@dataclass(frozen=True)
class Image:
    """A picture kept in the termbase. `id` is the first 16 hex digits of its SHA-256; sizes in pixels."""

    id: str
    media_type: str
    width: int
    height: int
    data: bytes
