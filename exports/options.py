"""The options of outputs, each declared once for the command line and for forms.

An option has a `word` on the command line (`--paper`) and a `field` in a form (`paper`); where one of them is
empty, the option is not offered there. If no value is given, the writer's own default counts; a test checks
that it is the default declared here.
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
        hint: more about it, a message.
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
    """Yes or no. On the command line its word reverses the default; a form shows a checkbox.

    Attributes:
        default: the value if nothing is given.
        ways: what a form shows in place of a box: the choice that means no, and the one that means yes.
    """

    default: bool = False
    ways: tuple[Choice, ...] = ()


@dataclass(frozen=True, kw_only=True)
class OneOf(_Option):
    """One of a closed list.

    Attributes:
        choices: the list.
        default: its value if nothing is given; empty for none.
        unset: the label of the empty choice in a form; empty if a choice is needed.
        supplied: the name of a list used in place of `choices`, which depends on the program (`languages`).
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
            BadInput: it does not exist.
        """
        return choice_of(self.choices, value, self.field or self.word)


@dataclass(frozen=True, kw_only=True)
class SomeOf(_Option):
    """Several of a closed list; all of them if nothing is given.

    Attributes:
        choices: the list.
        supplied: the name of a list used in place of `choices`, which depends on the termbase (`codes`).
        needed: why a form is refused if nothing is chosen, and what to do; None if that is allowed.
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
    """Several texts, such as tags of languages: the word can be repeated; in a form, one per line."""


@dataclass(frozen=True, kw_only=True)
class Folders(_Option):
    """Folders on this machine; only on the command line."""


Option = Flag | OneOf | SomeOf | Line | Lines | Folders


def choice_of(choices: Iterable[Choice], value: str, where: str) -> Choice:
    """The choice of this value.

    Raises:
        BadInput: it is not one of the choices.
    """
    by_value = {each.value: each for each in choices}
    return by_value[chosen(by_value, value, where)]


def texts_of(asked: Asked, name: str) -> Sequence[str]:
    """The values of an option that has several; empty if it was not given."""
    value = asked.get(name, ())
    return value if isinstance(value, tuple) else ()
