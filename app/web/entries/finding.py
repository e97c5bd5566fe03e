"""Finding an entry while typing its name: for the search field on every page, and for choosing one in a
form."""

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.language import translated
from termbase.lookup import completing
from termbase.search import finding, texts
from termbase.search.hits import Hit
from termbase.store.entry_lists import EntryRow, rows_of
from termbase.store.reading import Reader

__all__ = ["hits_for"]

MOST = 8


@blueprint.get("/find")
def find() -> str | Response:
    """Show the results for the typed text (`q`), each with how it matched; a fragment with `part=1`."""
    typed = (request.args.get("q") or "").strip()
    if "part" not in request.args:
        return redirect(url_for("entries.index", q=typed), 303)
    result = hits_for(context.reader(), typed)
    return render_template("entries/found.html", found=result, typed=typed)


@blueprint.get("/choose")
def choose() -> dict[str, list[dict[str, str]]]:
    """Return entries or (`what=name`) names for the typed text, to choose from in a form."""
    reader = context.reader()
    names = request.args.get("what") == "name"
    chosen = []
    for hit, row in hits_for(reader, (request.args.get("q") or "").strip()):
        others = " · ".join(h.text for h in row.heads if h.text != hit.text)
        label = f"{hit.text}" + (f" · {others}" if others else "")
        chosen.append(
            {"value": f"{hit.term_id if names else hit.entry_id} {label}", "words": translated(hit.said)}
        )
    return {"found": chosen}


def hits_for(reader: Reader, typed: str) -> list[tuple[Hit, EntryRow]]:
    """Return the best entries for the typed text, each with its heads; nearest first."""
    if not typed:
        return []
    result = list(completing.complete(reader, typed, limit=MOST))
    if len(result) < MOST:
        result += finding.find(reader, typed, limit=MOST)
    if len(result) < MOST:
        result += texts.by_words(reader, typed, MOST, begun=True)
    best: dict[str, Hit] = {}
    for hit in sorted(result, key=lambda hit: -hit.score):
        best.setdefault(hit.entry_id, hit)
    hits = list(best.values())[:MOST]
    rows = {row.id: row for row in rows_of(reader, [hit.entry_id for hit in hits])}
    return [(hit, rows[hit.entry_id]) for hit in hits if hit.entry_id in rows]
