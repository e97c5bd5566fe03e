"""An entry as a dictionary article, and what its forms request while typing.

The page of an article also holds the form for the part being edited. The requests: entries by name, stored
pictures, special characters of a language, and the modern spelling of an old printed form.
"""

import unicodedata
from functools import lru_cache

from flask import Response, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as FlaskResponse

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.drawing import Witnessed
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.language import interface_language, translated
from termbase.acts.merging import merged_into
from termbase.errors import BadInput
from termbase.languages import tags
from termbase.languages.files import language
from termbase.languages.folding import modern_spelling, without_marks
from termbase.media.pictures import LIST, PAGE, scaled
from termbase.overviews.articles import Article, Library
from termbase.record.cautions import hurt_notices, own_cautions
from termbase.record.pages import Page
from termbase.record.people import Image
from termbase.search import finding, texts
from termbase.search.hits import Hit
from termbase.store.engine import Store
from termbase.store.entry_lists import EntryRow, rows_of
from termbase.store.reading import Reader

__all__ = ["article_page", "families", "hits_for", "signs_of"]


EMPTY = Form()


MOST_RESULTS = 8
MOST_CACHED = 100
FOREVER = "private, max-age=31536000, immutable"  # the picture for an id never changes
SIZES = {"list": LIST, "page": PAGE}
DAY = 86_400
LONGEST_PRINTED = 2000
_KEYS_OF_SIGNS = {"⁊": "7", "’": "'", "‘": "'", "“": '"', "”": '"', "–": "-"}
"""Signs without a base letter, and the key for each."""


@blueprint.get("/<entry_id>")
def show(entry_id: str) -> str:
    """Show the article of an entry; `read=language` (or `practice`) is for reading one after another."""
    which = request.args.get("read", "")
    reading_for = which if which in ("language", "practice") else ""
    return article_page(context.reader(), entry_id, reading_for=reading_for)


def article_page(reader: Reader, entry_id: str, editing: str = "", form: Form = EMPTY, **more: object) -> str:
    """Return the page of an entry.

    Args:
        reader: a snapshot.
        entry_id: which entry.
        editing: id of the part whose form is shown in its place; empty for none.
        form: that form.
        more: extra values for the form.

    Raises:
        NotFound: there is no such entry.
    """
    library = Library(reader)
    article = library.article(entry_id)
    entry = article.entry
    # the termbase's languages first, then others that the entry has names in
    languages = tuple(dict.fromkeys((*library.termbase.languages, *(t.language for t in entry.terms))))
    return render_template(
        "entries/article.html",
        article=article,
        entry=entry,
        library=library,
        languages=languages,
        heads=tuple(head for tag in languages if (head := article.head(tag)) is not None),
        missing=tuple(tag for tag in library.termbase.languages if article.head(tag) is None),
        timeline_rows=_witnessed(article),
        pages=_pages(reader, article),
        merged=merged_into(reader, entry.id),
        extra_cautions=own_cautions(entry.topic, entry.technique),
        hurt=hurt_notices(article.trials),
        names_of_entry=tuple(term.text for term in entry.terms),
        editing=editing,
        form=form,
        **{"reading_for": "", "refusing": "", **more},
    )


def _witnessed(article: Article) -> tuple[Witnessed, ...]:
    """Return the names with a witness of use, with the dates of those witnesses."""
    return tuple(
        Witnessed(term.text, term.language, tuple(w.date for w in article.names[term.id].used if w.date))
        for term in article.entry.terms
        if article.names[term.id].used
    )


def _pages(reader: Reader, article: Article) -> dict[str, Page]:
    return reader.many(Page, (line.page_id for line in article.lines))


@blueprint.get("/find")
def find() -> str | FlaskResponse:
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
    options = []
    for hit, row in hits_for(reader, (request.args.get("q") or "").strip()):
        others = " · ".join(h.text for h in row.heads if h.text != hit.text)
        label = f"{hit.text}" + (f" · {others}" if others else "")
        options.append(
            {"value": f"{hit.term_id if names else hit.entry_id} {label}", "words": translated(hit.said)}
        )
    return {"found": options}


