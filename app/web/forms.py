"""Forms that give back what was typed, with each error beside its field.

A view makes a `Form` from the request, does its act, and on `BadInput` shows the same template again::

    form = Form.posted()
    try:
        with act(Deed.SOURCE_CHANGED(label=label)) as doing:
            ...
    except BadInput as error:
        return render_template("source_form.html", form=form.refused(error)), 400

`BadInput.where` is the field's name where the error is about one field; another name can be mapped to it, and
what fits no field stands at the head of the form. The macro `field(form, name, label)` shows all of it.

A record's form carries its version in a hidden field. On `Conflict` the view shows the form again with status
409, `against(Form.of(...the record as it is now...), error)`: both stand there, and the person decides.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final
from unicodedata import normalize

from flask import g, has_app_context, request
from werkzeug.datastructures import MultiDict

from app.web.addresses import MOST_DIGITS, whole_number
from app.web.context import DRAFT_FIELD
from app.web.language import gettext as _
from termbase.errors import BadInput, WordholdError
from termbase.fields import Path
from termbase.messages import joined

__all__ = ["Form", "placed"]


CHOSEN: Final = "choose-"
"""Begins the name of a choice that is offered for a field beside its error."""


@dataclass(frozen=True)
class Form:
    """What stands in a form, by field name, and what is wrong with it.

    Attributes:
        texts: the values of each field, in order.
        errors: one error per field; under the empty name the error of the whole form.
        beside: what stands in the record now, by field, where somebody else changed it meanwhile.
        chosen: fields whose value was chosen among those offered beside an error.
        further: further errors of the whole form; the summary tells them too.
    """

    texts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    errors: Mapping[str, WordholdError] = field(default_factory=dict)
    beside: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    chosen: frozenset[str] = frozenset()
    further: tuple[WordholdError, ...] = ()

    @classmethod
    def posted(cls) -> "Form":
        """What the browser sent, as NFC with plain line ends."""
        return cls._sent(request.form)

    @classmethod
    def asked(cls) -> "Form":
        """What stands in the address, for a form that changes nothing."""
        return cls._sent(request.args)

    @classmethod
    def _sent(cls, sent: MultiDict[str, str]) -> "Form":
        """A choice that was offered beside an error (`choose-entry`) stands for what was typed there."""
        texts = {
            name: tuple(_clean(v) for v in values) for name, values in sent.lists() if name != DRAFT_FIELD
        }
        chosen = {name.removeprefix(CHOSEN): v for name, v in texts.items() if name.startswith(CHOSEN)}
        typed = {name: v for name, v in texts.items() if not name.startswith(CHOSEN)}
        return cls(typed | chosen, chosen=frozenset(chosen))

    @classmethod
    def of(cls, **values: object) -> "Form":
        """A form filled from the record; tuples give several values, None an empty field."""
        return cls({name: _texts(value) for name, value in values.items()})

    def text(self, name: str) -> str:
        """The first value of a field as typed; empty when it has none."""
        return self.texts.get(name, ("",))[0] if self.texts.get(name) else ""

    def line(self, name: str) -> str:
        """The value of a one-line field, without spaces at its ends."""
        return self.text(name).strip()

    def all(self, name: str) -> tuple[str, ...]:
        """All values of a field."""
        return self.texts.get(name, ())

    def nth(self, name: str, n: int) -> str:
        """The value of a repeated field in row `n`, from 0; empty where a request has fewer of it."""
        values = self.all(name)
        return values[n] if n < len(values) else ""

    def number(self, name: str) -> int:
        """A whole number, such as the version of the record that the form was made from.

        Raises:
            BadInput: it is none.
        """
        text = self.line(name)
        number = whole_number(text)
        if number is None:
            raise BadInput(
                _("“%(typed)s” is not a whole number.", typed=text[:MOST_DIGITS]),
                where=name,
                mend=_("Use digits only."),
            )
        return number

    def error(self, name: str = "") -> WordholdError | None:
        """The error of a field; without a name, of the whole form."""
        return self.errors.get(name)

    def refused(
        self,
        error: WordholdError,
        at: Mapping[str, str] | None = None,
        *,
        under: Path = (),
        called: Mapping[str, str] | None = None,
    ) -> "Form":
        """The same form with what is wrong: one error, or all that were found in one go.

        Args:
            error: what is wrong; its `path` says which field, else its `where`, which is looked up in `at`,
                then among the fields.
            at: names of fields by `where`, for errors that call the field otherwise.
            under: where the record of this form stands in the whole record.
            called: names of inputs by fields of the record; they are there though the form sent none of them.
        """
        _tell_page()
        errors, further = dict(self.errors), list(self.further)
        for one in error.every if isinstance(error, BadInput) else (error,):
            inputs = {*self.texts, *(at or {}).values(), *(called or {}).values()}
            by_path = _named_by(one, under, called or {})
            named = by_path if by_path in inputs else (at or {}).get(one.where, one.where)
            known = named in inputs
            place = named if known and named != "version" else ""  # a hidden field shows no error
            if place not in errors:
                errors[place] = one
            elif not place and one is not errors[place]:
                further.append(one)
        return replace(self, errors=errors, further=tuple(further))

    def against(self, now: "Form", error: WordholdError) -> "Form":
        """The same form after a `Conflict`: every field that differs shows what stands in the record now.

        The version is taken from `now`, so that saving once more is a decision over what was seen.
        """
        differing = {
            name: texts
            for name, texts in now.texts.items()
            if name != "version" and texts != self.texts.get(name, ())
        }
        _tell_page()
        taken = {"version": now.texts["version"]} if "version" in now.texts else {}
        return replace(
            self, texts={**self.texts, **taken}, errors={**self.errors, "": error}, beside=differing
        )

    def with_text(self, name: str, *texts: str) -> "Form":
        """The same form with other values in one field."""
        return replace(self, texts={**self.texts, name: texts})


def _named_by(error: WordholdError, under: Path, called: Mapping[str, str]) -> str:
    """The field that an error means by its path; empty where it means none of this record."""
    path = error.path if isinstance(error, BadInput) else ()
    if path[: len(under)] != under or len(path) != len(under) + 1:
        return ""
    return called.get(str(path[-1]), str(path[-1]))


def _tell_page() -> None:
    """Have the title of the page say that a form on it was refused."""
    if has_app_context():
        g.form_refused = True


def placed(error: WordholdError) -> str:
    """What is wrong, after its place: for an error shown beside a field (`names.csv, line 3: ...`)."""
    return joined((error.where, error.what), ": ")


def _clean(text: str) -> str:
    return normalize("NFC", text).replace("\r\n", "\n").replace("\r", "\n")


def _texts(value: object) -> tuple[str, ...]:
    if value is None:
        return ()
    if isinstance(value, (tuple, list)):
        return tuple(str(v) for v in value)
    return (str(value),)
