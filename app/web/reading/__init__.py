"""The section Reading: a text of the period, the names that the record knows in it, slips taken from it."""

from app.web.reading import taking, texts
from app.web.reading.section import blueprint

__all__ = ["blueprint", "taking", "texts"]
