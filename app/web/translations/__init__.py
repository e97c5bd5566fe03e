"""The catalogues of the interface, `<language>/LC_MESSAGES/wordhold.po`, and what is to be translated.

The catalogues are read as text when a face first speaks (`app.catalogues`), so no compiled file is kept.
`python -m app.web.translations` brings them up to date with the code and names what waits for a translation.
"""

from app.catalogues import LANGUAGES, catalogue_path

__all__ = ["LANGUAGES", "catalogue_path"]
