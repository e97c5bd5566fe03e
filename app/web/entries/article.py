"""An entry as a dictionary article; the same page holds the form for the part being edited."""

from flask import render_template, request

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.drawing import Witnessed
from app.web.forms import Form
from termbase.acts.merging import merged_into
from termbase.overviews.articles import Article, Library
from termbase.record.cautions import hurt_notices, own_cautions
from termbase.record.pages import Page
from termbase.store.reading import Reader

__all__ = ["article_page"]

EMPTY = Form()


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
