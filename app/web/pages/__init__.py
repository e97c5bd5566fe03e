"""The section Pages: word-lists page by page, the page desk, and the line pattern of a word-list."""

from app.web.blueprints import pages as blueprint
from app.web.pages import desk, lines, pages, patterns, trimming

__all__ = ["blueprint", "desk", "lines", "pages", "patterns", "trimming"]