def hits_for(reader: Reader, typed: str) -> list[tuple[Hit, EntryRow]]:
    """Return the best entries for the typed text, each with its heads; nearest first."""
    if not typed:
        return []
    result = list(finding.complete(reader, typed, limit=MOST_RESULTS))
    if len(result) < MOST_RESULTS:
        result += finding.find(reader, typed, limit=MOST_RESULTS)
    if len(result) < MOST_RESULTS:
        result += texts.by_words(reader, typed, MOST_RESULTS, begun=True)
    best: dict[str, Hit] = {}
    for hit in sorted(result, key=lambda hit: -hit.score):
        best.setdefault(hit.entry_id, hit)
    hits = list(best.values())[:MOST_RESULTS]
    rows = {row.id: row for row in rows_of(reader, [hit.entry_id for hit in hits])}
    return [(hit, rows[hit.entry_id]) for hit in hits if hit.entry_id in rows]


@blueprint.get("/image/<image_id>")
def image(image_id: str) -> Response:
    """Return a picture as stored; with `size=list` or `size=page` no larger than needed there."""
    result = context.reader().get(Image, image_id)
    longest = SIZES.get(request.args.get("size", ""), 0)
    headers = {"Cache-Control": FOREVER}
    if not longest or max(result.width, result.height) <= longest:
        return Response(result.data, mimetype=result.media_type, headers=headers)
    return Response(_small(context.store(), image_id, longest), mimetype="image/jpeg", headers=headers)


@lru_cache(maxsize=MOST_CACHED)
def _small(store: Store, image_id: str, longest: int) -> bytes:
    """Return a smaller picture; cached, since the picture for an id never changes."""
    with store.read() as reader:
        return scaled(reader.get(Image, image_id), longest)


@blueprint.get("/signs/<tag>")
def signs(tag: str) -> Response:
    """Return the characters of a language that a keyboard may lack, and the letter for each."""
    answer = jsonify(_sign_texts(tag, interface_language()))
    answer.cache_control.max_age = DAY
    answer.cache_control.private = True
    answer.vary.add("Cookie")
    return answer


@blueprint.get("/modern")
def modern() -> dict[str, str]:
    """Return a typed printed form in modern letters; empty if it is the same."""
    printed = unicodedata.normalize("NFC", request.args.get("printed", "")[:LONGEST_PRINTED])
    modern_form = modern_spelling(printed)
    return {
        "modern": modern_form if modern_form != printed else "",
        "label": _("In modern letters"),
        "take": _("Use as the name"),
    }


def _sign_texts(tag: str, _interface: str) -> dict[str, object]:
    try:
        name = tags.display_name(tag, interface_language()) or tag
    except BadInput:
        return {"name": "", "signs": [], "families": {}}
    return {
        "name": _("Characters of %(language)s", language=name),
        "hint": _("Alt+. changes the letter before the cursor"),
        "signs": signs_of(tag),
        "families": families(tag),
    }


@lru_cache(maxsize=64)
def signs_of(tag: str) -> tuple[str, ...]:
    """Return the characters of a language that a keyboard may lack; none if the language is unknown or the
    tag is invalid."""
    try:
        return language(tag).palette
    except BadInput:
        return ()


@lru_cache(maxsize=64)
def families(tag: str) -> dict[str, list[str]]:
    """Return the characters for each key: `w` gives ŵ, `b` gives ḃ, `7` gives the Tironian et."""
    result: dict[str, list[str]] = {}
    for sign in signs_of(tag):
        cases = (sign, sign.upper()) if len(sign) == 1 and len(sign.upper()) == 1 else (sign,)
        for character in cases:
            key = _KEYS_OF_SIGNS.get(character) or _letter_of(character)
            if key and key != character and character not in result.setdefault(key, []):
                result[key].append(character)
    return {key: characters for key, characters in result.items() if characters}


def _letter_of(sign: str) -> str:
    """Return the plain letter or digit that a sign begins with; empty if there is none."""
    lower = without_marks(unicodedata.normalize("NFKD", modern_spelling(sign)).lower())[:1]
    if not (lower.isascii() and lower.isalnum()):
        return ""
    return lower.upper() if sign[0].isupper() else lower
