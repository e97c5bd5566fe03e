"""The options of outputs as form fields, and the values submitted for them."""

from collections.abc import Iterable, Mapping, Sequence

from app.catalogues import LANGUAGES
from app.web import context
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.language import interface_language
from exports.options import (
    Choice,
    Flag,
    Folders,
    Line,
    Lines,
    OneOf,
    Option,
    OptionValues,
    SomeOf,
    Value,
    choice_of,
)
from exports.outputs import Output
from termbase.errors import BadInput, Problems
from termbase.rules.clauses import RuleCode

__all__ = ["asked_in", "choices_of", "first_values", "options_of", "refused", "widget_of"]

TICKED = ("yes",)
"""The value of a ticked box."""


def options_of(outputs: Iterable[Output]) -> tuple[Option, ...]:
    """Return the options in the form of these outputs, each once: choices before text fields."""
    by_field = {option.field: option for output in outputs for option in output.options if option.field}
    return tuple(sorted(by_field.values(), key=lambda option: isinstance(option, Line | Lines)))


def choices_of(option: Option) -> Sequence[tuple[str, str]]:
    """Return the choices of an option in a form, value and label; the empty choice first, if there is one."""
    match option:
        case OneOf():
            unset = [("", _(option.unset))] if option.unset else []
            return [*unset, *((each.value, _(each.label)) for each in _known(option))]
        case SomeOf():
            return [(each.value, _(each.label)) for each in _known(option)]
        case Flag():
            return [(each.value, _(each.label)) for each in option.ways]
    return []


def widget_of(option: Option) -> str:
    """Return how an option is shown in a form: `radio`, `boxes`, or a kind of the macro `field`."""
    match option:
        case OneOf():
            return "select" if option.unset or option.supplied else "radio"
        case Flag():
            return "radio" if option.ways else "checkbox"
        case SomeOf():
            return "boxes"
        case Lines():
            return "textarea"
    return "text"


def first_values(options: Iterable[Option]) -> Mapping[str, tuple[str, ...]]:
    """Return the fields with their defaults; the default language is the reader's."""
    return {option.field: _first(option) for option in options}


def asked_in(form: Form, options: Iterable[Option]) -> OptionValues:
    """Return the values of a submitted form.

    Raises:
        BadInput: values are not among the choices, or required choices are missing; lists all of them.
    """
    values: dict[str, Value] = {}
    with Problems() as problems:
        for option in options:
            value = problems.value(None, _asked, form, option)
            if value is not None:
                values[option.name] = value
    return values


def refused(form: Form, error: BadInput, options: Iterable[Option], others: Iterable[Option]) -> Form:
    """Return the forms of a page after an error: one as submitted, the others with their defaults.

    Args:
        form: the submitted form.
        error: what is wrong with it.
        options: options of the submitted form; browsers do not send its unticked boxes.
        others: options of the other forms of the page.
    """
    mine = tuple(options)
    texts = {**first_values(others), **first_values(mine)}
    if form.texts:
        texts |= {option.field: () for option in mine if _is_boxes(option)}
    called = {option.word.lstrip("-"): option.field for option in mine if option.word}
    return Form({**texts, **form.texts}).refused(error, called)


def _known(option: OneOf | SomeOf) -> Sequence[Choice]:
    """Return the choices of an option; rule codes come from the termbase, languages from the program."""
    if option.supplied == "languages":
        return [Choice(tag, name) for tag, name in LANGUAGES.items()]
    if option.supplied == "codes":
        return [Choice(code.id, code.name) for code in context.reader().all(RuleCode)]
    return option.choices


def _first(option: Option) -> tuple[str, ...]:
    match option:
        case Flag(ways=(no, yes)):
            return (yes.value if option.default else no.value,)
        case Flag():
            return TICKED if option.default else ("",)
        case OneOf(supplied="languages"):
            return (interface_language(),)
        case OneOf() | Line():
            return (option.default,)
        case SomeOf():
            return tuple(each.value for each in _known(option))
    return ("",)


def _is_boxes(option: Option) -> bool:
    return isinstance(option, SomeOf) or (isinstance(option, Flag) and not option.ways)


def _asked(form: Form, option: Option) -> Value | None:
    """Return the value of a field; None if nothing was chosen."""
    match option:
        case Flag(ways=(_, yes)):
            return choice_of(option.ways, form.line(option.field), option.field) == yes
        case Flag():
            return bool(form.line(option.field))
        case OneOf():
            return _one(form, option)
        case SomeOf():
            return _some(form, option)
        case Lines():
            return tuple(filter(None, (line.strip() for line in form.text(option.field).splitlines())))
        case Line():
            return form.line(option.field)
        case Folders():  # folders on the user's own machine; only the command line has this option
            return None


def _one(form: Form, option: OneOf) -> Value | None:
    value = form.line(option.field)
    if option.supplied == "languages":
        value = value or interface_language()
    if option.unset and not value:
        return None
    if option.goes == "narrowing":  # the search itself checks these words
        return value
    return choice_of(_known(option), value, option.field).value


def _some(form: Form, option: SomeOf) -> Value | None:
    known = [each.value for each in _known(option)]
    chosen_values = form.all(option.field)
    for value in chosen_values:
        if option.supplied == "codes" and value not in known:
            raise BadInput(
                _("There is no rule code “%(id)s”.", id=value),
                where=option.field,
                fix=_("Choose one of the options shown."),
            )
        choice_of(_known(option), value, option.field)
    if option.needed and not chosen_values:
        what, fix = option.needed
        raise BadInput(what, where=option.field, fix=fix)
    in_order = tuple(value for value in known if value in chosen_values)
    return None if len(in_order) == len(known) else in_order
