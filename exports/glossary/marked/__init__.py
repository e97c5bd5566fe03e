"""The book's articles as markup: what the web site and the EPUB share.

Templates are written so that the result is HTML and well-formed XML alike (polyglot markup).
"""

from exports.glossary.marked.environment import environment

__all__ = ["environment"]
