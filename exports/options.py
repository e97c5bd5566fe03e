"""What can be asked of an output: options, each declared once for the command line and for forms.

An option has a `word` on the command line (`--paper`) and a `field` in a form (`paper`); where one of them is
empty, that face does not ask it. A value that was not given is not among those asked, and the writer's own
default counts, which a test holds equal to the one said here.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from termbase.closedlists import chosen

__all__ = [
    "Asked", "Choice", "Flag", "Folders", "Line", "Lines", "OneOf", "Option", "SomeOf", "Value", "choice_of",
    "texts_of",
]  # fmt: skip

Value = bool | str | tuple[str, ...]
Asked = Mapping[str, Value]
"""What was asked, by the names of the options."""
Goes = Literal["writer", "selection", "narrowing", "ids"]
"""What a value becomes: an argument of the writer, a part of the `Selection` that it is given, a condition
that the selection is narrowed to, or the ids of the entries that it writes."""


@dataclass(frozen=True)
class Choice:
    """One value of a closed list.

    Attributes:
        value: as it is typed and sent.
        label: what a form calls it: a message, or a name that is the same in every language.
        endings: what the names of such files end in, each with its dot; the first is that of files we name.
    """

    value: str
    label: str = ""
    endings: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class _Option:
    """What all kinds of option have.

    Attributes:
        name: what the writer calls it.
        word: on the command line, with its strokes.
        help: what the command line says of it, English.
        metavar: what stands for its value in the help.
        field: what it is called in a form.
        label: what the form says of it, a message.
        hint: what it says more, a message.
        goes: what the value becomes.
    """

    name: str
    word: str = ""
    help: str = ""
    metavar: str = ""
    field: str = ""
    label: str = ""
    hint: str = ""
    goes: Goes = "writer"


@dataclass(frozen=True, kw_only=True)
class Flag(_Option):
    """Yes or no. Its word on the command line turns the default over; a form shows a box to tick.

    Attributes:
        default: what holds where nothing is said.
        ways: what a form shows in place of a box: the choice that means no, and the one that means yes.
    """

    default: bool = False
    ways: tuple[Choice, ...] = ()


@dataclass(frozen=True, kw_only=True)
class OneOf(_Option):
    """One of a closed list.

    Attributes:
        choices: the list.
        default: its value where nothing is said; empty for none.
        unset: what a form calls no choice; empty where there has to be one.
        supplied: the name of a list that only a face knows (`languages`), in place of `choices`.
    """

    choices: tuple[Choice, ...] = ()
    default: str = ""
    unset: str = ""
    supplied: str = ""

    @property
    def endings(self) -> dict[str, tuple[str, ...]]:
        """What the names of files end in, by value; empty where the choice tells no ending."""
        return {one.value: one.endings for one in self.choices if one.endings}

    def choice(self, value: str) -> Choice:
        """The choice of this value.

        Raises:
            BadInput: there is none.
        """
        return choice_of(self.choices, value, self.field or self.word)


@dataclass(frozen=True, kw_only=True)
class SomeOf(_Option):
    """Several of a closed list; all of them where nothing is said.

    Attributes:
        choices: the list.
        supplied: the name of a list that only a face knows (`codes`), in place of `choices`.
        needed: why a form is refused in which none is chosen, and what to do; nothing where none will do.
    """

    choices: tuple[Choice, ...] = ()
    supplied: str = ""
    needed: tuple[str, str] | None = None


@dataclass(frozen=True, kw_only=True)
class Line(_Option):
    """A line of text."""

    default: str = ""


@dataclass(frozen=True, kw_only=True)
class Lines(_Option):
    """Several texts, such as tags of languages: the word is given again for each; in a form one to a line."""


@dataclass(frozen=True, kw_only=True)
class Folders(_Option):
    """Folders on this machine; only the command line asks for them."""


Option = Flag | OneOf | SomeOf | Line | Lines | Folders


def choice_of(choices: Iterable[Choice], value: str, where: str) -> Choice:
    """The choice of this value.

    Raises:
        BadInput: it is none of the choices.
    """
    by_value = {each.value: each for each in choices}
    return by_value[chosen(by_value, value, where)]


def texts_of(asked: Asked, name: str) -> Sequence[str]:
    """The values of an option that has several; none where it was not asked."""
    value = asked.get(name, ())
    return value if isinstance(value, tuple) else ()
