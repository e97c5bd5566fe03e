"""The Entries section: the list, each entry's article, editing in place, creating and deleting."""

from app.web.blueprints import entries as blueprint
from app.web.entries import (
    article,
    editing,
    finding,
    foreignnotes,
    images,
    lists,
    making,
    merging,
    relations,
    ruling,
    signs,
    slips,
    vocabulary,
)

__all__ = [
    "article",
    "blueprint",
    "editing",
    "finding",
    "foreignnotes",
    "images",
    "lists",
    "making",
    "merging",
    "relations",
    "ruling",
    "signs",
    "slips",
    "vocabulary",
]
