"""A stored word outside every closed list is reported as damage wherever it occurs, and never ignored."""

from collections.abc import Callable

import pytest

from termbase.acts import entries
from termbase.acts.pages import add_page
from termbase.acts.sources import save_source
from termbase.errors import Damaged
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Origin, Relation, RelationKind, Term, Topic
from termbase.record.sources import Source, SourceKind
from termbase.rules.clauses import LegRule, RuleCode
from termbase.store.engine import Store
from termbase.store.entry_lists import EntryFilter, list_entries
from termbase.store.line_lists import count_of
from termbase.store.reading import Reader
from termbase.store.verdicts import entries_with_verdict
from termbase.technique.profile import Profile, Stated
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.stock import STOCK

PATTERN = write_pattern(STOCK["pocket list"])
KICKS = RuleCode("r1", "Fair", clauses=(LegRule(id="1", stance="barred", uses=("kick",)),))


@pytest.fixture
def filled(store: Store) -> Store:
    """c0001 and c0002, which refers to it; a page of one line."""
    with store.act("Nia", "made entries") as act:
        for name in ("hank", "kick"):
            entries.save(
                act,
                Entry(
                    "",
                    Topic.KICK,
                    (Term("", name, "en", Origin.COINED),),
                    relations=(Relation(RelationKind.BROADER, "c0001"),) if name == "kick" else (),
                    technique=Profile(leg_use=Stated("kick")),
                ),
            )
        source = save_source(act, Source("", "List", SourceKind.WORD_LIST, "A list", pattern=PATTERN))
        add_page(act, source.id, "1", "hank, gafael\n")
    return store


@pytest.mark.parametrize(
    ("statement", "ask"),
    [
        ("UPDATE line SET state = 'lost'", lambda reader: reader.page_counts()),
        ("UPDATE line SET state = 'lost'", lambda reader: count_of(reader, "w1")),
        ("UPDATE relation SET kind = 'near'", lambda reader: reader.incoming([reader.get(Entry, "c0001")])),
        ("UPDATE relation SET kind = 'near'", lambda reader: list(Library(reader).articles())),
        ("UPDATE entry SET topic = 'dance'", lambda reader: list_entries(reader, EntryFilter(), "en")),
        ("UPDATE term SET origin = 'heard'", lambda reader: list_entries(reader, EntryFilter(), "en")),
        (
            """UPDATE entry SET technique = '{"limb": {"value": "wing"}}'""",
            lambda reader: entries_with_verdict(reader, KICKS, ("breaks",)),
        ),
    ],
)
def test_a_stored_word_outside_every_list_is_damage(
    filled: Store, statement: str, ask: Callable[[Reader], object]
) -> None:
    with filled.read() as reader:
        ask(reader)
    with filled.engine.begin() as connection:
        connection.exec_driver_sql(statement)
    with pytest.raises(Damaged, match="cannot be read"), filled.read() as reader:
        ask(reader)
