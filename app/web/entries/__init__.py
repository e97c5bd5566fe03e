"""The Entries section: the list, each entry's article, editing in place, creating, merging and deleting."""

from app.web.blueprints import entries as blueprint
from app.web.entries import article, editing, forms, lists, merging, relations, slips

__all__ = [
    "article",
    "blueprint",
    "editing",
    "forms",
    "lists",
    "merging",
    "relations",
    "slips",
]
