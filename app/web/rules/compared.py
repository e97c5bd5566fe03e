"""Show two rule codes side by side."""

from flask import render_template, request

from app.web import context
from app.web.rules.reading import all_techniques
from app.web.rules.section import blueprint
from termbase.overviews.matrix import changed_verdicts
from termbase.record.sources import Source
from termbase.rulecodes.comparing import compare
from termbase.rules.clauses import RuleCode

__all__ = ["side_by_side"]


@blueprint.get("/compare")
def side_by_side() -> str:
    """Show two codes family by family, and the techniques they judge differently."""
    reader = context.reader()
    codes = reader.all(RuleCode)
    known = {code.id: code for code in codes}
    ids = list(known)
    one = known.get(request.args.get("one", ""), known[ids[0]] if ids else None)
    other = known.get(request.args.get("other", ""), next((c for c in codes if c is not one), None))
    pair = one is not None and other is not None
    return render_template(
        "rules/compare.html",
        codes=codes,
        one=one,
        other=other,
        compared=compare(one, other) if one is not None and other is not None else (),
        turns=changed_verdicts(all_techniques(reader), one, other)
        if one is not None and other is not None
        else (),
        pair=pair,
        sources={s.id: s for s in reader.all(Source)},
    )
