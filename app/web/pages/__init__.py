"""The section Pages: word-lists page by page, the page desk, and the line pattern of a word-list."""

from app.web.blueprints import pages as blueprint
from app.web.pages import accepting, desk, lines, listing, pages, patterns, trimming

__all__ = ["accepting", "blueprint", "desk", "lines", "listing", "pages", "patterns", "trimming"]
