"""The Entries section: the list, each entry's article, editing in place, creating and deleting."""

from app.web.entries import (
    article,
    editing,
    finding,
    foreignnotes,
    images,
    listing,
    making,
    merging,
    relating,
    ruling,
    signs,
    slips,
    vocabulary,
)
from app.web.entries.section import blueprint

__all__ = [
    "article",
    "blueprint",
    "editing",
    "finding",
    "foreignnotes",
    "images",
    "listing",
    "making",
    "merging",
    "relating",
    "ruling",
    "signs",
    "slips",
    "vocabulary",
]
