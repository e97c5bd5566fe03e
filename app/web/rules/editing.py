"""Edit a code as a page of questions, and preview which verdicts would change."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from flask import Response as JsonResponse
from flask import jsonify, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context, language
from app.web.addresses import whole_number
from app.web.forms import Form
from app.web.language import clause_words
from app.web.language import gettext as _
from app.web.recordforms import RecordForm
from app.web.rules.codes import all_techniques, code_page
from app.web.rules.section import blueprint
from termbase.acts.rules import remove_code, save_code
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict, InUse, Problems
from termbase.messages import joined
from termbase.overviews.matrix import VerdictChange, changed_verdicts
from termbase.record.sources import Source
from termbase.rules.clauses import FAMILIES, AnyClause, Family, RuleCode, family, years_of
from termbase.rules.consistency import contradictions
from termbase.rules.questions import QUESTIONS, Question, answers_of, clause_of

__all__ = ["FORM", "Block"]

Page = str | Response | tuple[str, int]
FORM = RecordForm(RuleCode, between={"sources": "\n"})
"""The form of a code's own fields; its clauses are read from their questions."""


@dataclass(frozen=True)
class Block:
    """One clause in the form: the number before its fields, its family and questions."""

    number: str
    family: Family
    questions: tuple[Question, ...]


@blueprint.get("/new")
def new() -> str:
    """Show the questions of a new code, all unanswered."""
    return _form(code_form(RuleCode("", request.args.get("name", ""))), None)


@blueprint.post("/new")
def add() -> Page:
    """Add a code, or add a clause to its form."""
    return _posted(None)


@blueprint.post("/said")
def said() -> JsonResponse:
    """Return what each clause in the form means, by its number, as JSON; nothing is saved."""
    return jsonify(_clause_texts(Form.posted()))


@blueprint.get("/<code_id>/edit")
def edit(code_id: str) -> str:
    """Show the questions of a code with its answers."""
    code = context.reader().get(RuleCode, code_id)
    return _form(code_form(code), code)


@blueprint.post("/<code_id>/edit")
def change(code_id: str) -> Page:
    """Save a code, preview which verdicts would change, or add a clause to its form."""
    return _posted(context.reader().get(RuleCode, code_id))


@blueprint.post("/<code_id>/remove")
def remove(code_id: str) -> Page:
    """Delete a code, unless trials or rulings use it."""
    code = context.reader().get(RuleCode, code_id)
    try:
        with context.act(Deed.RULE_CODE_REMOVED(name=code.name)) as act:
            remove_code(act, code_id)
    except InUse as error:
        return code_page(code_id, error), 409
    return context.done(act, url_for("rules.index"))


def _posted(before: RuleCode | None) -> Page:
    form = Form.posted()
    asked = form.text("do")
    if asked.startswith("add "):
        return _form(_with_block(form, asked.removeprefix("add ")), before)
    if asked == "again":
        return _form(form, before)  # a draft restored: all its clauses, nothing saved
    problems = Problems()
    code, form = _read(form, before, problems)
    try:
        if asked == "try":
            problems.check()
            return _preview(form, before, code)
        deed = Deed.RULE_CODE_CHANGED if before else Deed.RULE_CODE_ADDED
        with context.act(deed(name=code.name)) as act, problems:
            saved = save_code(act, code)
    except BadInput as error:
        return _form(FORM.refused(form, error), before), 400
    except Conflict as error:
        now = context.reader().get(RuleCode, code.id)
        return _form(form.against(code_form(now), error), now), 409
    return context.done(act, url_for("rules.show", code_id=saved.id))


def _preview(form: Form, before: RuleCode | None, found: RuleCode) -> Page:
    try:
        years_of(found.period)
    except BadInput as error:
        return _form(form.refused(BadInput(error.what, where="period", fix=error.fix)), before), 400
    old = before or RuleCode("", found.name)
    return _form(
        form, before, tried=found, turns=changed_verdicts(all_techniques(context.reader()), old, found)
    )


