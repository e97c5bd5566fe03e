"""The Rules section: codes, verdicts, the editor of a code, and files."""

from app.web.rules import codes, editing, files
from app.web.rules.section import blueprint

__all__ = ["blueprint", "codes", "editing", "files"]
