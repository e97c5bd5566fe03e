"""The options of outputs, each declared once for the command line and for forms.

An option has a `word` on the command line (`--paper`) and a `field` in a form (`paper`); if one of them is
empty, the option is not offered there. If no value is given, the writer's own default applies; a test checks
that it is the default declared here.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from termbase.fields.closed_lists import chosen

__all__ = [
    "Choice",
    "Flag",
    "Folders",
    "Line",
    "Lines",
    "OneOf",
    "Option",
    "OptionValues",
    "SomeOf",
    "Value",
    "choice_of",
    "texts_of",
]  # fmt: skip

Value = bool | str | tuple[str, ...]
OptionValues = Mapping[str, Value]
"""The values given, by the names of the options."""
Goes = Literal["writer", "selection", "narrowing", "ids"]
"""What a value becomes: an argument of the writer, a part of its `Selection`, a condition that narrows the
selection, or the ids of the entries to write."""


@dataclass(frozen=True)
class Choice:
    """One value of a closed list.

    Attributes:
        value: as typed and submitted.
        label: its name in a form: a message, or a name that is the same in every language.
        endings: file extensions, with their dots; the first is used for files that we name.
    """

    value: str
    label: str = ""
    endings: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class _Option:
    """The attributes that all kinds of options share.

    Attributes:
        name: the writer's parameter name.
        word: the option on the command line, with its dashes.
        help: help text on the command line, English.
        metavar: placeholder for its value in the help.
        field: its name in a form.
        label: its label in the form, a message.
        hint: further explanation, a message.
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
        ways: what a form shows instead of a checkbox: the choice that means no, and the one that means yes.
    """

    default: bool = False
    ways: tuple[Choice, ...] = ()


@dataclass(frozen=True, kw_only=True)
class OneOf(_Option):
    """One value of a closed list.

    Attributes:
        choices: the list.
        default: its value if nothing is given; empty for none.
        unset: the label of the empty choice in a form; empty if a choice is needed.
        supplied: the name of a list used instead of `choices`, which depends on the program (`languages`).
    """

    choices: tuple[Choice, ...] = ()
    default: str = ""
    unset: str = ""
    supplied: str = ""

    @property
    def endings(self) -> dict[str, tuple[str, ...]]:
        """File extensions by value; empty if the choice has none."""
        return {each.value: each.endings for each in self.choices if each.endings}

    def choice(self, value: str) -> Choice:
        """Return the choice with this value.

        Raises:
            BadInput: it does not exist.
        """
        return choice_of(self.choices, value, self.field or self.word)


@dataclass(frozen=True, kw_only=True)
class SomeOf(_Option):
    """Several values of a closed list; all of them if nothing is given.

    Attributes:
        choices: the list.
        supplied: the name of a list used instead of `choices`, which depends on the termbase (`codes`).
        needed: why a form is rejected if nothing is chosen, and how to fix it; None if that is allowed.
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
    """Several texts, such as language tags: the option can be repeated; in a form, one per line."""


@dataclass(frozen=True, kw_only=True)
class Folders(_Option):
    """Folders on this computer; only on the command line."""


Option = Flag | OneOf | SomeOf | Line | Lines | Folders


def choice_of(choices: Iterable[Choice], value: str, where: str) -> Choice:
    """Return the choice with this value.

    Raises:
        BadInput: it is not one of the choices.
    """
    by_value = {each.value: each for each in choices}
    return by_value[chosen(by_value, value, where)]


def texts_of(asked: OptionValues, name: str) -> Sequence[str]:
    """Return the values of an option that has several; empty if it was not given."""
    value = asked.get(name, ())
    return value if isinstance(value, tuple) else ()
