"""The summary at the top of a rejected form: every error, each with a link to its field.

The summary comes before the fields, but only the fields know their labels. So the top of the form leaves a
placeholder, each field records its label while it is rendered, and the summary is inserted at the end.
"""

from dataclasses import dataclass, field

from flask import Flask, g, render_template
from markupsafe import Markup
from werkzeug.wrappers import Response

from app.web.forms import Form
from termbase.errors import WordholdError

__all__ = ["init_app"]


@dataclass
class _Drawn:
    """A rejected form, as far as it is rendered."""

    form: Form
    labels: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class SummaryError:
    """One error in the summary: the field it links to and the field's label; empty for the whole form."""

    field: str
    label: str
    error: WordholdError


def init_app(app: Flask) -> None:
    """Give templates `summary_place`, `with_other_styles` and `form_refused`, and insert the summaries."""
    app.jinja_env.globals.update(
        summary_place=summary_place, labelled=labelled, form_refused=lambda: bool(g.get("form_refused"))
    )

    @app.after_request
    def put_in(response: Response) -> Response:
        drawn: list[_Drawn] = g.get("refused_forms", [])
        if drawn and response.mimetype == "text/html" and not response.is_streamed:
            text = response.get_data(as_text=True)
            for number, refused in enumerate(drawn):
                text = text.replace(
                    _mark(number), render_template("summary.html", errors=_errors_of(refused))
                )
            response.set_data(text)
        return response


def summary_place(form: Form) -> Markup:
    """Return the placeholder for a form's summary; empty if the form has no errors."""
    if not form.errors:
        return Markup("")
    drawn: list[_Drawn] = g.setdefault("refused_forms", [])
    drawn.append(_Drawn(form))
    return Markup(_mark(len(drawn) - 1))


def labelled(form: Form, name: str, label: str) -> str:
    """Record the label of a field that shows its own error."""
    for drawn in g.get("refused_forms", ()):
        if drawn.form is form:
            drawn.labels.setdefault(name, label)
    return ""


def _mark(number: int) -> str:
    return f"<!--errors of form {number}-->"


def _errors_of(drawn: _Drawn) -> list[SummaryError]:
    """Return the errors in the order of the fields; errors of the whole form come first."""
    form, labels = drawn.form, drawn.labels
    every = [*form.errors.items(), *(("", error) for error in form.further)]
    order = {name: n for n, name in enumerate(labels, 1)}
    every.sort(key=lambda pair: order.get(pair[0], 0))
    return [
        SummaryError(name if name in labels else "", labels.get(name, ""), error) for name, error in every
    ]
