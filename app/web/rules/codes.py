"""Show rule codes: the list with the matrix of all techniques, one code, two side by side, one verdict."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from flask import Response, render_template, request
from markupsafe import Markup, escape

from app.web import context, drawing, lists
from app.web.forms import Form
from app.web.language import clause_words, verdict_wording
from app.web.language import gettext as _
from app.web.rules.section import blueprint
from termbase.errors import BadInput, NotFound
from termbase.judging.bouts import FOOTWEAR, read_bout
from termbase.judging.changes import smallest_change
from termbase.judging.verdict import UNKNOWN, VERDICT_WORDS, Change, Circumstances
from termbase.judging.wording import to_words
from termbase.overviews.articles import Library
from termbase.overviews.matrix import (
    Row,
    VerdictChange,
    changed_verdicts,
    filter_rows,
    matrix,
    sort_rows,
    techniques,
    verdict_on,
)
from termbase.record.cautions import hurt_notices, own_cautions
from termbase.record.sources import Source
from termbase.rules.clauses import RuleCode
from termbase.rules.consistency import compare, contradictions
from termbase.search import finding
from termbase.store.caching import remembered
from termbase.store.reading import Reader
from termbase.technique.profile import NamedProfile, Profile

__all__ = ["State", "all_techniques", "change_for", "code_page", "side_by_side", "wanted_rows"]


ROWS = 200


@dataclass(frozen=True)
class State:
    """The part of the matrix that the address requests: text, verdict, code and order."""

    typed: str
    verdict: str
    under: str
    sort: str


@blueprint.get("")
def index() -> str:
    """Show the codes and the matrix; only the matrix while the user types."""
    codes = context.reader().all(RuleCode)
    state = state_of(codes)
    rows = wanted_rows(codes, state)
    part = lists.part_of(len(rows), ROWS)
    shown = rows[part.offset : part.offset + part.limit]
    template = "rules/matrix.html" if lists.is_part() else "rules/index.html"
    return render_template(
        template,
        codes=codes,
        state=state,
        rows=shown,
        part=part,
        languages=context.termbase().languages,
        words_of={word: _cell_words(word) for word in VERDICT_WORDS},
        address=lists.address,
        narrow=bool(state.typed or state.verdict),
    )


@blueprint.get("/matrix.csv")
def take() -> Response:
    """Download the matrix as shown, as a table."""
    codes = context.reader().all(RuleCode)
    rows = wanted_rows(codes, state_of(codes))
    tags = context.termbase().languages
    head = ["id", *tags, *(code.name for code in codes), _("rulings")]
    return lists.as_csv("verdicts.csv", head, _csv_rows(rows, tags, codes))


def state_of(codes: Sequence[RuleCode]) -> State:
    """Parse the request; invalid values are ignored."""
    known = {code.id for code in codes}
    verdict, under = request.args.get("verdict", ""), request.args.get("under", "")
    sort = request.args.get("sort", "")
    return State(
        lists.typed(),
        verdict if verdict in VERDICT_WORDS else "",
        under if under in known else "",
        sort if sort in known or sort in context.termbase().languages else "",
    )


def wanted_rows(codes: Sequence[RuleCode], state: State) -> tuple[Row, ...]:
    """Return the requested rows in the requested order."""
    reader = context.reader()
    languages = context.termbase().languages
    language = state.sort if state.sort in languages else languages[0]
    rows = remembered(reader, ("matrix", language), lambda r: matrix(r, codes, language))
    place = {code.id: n for n, code in enumerate(codes)}
    ids = frozenset(finding.filter_ids(reader, state.typed)) if state.typed else None
    rows_found = filter_rows(rows, ids=ids, word=state.verdict, column=place.get(state.under))
    return sort_rows(rows_found, place[state.sort]) if state.sort in place else rows_found


def _cell_words(word: str) -> Markup:
    """Return a verdict's mark and word, rendered once for the many cells that show it."""
    return Markup('<span class="marked">{}<span>{}</span></span>').format(drawing.mark(word), escape(_(word)))


