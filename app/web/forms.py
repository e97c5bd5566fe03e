"""Forms that keep what was typed, with each error beside its field.

A view creates a `Form` from the request, runs its act, and on `BadInput` shows the same template again::

    form = Form.posted()
    try:
        with context.act(Deed.SOURCE_CHANGED(label=label)) as act:
            ...
    except BadInput as error:
        return render_template("source_form.html", form=form.refused(error)), 400

`BadInput.where` is the field's name if the error is about one field; another name can be mapped to it, and
errors of no field are shown at the top of the form. The macro `field(form, name, label)` renders all this.

A record's form carries its version in a hidden field. On `Conflict` the view shows the form again with status
409, `against(Form.of(...the current record...), error)`: both values are shown, and the person decides.

The summary at the top of a rejected form lists every error, each with a link to its field. It comes before
the fields, but only they know their labels. So the top of the form leaves a placeholder, each field records
its label while it is rendered, and the summary is inserted at the end.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final
from unicodedata import normalize

from flask import Flask, g, has_app_context, render_template, request
from markupsafe import Markup
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response

from app.web.addresses import MOST_DIGITS, whole_number
from app.web.context import DRAFT_FIELD
from app.web.language import gettext as _
from termbase.errors import BadInput, WordholdError
from termbase.fields.declarations import Path
from termbase.messages import joined

__all__ = ["Form", "error_text", "init_app"]


CHOSEN: Final = "choose-"
"""Prefix of the name of a choice offered beside a field's error."""


@dataclass(frozen=True)
class Form:
    """The values of a form by field name, and its errors.

    Attributes:
        texts: the values of each field, in order.
        errors: one error per field; the error of the whole form has the empty name.
        beside: the record's current values, by field, where somebody else has changed them.
        chosen: fields whose value was chosen from those offered beside an error.
        further: further errors of the whole form, also shown in the summary.
    """

    texts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    errors: Mapping[str, WordholdError] = field(default_factory=dict)
    beside: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    chosen: frozenset[str] = frozenset()
    further: tuple[WordholdError, ...] = ()

    @classmethod
    def posted(cls) -> "Form":
        """Return the submitted form, normalised to NFC with LF line ends."""
        return cls._sent(request.form)

    @classmethod
    def asked(cls) -> "Form":
        """Return the query parameters of the address, for a form that changes nothing."""
        return cls._sent(request.args)

    @classmethod
    def _sent(cls, sent: MultiDict[str, str]) -> "Form":
        """Replace typed text by the choice offered beside its error (`choose-entry`)."""
        texts = {
            name: tuple(_clean(v) for v in values) for name, values in sent.lists() if name != DRAFT_FIELD
        }
        chosen = {name.removeprefix(CHOSEN): v for name, v in texts.items() if name.startswith(CHOSEN)}
        typed = {name: v for name, v in texts.items() if not name.startswith(CHOSEN)}
        return cls(typed | chosen, chosen=frozenset(chosen))

    @classmethod
    def of(cls, **values: object) -> "Form":
        """Return a form filled from the record; tuples give several values, None an empty field."""
        return cls({name: _texts(value) for name, value in values.items()})

    def text(self, name: str) -> str:
        """Return the first value of a field as typed; empty if it has none."""
        return self.texts.get(name, ("",))[0] if self.texts.get(name) else ""

    def line(self, name: str) -> str:
        """Return the value of a one-line field, stripped."""
        return self.text(name).strip()

    def all(self, name: str) -> tuple[str, ...]:
        """Return all values of a field."""
        return self.texts.get(name, ())

    def nth(self, name: str, n: int) -> str:
        """Return the value of a repeated field in row `n`, from 0; empty if there are fewer rows."""
        values = self.all(name)
        return values[n] if n < len(values) else ""

    def number(self, name: str) -> int:
        """Return a whole number, such as the version of the record that the form was made from.

        Raises:
            BadInput: it is not a whole number.
        """
        text = self.line(name)
        number = whole_number(text)
        if number is None:
            raise BadInput(
                _("“%(typed)s” is not a whole number.", typed=text[:MOST_DIGITS]),
                where=name,
                fix=_("Use digits only."),
            )
        return number

    def error(self, name: str = "") -> WordholdError | None:
        """Return the error of a field or, without a name, of the whole form."""
        return self.errors.get(name)

    def refused(
        self,
        error: WordholdError,
        at: Mapping[str, str] | None = None,
        *,
        under: Path = (),
        called: Mapping[str, str] | None = None,
    ) -> "Form":
        """Return the same form with its errors: one, or all that were found at once.

        Args:
            error: the error; its `path` gives the field, else its `where`, which is looked up in `at`,
                then among the fields.
            at: field names by `where`, for errors that use another name for the field.
            under: the path of this form's record within the whole record.
            called: input names by field of the record; they are inputs even if nothing was sent for them.
        """
        _tell_page()
        errors, further = dict(self.errors), list(self.further)
        for problem in error.every if isinstance(error, BadInput) else (error,):
            inputs = {*self.texts, *(at or {}).values(), *(called or {}).values()}
            by_path = _named_by(problem, under, called or {})
            named = by_path if by_path in inputs else (at or {}).get(problem.where, problem.where)
            known = named in inputs
            place = named if known and named != "version" else ""  # a hidden field cannot show an error
            if place not in errors:
                errors[place] = problem
            elif not place and problem is not errors[place]:
                further.append(problem)
        return replace(self, errors=errors, further=tuple(further))

    def against(self, now: "Form", error: WordholdError) -> "Form":
        """Return the same form after a `Conflict`: every field that differs also shows the current value.

        The version is taken from `now`, so that saving again overwrites what the person has seen.
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
        """Return the same form with different values in one field."""
        return replace(self, texts={**self.texts, name: texts})


def _named_by(error: WordholdError, under: Path, called: Mapping[str, str]) -> str:
    """Return the field that the error's path points to; empty if it is not in this record."""
    path = error.path if isinstance(error, BadInput) else ()
    if path[: len(under)] != under or len(path) != len(under) + 1:
        return ""
    return called.get(str(path[-1]), str(path[-1]))


