"""Codes of the history: what an act did, what was done with a line, and why a reading was reopened.

The history also records who did it and when.
"""

from enum import unique
from typing import Final

from termbase.fields.notes import Code, CodedText

__all__ = ["Covered", "Deed", "LineDeed", "ReadingName", "Reopened", "restored", "undone"]


@unique
class Deed(Code):
    """What an act did."""

    TERMBASE_MADE = "termbase.made", "created the termbase"
    TERMBASE_BEGUN = "termbase.begun", "set up the termbase"
    TERMBASE_CHANGED = "termbase.changed", "changed the information about the termbase"
    PERSON_NAMED = "person.named", "added %(name)s to the list of people"
    PERSON_WITHOUT_NAME_NAMED = "person.unnamed.named", "added a person"
    PERSON_CHANGED = "person.changed", "changed %(name)s"
    PERSON_REMOVED = "person.removed", "removed %(name)s from the list of people"

    ACT_TAKEN_BACK = "act.taken-back", "undid: %(deed)s"
    ACT_TAKEN_BACK_BY_NUMBER = "act.taken-back.by-number", "undid change %(id)s"
    ACT_BY_NUMBER = "act.by-number", "change %(number)s"
    RECORD_BROUGHT_BACK = "record.brought-back", "restored %(id)s as it was after %(date)s (%(deed)s)"

    ENTRY_MADE = "entry.made", "created the entry %(names)s"
    ENTRY_REMOVED = "entry.removed", "deleted entry %(id)s"
    ENTRY_REMOVED_FOR = "entry.removed.for", "deleted entry %(id)s: %(reason)s"
    ENTRY_MERGED = "entry.merged", "merged %(other)s into %(id)s"
    ENTRY_PARTED = "entry.parted", "separated %(id)s"
    ENTRY_PARTED_AGAIN = "entry.parted.again", "separated %(id)s again"
    TOPIC_CHANGED = "entry.topic.changed", "changed the topic of %(id)s"
    DEFINITION_CHANGED = "entry.definition.changed", "changed the definition of %(id)s"
    NOTES_CHANGED = "entry.notes.changed", "changed the notes of %(id)s"
    FOREIGN_NOTE_ACCEPTED = "entry.foreign-note.accepted", "accepted an imported note on %(id)s"
    FOREIGN_NOTE_WITHDRAWN = "entry.foreign-note.withdrawn", "stopped printing an imported note on %(id)s"
    FOREIGN_NOTE_DELETED = "entry.foreign-note.deleted", "deleted an imported note on %(id)s"
    ANALOGUES_CHANGED = "entry.analogues.changed", "changed the analogues of %(id)s"
    FIGURES_CHANGED = "entry.figures.changed", "changed the figures of %(id)s"
    NAME_CHANGED = "entry.name.changed", "changed a name of %(id)s"
    NAME_PREFERRED = "entry.name.preferred", "marked a name of %(id)s as preferred"
    NAME_MOVED = "entry.name.moved", "moved a name of %(id)s"
    NAME_REMOVED = "entry.name.removed", "removed a name from %(id)s"
    RELATION_ADDED = "entry.relation.added", "related %(id)s to another entry"
    RELATION_REMOVED = "entry.relation.removed", "removed a relation from %(id)s"
    TECHNIQUE_STATED = "entry.technique.stated", "stated how %(id)s is done"
    RULING_MADE = "entry.ruling.made", "ruled on %(id)s under %(code)s"
    RULING_REMOVED = "entry.ruling.removed", "removed a ruling on %(id)s under %(code)s"
    READING_SIGNED = "entry.reading.signed", "read %(id)s for %(which)s"
    READING_NOT_SIGNED = "entry.reading.not-signed", "did not sign %(id)s for %(which)s"
    READING_REOPENED = "entry.reading.reopened", "reopened the reading of %(id)s for %(which)s"

    SLIP_ADDED = "entry.slip.added", "added a slip to %(id)s"
    SLIP_CHANGED = "slip.changed", "changed slip %(id)s"
    SLIP_REMOVED = "slip.removed", "deleted slip %(id)s"
    SLIP_TAKEN = "source.slip.taken", "added a slip from %(label)s"
    SLIP_OF_NAME_TAKEN = "source.slip.taken.of-name", "added a slip from %(label)s: %(name)s"
    SLIP_SORTED = "source.slip.sorted", "sorted slip %(id)s"
    SLIP_OF_NAME_SORTED = "source.slip.sorted.of-name", "sorted slip %(id)s: %(name)s"
    SOURCE_SLIP_CHANGED = "source.slip.changed", "changed the slip %(id)s"
    SOURCE_SLIP_OF_NAME_CHANGED = "source.slip.changed.of-name", "changed slip %(id)s: %(name)s"
    SOURCE_SLIP_REMOVED = "source.slip.removed", "deleted the slip %(id)s"
    SOURCE_SLIP_OF_NAME_REMOVED = "source.slip.removed.of-name", "deleted slip %(id)s: %(name)s"
    SLIPS_JOINED = "slips.joined", "joined slips of “%(name)s”"
    SLIPS_PARTED = "slips.parted", "separated slips of “%(name)s”"

    SOURCE_ADDED = "source.added", "added the source %(label)s"
    SOURCE_CHANGED = "source.changed", "changed the source %(label)s"
    SOURCE_REMOVED = "source.removed", "deleted the source %(label)s"
    PATTERN_CHANGED = "source.pattern.changed", "changed the line pattern of %(label)s"
    SOURCE_TRIMMED = "source.trimmed", "trimmed %(label)s under %(code)s"
    PAGE_ENTERED = "page.entered", "entered page %(number)s of %(label)s"
    PAGE_CHANGED = "page.changed", "changed page %(number)s of %(label)s"
    PAGE_REMOVED = "page.removed", "deleted page %(number)s of %(label)s"
    PAGE_ACCEPTED = "page.accepted", "accepted all clear lines of page %(number)s of %(label)s"
    PAGE_ACCEPTED_BY_ID = "page.accepted.by-id", "accepted all clear lines of %(id)s"
    PAGES_ACCEPTED = "pages.accepted", "accepted all clear lines of all pages"
    PAGE_TRIMMED = "page.trimmed", "trimmed page %(number)s of %(label)s under %(code)s"
    LINE_WORKED = "line.worked", "“%(text)s” (%(source)s, p. %(page)s, line %(line)s): %(line_deed)s"
    PICTURE_KEPT = "picture.kept", "saved a picture"

    RULE_CODE_ADDED = "rule-code.added", "added the rule code %(name)s"
    RULE_CODE_CHANGED = "rule-code.changed", "changed the rule code %(name)s"
    RULE_CODE_REMOVED = "rule-code.removed", "deleted the rule code %(name)s"
    TRIAL_RECORDED = "trial.recorded", "recorded a trial of %(id)s"
    TRIAL_CHANGED = "trial.changed", "changed trial %(id)s"
    TRIAL_REMOVED = "trial.removed", "deleted trial %(id)s"

    FILE_TAKEN_IN = "file.taken-in", "imported %(file)s"
    RULE_CODES_TAKEN_IN = "rule-codes.taken-in", "imported rule codes from %(file)s"
    TECHNIQUES_TAKEN_IN = "techniques.taken-in", "imported techniques from %(file)s"
    NUMBER_OF_RULE_CODES_TAKEN_IN = (
        "rule-codes.taken-in.number", "imported 1 rule code", "imported %(n)s rule codes",
    )  # fmt: skip
    NUMBER_OF_TECHNIQUES_TAKEN_IN = (
        "techniques.taken-in.number", "imported 1 technique", "imported %(n)s techniques",
    )  # fmt: skip

    DEMO_MADE = "demo.made", "loaded the demo"
    DEMO_SOURCES_NAMED = "demo.sources.named", "added the people, the sources and the rule codes"
    DEMO_ENTRIES_MADE = "demo.entries.made", "created the entries and their slips"
    DEMO_WORD_LIST_WORKED = "demo.word-list.worked", "entered and worked through the word-list"
    DEMO_TRIALS_RECORDED = "demo.trials.recorded", "recorded the trials"


