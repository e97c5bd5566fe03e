"""The section Entries: the list, the article of each entry, editing it in place, making and removing."""

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
