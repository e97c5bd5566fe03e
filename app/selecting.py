"""Which entries go out."""

from termbase.store import Reader
from termbase.store.listing import EntryFilter, all_ids

__all__ = ["ready_ids"]


def ready_ids(reader: Reader) -> list[str]:
    """Ids of the entries whose readings are both signed, in order of making."""
    ids = all_ids(reader, EntryFilter(stage="ready"), reader.termbase().working_language)
    return sorted(ids, key=lambda i: (len(i), i))
