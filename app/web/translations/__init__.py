"""The interface catalogues, `<language>/LC_MESSAGES/wordhold.po`, and the messages to translate.

`app.catalogues` reads the catalogues as text on first use, so there are no compiled files.
`python -m app.web.translations` updates them from the code and lists missing translations.
"""

from app.catalogues import LANGUAGES, catalogue_path

__all__ = ["LANGUAGES", "catalogue_path"]
