"""The section Pages: word-lists page by page, the page desk, and the line pattern of a word-list."""

from app.web.pages import accepting, desk, lines, listing, pages, patterns, trimming
from app.web.pages.section import blueprint

__all__ = ["accepting", "blueprint", "desk", "lines", "listing", "pages", "patterns", "trimming"]
