"""The section Pages: word-lists page by page, the page desk, and the line pattern of a word-list."""

from app.web.pages import accepting, acting, adding, desk, listing, pattern, trimming
from app.web.pages.section import blueprint

__all__ = ["accepting", "acting", "adding", "blueprint", "desk", "listing", "pattern", "trimming"]