def _csv_rows(
    rows: Sequence[Row], tags: Sequence[str], codes: Sequence[RuleCode]
) -> Iterator[tuple[object, ...]]:
    for row in rows:
        names = [row.heads[tag].text if tag in row.heads else "" for tag in tags]
        ruled = [
            f"{code.id}: {cell.word}" for code, cell in zip(codes, row.cells, strict=True) if cell.ruling
        ]
        note = (
            _("changed by a ruling; verdict without it: %(cells)s", cells="; ".join(ruled)) if ruled else ""
        )
        yield (row.entry_id, *names, *(cell.stands for cell in row.cells), note)


@blueprint.get("/<code_id>")
def show(code_id: str) -> str:
    """Show each clause of a code with its source and limits, and which verdicts would change without the
    clauses that the address names."""
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
    """Return every technique of the record with its names, in the order of the working language."""
    tag = reader.termbase().working_language
    return remembered(reader, ("techniques", tag), lambda r: techniques(r, tag))


def _without(reader: Reader, code: RuleCode, off: frozenset[str]) -> tuple[VerdictChange, ...]:
    left = tuple(clause for clause in code.clauses if clause.id not in off)
    return changed_verdicts(all_techniques(reader), code, replace(code, clauses=left))


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


BOUT = ("place", "year", "wrestlers", "footwear", "barred")
"""The parameters of the address that describe the bout."""


@blueprint.get("/<code_id>/on/<entry_id>")
def on(code_id: str, entry_id: str) -> str | tuple[str, int]:
    """Show why a technique fits a code or does not; the address may describe the bout.

    Raises:
        NotFound: there is no such code or entry, or nothing is stated about how it is done.
    """
    library = Library(context.reader())
    article = library.article(entry_id)
    judged = next((j for j in article.judged if j.code.id == code_id), None)
    if judged is None:
        raise NotFound(
            _("There is no such verdict."),
            where=f"{code_id}, {entry_id}",
            fix=_("Describe how the technique is done first, or choose another code."),
        )
    form, bout = _bout()
    if bout != UNKNOWN:
        judged = replace(judged, verdict=verdict_on(article.entry, judged.code, bout))
    page = render_template(
        "rules/on.html",
        article=article,
        entry=article.entry,
        judged=judged,
        form=form,
        bout=bout,
        feet=[("", _("as the code says")), *((kind, _(kind)) for kind in FOOTWEAR)],
        library=library,
        heads=tuple(h for tag in library.termbase.languages if (h := article.head(tag)) is not None),
        trials=tuple(t for t in article.trials if t.code_id == code_id),
        extra_cautions=own_cautions(article.entry.topic, article.entry.technique),
        hurt=hurt_notices(article.trials),
    )
    return (page, 400) if form.errors else page


def _bout() -> tuple[Form, Circumstances]:
    """Return the bout in the address as a form and as circumstances, which are unknown if it is invalid."""
    form = Form.of(**{name: request.args.get(name, "") for name in BOUT})
    try:
        barred = form.text("barred").split(",")
        return form, read_bout(**{name: form.text(name) for name in BOUT if name != "barred"}, barred=barred)
    except BadInput as error:
        return form.refused(error), UNKNOWN


@blueprint.app_template_global()
def change_for(
    profile: Profile, code: RuleCode, names: Iterable[str], bout: Circumstances = UNKNOWN
) -> Change | None:
    """Return the smallest change that would make a breach fit, for templates; None if there is none."""
    return smallest_change(profile, code, bout, names)


@blueprint.app_template_global()
def verdict_text(what: object) -> str:
    """Return a verdict or a part of one in plain words."""
    return to_words(what, verdict_wording())  # type: ignore[arg-type]


@blueprint.app_template_global()
def clause_text(code: RuleCode, clause_id: str) -> str:
    """Return what a clause of a code says, or its id if the code no longer has it."""
    match = next((clause for clause in code.clauses if clause.id == clause_id), None)
    return clause_words(match) if match is not None else clause_id
