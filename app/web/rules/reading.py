"""Show a rule code, and which verdicts would change if clauses were struck out."""

from dataclasses import replace

from flask import render_template, request

from app.web import context
from app.web.rules.section import blueprint
from termbase.overviews.matrix import VerdictChange, changed_verdicts, techniques
from termbase.record.sources import Source
from termbase.rules.clauses import RuleCode
from termbase.rules.consistency import contradictions
from termbase.store.caching import remembered
from termbase.store.reading import Reader
from termbase.technique.profile import NamedProfile

__all__ = ["all_techniques", "code_page"]


@blueprint.get("/<code_id>")
def show(code_id: str) -> str:
    """Show what each clause of a code says, its source and limits; the address names clauses struck out."""
    return code_page(code_id)


def code_page(code_id: str, error: Exception | None = None) -> str:
    """Render the page of a code, with an error if there is one.

    Raises:
        NotFound: there is no such code.
    """
    reader = context.reader()
    code = reader.get(RuleCode, code_id)
    known = {clause.id for clause in code.clauses}
    off = frozenset(request.args.getlist("off")) & known
    return render_template(
        "rules/code.html",
        code=code,
        others=tuple(c for c in reader.all(RuleCode) if c.id != code.id),
        sources={s.id: s for s in reader.all(Source)},
        contradictions=contradictions(code),
        off=off,
        turns=_without(reader, code, off) if off else (),
        error=error,
    )


def all_techniques(reader: Reader) -> tuple[NamedProfile, ...]:
    """Every technique of the record with its names, in the order of the working language."""
    tag = reader.termbase().working_language
    return remembered(reader, ("techniques", tag), lambda r: techniques(r, tag))


def _without(reader: Reader, code: RuleCode, off: frozenset[str]) -> tuple[VerdictChange, ...]:
    left = tuple(clause for clause in code.clauses if clause.id not in off)
    return changed_verdicts(all_techniques(reader), code, replace(code, clauses=left))
