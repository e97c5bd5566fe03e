"""The Rules section: the codes, every technique under every code, a page per code, its questions, files."""

from app.web.rules import codes, compared, editing, files, reading, verdicts
from app.web.rules.section import blueprint

__all__ = ["blueprint", "codes", "compared", "editing", "files", "reading", "verdicts"]
