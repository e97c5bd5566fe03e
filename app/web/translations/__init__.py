"""The interface catalogues, `<language>/LC_MESSAGES/wordhold.po`, and the messages to translate.

The catalogues are read as text on first use (`app.catalogues`), so there are no compiled files.
`python -m app.web.translations` updates them from the code and lists missing translations.
"""

from app.catalogues import LANGUAGES, catalogue_path

__all__ = ["LANGUAGES", "catalogue_path"]
