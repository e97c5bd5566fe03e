"""Import and download rule codes and profiles as files; an import is all or nothing."""

from flask import Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from app.web import context, uploads
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.rules.codes import all_techniques
from app.web.rules.section import blueprint
from termbase.acts.rules import Collisions, OnCollision, import_codes
from termbase.acts.techniques import import_profiles
from termbase.codes.deeds import Deed
from termbase.errors import BadInput
from termbase.rules.clauses import RuleCode
from termbase.rules.files import read_codes, read_profiles, write_codes, write_profiles
from termbase.tomlfiles import LARGEST, decode_toml

__all__ = ["take_in"]

Page = str | AnyResponse | tuple[str, int]
KINDS = ("codes", "profiles")


@blueprint.get("/import")
def file_form() -> str:
    """Show the form to upload or paste a file."""
    return _form(Form.of(text="", kind=request.args.get("kind", "codes")))


@blueprint.post("/import")
def take_in() -> Page:
    """Import a file of codes or profiles; if any row is bad nothing is imported, and every bad row is
    listed."""
    form = Form.posted()
    try:
        text, name = _uploaded_text(form)
        form = form.with_text("text", text)
        if form.text("kind") == "profiles":
            profiles = read_profiles(text, name)
            with context.act(Deed.NUMBER_OF_TECHNIQUES_TAKEN_IN(n=len(profiles))) as act:
                import_profiles(act, profiles, name)
        else:
            codes = read_codes(text, name)
            with context.act(Deed.NUMBER_OF_RULE_CODES_TAKEN_IN(n=len(codes))) as act:
                import_codes(act, codes, collision=_collision(form), where=name)
    except Collisions as error:
        asked = BadInput(error.what, where="collision", fix=_("Choose below what to do with them."))
        return _form(form.refused(asked)), 400
    except BadInput as error:
        return _form(form.refused(error)), 400
    return context.done(act, url_for("rules.index"))


@blueprint.get("/codes.toml")
def codes_file() -> Response:
    """Download all codes as a file."""
    return _file("rule-codes.toml", write_codes(context.reader().all(RuleCode)))


@blueprint.get("/<code_id>.toml")
def code_file(code_id: str) -> Response:
    """Download one code as a file."""
    code = context.reader().get(RuleCode, code_id)
    return _file(f"rule-code-{code.id}.toml", write_codes([code]))


@blueprint.get("/profiles.toml")
def profiles_file() -> Response:
    """Download every technique's profile as a file."""
    named = all_techniques(context.reader())
    return _file("techniques.toml", write_profiles(named))


def _uploaded_text(form: Form) -> tuple[str, str]:
    """Return the text of the uploaded file or else the pasted text, and its name for errors.

    Raises:
        BadInput: there is neither, or the file is not UTF-8.
    """
    file = uploads.file("file")
    if file and file.filename:
        return decode_toml(file.read(LARGEST + 1), file.filename), file.filename
    if not form.text("text").strip():
        raise BadInput(
            _("There is nothing to import."), where="text", fix=_("Choose a file, or paste its text.")
        )
    return form.text("text"), _("the pasted text")


def _collision(form: Form) -> OnCollision:
    """Return what the form says to do with a code whose id or name another code has."""
    known: dict[str, OnCollision] = {"replace": "replace", "as new": "as new"}
    return known.get(form.text("collision"), "ask")


def _form(form: Form) -> str:
    for name, blank in (("file", ""), ("collision", "ask")):
        if name not in form.texts:
            form = form.with_text(name, blank)
    return render_template("rules/file.html", form=form, kinds=KINDS)


def _file(name: str, text: str) -> Response:
    response = Response(text, content_type="application/toml; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