@unique
class LineDeed(Code):
    """What was done with one line of a page."""

    MADE = "line.made", "created an entry"
    ATTACHED = "line.attached", "attached to %(id)s"
    SET_ASIDE = "line.set-aside", "set aside (%(reason)s)"
    REOPENED = "line.reopened", "reopened"
    REOPENED_WITH_NAMES = (
        "line.reopened.with-names", "reopened, and its names removed",
    )  # fmt: skip
    RELATED = "line.related", "related to %(id)s"
    CORRECTED = "line.corrected", "corrected"


@unique
class ReadingName(Code):
    """What an entry is read for."""

    LANGUAGE = "reading.language", "language"
    PRACTICE = "reading.practice", "practice"


_DEEPEST: Final = 20


def undone(deed: CodedText, act_id: int) -> CodedText:
    """Return the deed of undoing an act that did `deed`."""
    return Deed.ACT_TAKEN_BACK(deed=_within(deed, act_id))


def restored(record_id: str, on: str, deed: CodedText, act_id: int) -> CodedText:
    """Return the deed of restoring a record as it was after an act on that day (ISO) that did `deed`."""
    return Deed.RECORD_BROUGHT_BACK(id=record_id, date=on, deed=_within(deed, act_id))


def _within(deed: CodedText, act_id: int) -> CodedText:
    """Return a nested act, or only its number at the end of a long chain."""
    return Deed.ACT_BY_NUMBER(number=act_id) if deed.depth > _DEEPEST else deed


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
    PARTED = "reading.reopened.parted", "it was separated from %(entry)s"
    BY_HAND = "reading.reopened.by-hand", "by %(person)s"
