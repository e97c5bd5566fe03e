"""Why a reading of an entry was reopened."""

from enum import unique

from termbase.fields.notes import Code

__all__ = ["Covered", "Reopened"]


@unique
class Covered(Code):
    """What a reading covers, in the words used when it changes."""

    NAMES = "reading.covers.names", "the names"
    DEFINITION = "reading.covers.definition", "a definition"
    USAGE_NOTE = "reading.covers.usage-note", "the usage note"
    TECHNIQUE = "reading.covers.technique", "the technique"
    TOPIC = "reading.covers.topic", "the topic"
    RELATION = "reading.covers.relation", "a relation"
    ACCEPTED_NOTE = "reading.covers.accepted-note", "an accepted note"


@unique
class Reopened(Code):
    """Why a reading was reopened, when nobody typed a reason."""

    CHANGED = "reading.reopened.changed", "%(what)s changed after it was signed"
    MERGED = "reading.reopened.merged", "%(entry)s was merged into it after it was signed"
    PARTED = "reading.reopened.parted", "it was parted from %(entry)s"
    BY_HAND = "reading.reopened.by-hand", "by %(person)s"
