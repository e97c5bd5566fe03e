"""List the rule codes, and show the matrix of every technique under every code."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from flask import Response, render_template, request
from markupsafe import Markup, escape

from app.web import context, drawing, lists
from app.web.language import gettext as _
from app.web.rules.section import blueprint
from termbase.judging.verdict import VERDICT_WORDS
from termbase.lookup import filtering
from termbase.overviews.matrix import Row, filter_rows, matrix, sort_rows
from termbase.rules.clauses import RuleCode
from termbase.store.caching import remembered

__all__ = ["State", "wanted_rows"]

ROWS = 200


@dataclass(frozen=True)
class State:
    """What the address requests of the matrix: text, verdict, code and order."""

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
    return lists.as_csv("verdicts.csv", head, _cells(rows, tags, codes))


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
    ids = frozenset(filtering.filter_ids(reader, state.typed)) if state.typed else None
    found = filter_rows(rows, ids=ids, word=state.verdict, column=place.get(state.under))
    return sort_rows(found, place[state.sort]) if state.sort in place else found


def _cell_words(word: str) -> Markup:
    """Return a verdict's mark and word, rendered once for the many cells that show it."""
    return Markup('<span class="marked">{}<span>{}</span></span>').format(drawing.mark(word), escape(_(word)))


def _cells(
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