def code_form(code: RuleCode) -> Form:
    """Fill the form from a code; fields of clause n begin with `n.`"""
    values = FORM.filled(code)
    values["blocks"] = tuple(f"{n} {family(clause)}" for n, clause in enumerate(code.clauses))
    for n, clause in enumerate(code.clauses):
        values[f"{n}.id"] = clause.id
        values |= {f"{n}.{path}": _as_typed(path, texts) for path, texts in _answered(clause).items()}
    return Form.of(**values)


def _answered(clause: AnyClause) -> dict[str, tuple[str, ...]]:
    silent: dict[str, tuple[str, ...]] = {q.path: () for q in QUESTIONS[family(clause)]}
    return silent | answers_of(clause)


def _as_typed(path: str, texts: tuple[str, ...]) -> tuple[str, ...]:
    if path == "parts" and texts:
        return (", ".join(_(text) for text in texts),)
    return ("\n".join(texts),) if path in {"sources", "names"} and texts else texts


def _answers(form: Form, block: Block) -> dict[str, tuple[str, ...]]:
    """Return the answers of one clause in the form, in the words of the record."""
    return {
        q.path: tuple(_own_words(q, text) for text in form.all(f"{block.number}.{q.path}"))
        for q in block.questions
    }


def _own_words(question: Question, text: str) -> str:
    """Return an answer in the words of the record; it may be typed in the reader's language."""
    if question.kind != "list" or not question.values:
        return text
    words = {_(value).casefold(): value for value in question.values}
    typed = (part.strip() for part in text.replace("\n", ",").split(","))
    return ", ".join(words.get(part.casefold(), part) for part in typed)


def _blocks(form: Form) -> Iterator[Block]:
    """Yield the clauses in the form, in order; unknown families are left out."""
    for text in form.all("blocks"):
        number, _space, name = text.partition(" ")
        for known in FAMILIES:
            if known == name and whole_number(number) is not None:
                yield Block(number, known, QUESTIONS[known])


def _with_block(form: Form, name: str) -> Form:
    """Return the form with one more clause of a family, with its own number."""
    if name not in FAMILIES:
        return form
    taken = [int(block.number) for block in _blocks(form)]
    number = max(taken, default=-1) + 1
    ids = {form.line(f"{n}.id") for n in taken}
    own = next(str(n) for n in range(len(taken) + 1, len(taken) + len(ids) + 2) if str(n) not in ids)
    added = form.with_text("blocks", *form.all("blocks"), f"{number} {name}")
    return added.with_text(f"{number}.id", own).with_text("added", str(number))


def _read(form: Form, before: RuleCode | None, problems: Problems) -> tuple[RuleCode, Form]:
    """Return the code in the form, and the form with a field for every problem collected in `problems`."""
    clauses: list[AnyClause] = []
    for block in sorted(_blocks(form), key=lambda block: int(block.number)):  # in the order of the code
        if form.text(f"{block.number}.out"):
            continue
        try:
            clauses.append(clause_of(block.family, form.line(f"{block.number}.id"), _answers(form, block)))
        except BadInput as error:
            name = f"{block.number}.{error.where}"
            form = form if name in form.texts else form.with_text(name)
            problems.add(BadInput(error.what, where=name, fix=error.fix))
    return replace(FORM.read(form, before or RuleCode("", ""), problems), clauses=tuple(clauses)), form


def _clause_texts(form: Form) -> dict[str, str]:
    """Return the sentence for each clause in the form, by its number, or its error if it is not valid yet."""
    found = {}
    for block in _blocks(form):
        try:
            clause = clause_of(block.family, form.line(f"{block.number}.id"), _answers(form, block))
            found[block.number] = clause_words(clause)
        except BadInput as error:
            found[block.number] = language.translated(joined((error.what, error.fix)))
    return found


def _form(
    form: Form, code: RuleCode | None, tried: RuleCode | None = None, turns: tuple[VerdictChange, ...] = ()
) -> str:
    blocks = list(_blocks(form))
    sources = context.reader().all(Source)
    return render_template(
        "rules/edit.html",
        form=form,
        code=code,
        grouped=[(name, [b for b in blocks if b.family == name]) for name in FAMILIES],
        said=_clause_texts(form),
        added=form.text("added"),
        tried=tried,
        turns=turns,
        contradictions=contradictions(tried) if tried else (),
        source_hints=[f"{s.id}: {s.label}" for s in sources],
        unanswered=_("silent"),
    )
