"""The Rules section: the codes, every technique under every code, a page per code, its questions, files."""

from app.web.rules import codes, editing, files
from app.web.rules.section import blueprint

__all__ = ["blueprint", "codes", "editing", "files"]
