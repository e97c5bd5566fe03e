"""A termbase with names to export and change."""

import pytest

from termbase.acts import entries
from termbase.record.entries import (
    Definition,
    Entry,
    InflectedForm,
    Origin,
    PartOfSpeech,
    Status,
    Term,
    Topic,
)
from termbase.store.engine import Store

HOOK = Entry(
    "",
    topic=Topic.TRIP,
    terms=(
        Term("", "bachiad", "cy", Origin.IN_USE, status=Status.PREFERRED, part_of_speech=PartOfSpeech.NOUN,
             forms=(InflectedForm("plural", "bachiadau"), InflectedForm("a; b: c", "x\\y")),
             usage_note="two\nlines"),
        Term("", "=bachu+1", "cy", Origin.REBUILT, region="'-dale"),
        Term("", "hook | heel", "en", Origin.WORD_LIST, printed="hooᴋ", printed_language="en"),
    ),
    definitions=(Definition("en", 'A "trip", with the heel.'),),
    usage_note="#N/A",
    editor_note="ask _x0041_ again",
)  # fmt: skip
THROW = Entry("", terms=(Term("", "tafliad", "cy", Origin.COINED),))


@pytest.fixture
def filled(store: Store) -> Store:
    with store.act("Nia", "made two entries") as act:
        entries.save(act, HOOK)
        entries.save(act, THROW)
    return store
