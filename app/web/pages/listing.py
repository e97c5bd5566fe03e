"""The word-lists with their pages, and how far each is worked."""

from dataclasses import dataclass

from flask import render_template, request

from app.web import context
from app.web.blueprints import pages as blueprint
from termbase.record.pages import Page, PageCount, page_order
from termbase.record.sources import Source, SourceKind

__all__ = ["WordList", "index"]

NONE = PageCount(0, 0, 0, 0)


@dataclass(frozen=True)
class WordList:
    """A word-list with its pages in order of their numbers, each with how far it is worked."""

    source: Source
    pages: tuple[tuple[Page, PageCount], ...]

    @property
    def left(self) -> int:
        """Lines still to be worked on all its pages."""
        return sum(count.left for _, count in self.pages)


@blueprint.get("")
def index() -> str:
    """Every word-list with its pages; `q` keeps those whose label or page number holds it."""
    reader = context.reader()
    wanted = request.args.get("q", "").strip()
    counts = reader.page_counts()
    pages = reader.all(Page)
    lists = []
    for source in sorted(
        reader.all(Source, kind=SourceKind.WORD_LIST.value), key=lambda s: s.label.casefold()
    ):
        own = sorted((p for p in pages if p.source_id == source.id), key=page_order)
        if wanted and wanted.casefold() not in source.label.casefold():
            own = [p for p in own if wanted.casefold() in p.number.casefold()]
            if not own:
                continue
        lists.append(WordList(source, tuple((p, counts.get(p.id, NONE)) for p in own)))
    part = bool(request.args.get("part"))
    return render_template(
        "pages/lists.html" if part else "pages/index.html", lists=lists, wanted=wanted, none_at_all=not pages
    )