def _tell_page() -> None:
    """Make the page title say that a form on it was rejected."""
    if has_app_context():
        g.form_refused = True


def error_text(error: WordholdError) -> str:
    """Return the text of an error after its place, to show it beside a field (`names.csv, line 3: ...`)."""
    return joined((error.where, error.what), ": ")


def _clean(text: str) -> str:
    return normalize("NFC", text).replace("\r\n", "\n").replace("\r", "\n")


def _texts(value: object) -> tuple[str, ...]:
    if value is None:
        return ()
    if isinstance(value, (tuple, list)):
        return tuple(str(v) for v in value)
    return (str(value),)


@dataclass
class _Rendered:
    """A rejected form, as far as it is rendered."""

    form: Form
    labels: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class SummaryError:
    """An error in the summary: the field it links to and its label; both empty for the whole form."""

    field: str
    label: str
    error: WordholdError


def init_app(app: Flask) -> None:
    """Give templates `summary_place`, `labelled` and `form_refused`, and insert the summaries."""
    app.jinja_env.globals.update(
        summary_place=summary_place, labelled=labelled, form_refused=lambda: bool(g.get("form_refused"))
    )

    @app.after_request
    def insert_summaries(response: Response) -> Response:
        rendered: list[_Rendered] = g.get("refused_forms", [])
        if rendered and response.mimetype == "text/html" and not response.is_streamed:
            text = response.get_data(as_text=True)
            for number, refused in enumerate(rendered):
                text = text.replace(
                    _mark(number), render_template("summary.html", errors=_errors_of(refused))
                )
            response.set_data(text)
        return response


def summary_place(form: Form) -> Markup:
    """Return the placeholder for a form's summary; empty if the form has no errors."""
    if not form.errors:
        return Markup("")
    rendered: list[_Rendered] = g.setdefault("refused_forms", [])
    rendered.append(_Rendered(form))
    return Markup(_mark(len(rendered) - 1))


def labelled(form: Form, name: str, label: str) -> str:
    """Record the label of a field that shows its own error."""
    for rendered in g.get("refused_forms", ()):
        if rendered.form is form:
            rendered.labels.setdefault(name, label)
    return ""


def _mark(number: int) -> str:
    return f"<!--errors of form {number}-->"


def _errors_of(rendered: _Rendered) -> list[SummaryError]:
    """Return the errors in the order of the fields; errors of the whole form come first."""
    form, labels = rendered.form, rendered.labels
    every = [*form.errors.items(), *(("", error) for error in form.further)]
    order = {name: n for n, name in enumerate(labels, 1)}
    every.sort(key=lambda pair: order.get(pair[0], 0))
    return [
        SummaryError(name if name in labels else "", labels.get(name, ""), error) for name, error in every
    ]
