"""An entry that was removed or merged leaves a notice at its address, and nothing else leads there."""

from pathlib import Path

import pytest

from app.catalogues import voice_of
from exports.glossary.book.book import Selection
from exports.glossary.site.publishing import SiteReport, publish_site
from termbase.acts import entries as entry_acts
from termbase.acts.history import undo
from termbase.acts.merging import merge
from termbase.overviews.articles import Library
from termbase.overviews.removals import removal_deed
from termbase.record.entries import Entry, Origin, Term
from termbase.store.engine import Store

AS_OF = "2026-03-02"


@pytest.fixture
def store(store: Store) -> Store:
    """Four entries, on each kind of database."""
    with store.act("Nia", "made them") as act:
        for n, text in enumerate(("back-heel", "back heel", "clog-kick", "hug"), 1):
            act.add(Entry(f"c{n:04}", None, (Term(f"t{n}", text, "en", Origin.IN_USE),)))
    return store


def publish(store: Store, folder: Path, **more: object) -> SiteReport:
    with store.read() as reader:
        return publish_site(Library(reader), folder, as_of=AS_OF, selection=Selection(**more))


def remove(store: Store, entry_id: str, reason: str = "") -> None:
    with store.act("Nia", removal_deed(entry_id, reason)) as act:
        entry_acts.remove(act, entry_id)


def page(folder: Path, entry_id: str) -> str:
    return (folder / "entries" / f"{entry_id}.html").read_text("utf-8")


def elsewhere(folder: Path, entry_id: str) -> list[str]:
    """Return every other file of the site that contains the id."""
    return [
        path.name
        for path in folder.rglob("*")
        if path.suffix in {".html", ".js"} and path.stem != entry_id and entry_id in path.read_text("utf-8")
    ]


def test_a_removed_entry_leaves_a_notice_with_date_and_reason(store: Store, tmp_path: Path) -> None:
    remove(store, "c0003", "It was a dance step, not a kick & no wrestler did it.")
    report = publish(store, tmp_path / "site")
    assert (report.entries, report.notices) == (3, 1)
    text = page(tmp_path / "site", "c0003")
    assert "The entry c0003 has been removed" in text
    assert "Date: 1 March 2026" in text
    assert "Reason: It was a dance step, not a kick &amp; no wrestler did it." in text
    assert "clog-kick" not in text
    assert '<meta name="robots" content="noindex">' in text


def test_a_notice_without_a_reason_states_that(store: Store, tmp_path: Path) -> None:
    remove(store, "c0003")
    publish(store, tmp_path / "site")
    assert "No reason was recorded." in page(tmp_path / "site", "c0003")


def test_a_merged_entry_links_to_its_new_entry(store: Store, tmp_path: Path) -> None:
    with store.act("Nia", "merged c0002 into c0001") as act:
        merge(act, "c0001", "c0002")
    publish(store, tmp_path / "site")
    text = page(tmp_path / "site", "c0002")
    assert "The entry c0002 was merged with another" in text
    assert '<a href="c0001.html"' in text
    assert "back-heel" in text
    assert "Date: " in text


def test_no_list_or_search_leads_to_a_notice(store: Store, tmp_path: Path) -> None:
    remove(store, "c0003", "A dance step.")
    publish(store, tmp_path / "site")
    assert elsewhere(tmp_path / "site", "c0003") == []


def test_a_restored_entry_has_its_page_again(store: Store, tmp_path: Path) -> None:
    remove(store, "c0003", "By mistake.")
    with store.read() as reader:
        act_id = reader.last_acts(1)[0].id
    with store.act("Nia", "took it back", undoes=act_id) as act:
        undo(act, act_id)
    report = publish(store, tmp_path / "site")
    assert report.notices == 0
    assert "clog-kick" in page(tmp_path / "site", "c0003")


def test_an_undone_entry_leaves_a_notice_if_it_was_published(store: Store, tmp_path: Path) -> None:
    with store.act("Nia", "made one more") as act:
        act.add(Entry("c0009", None, (Term("t9", "slip of the pen", "en", Origin.IN_USE),)))
    publish(store, tmp_path / "site")
    with store.read() as reader:
        act_id = reader.last_acts(1)[0].id
    with store.act("Nia", "took it back", undoes=act_id) as act:
        undo(act, act_id)
    assert publish(store, tmp_path / "elsewhere").notices == 0
    assert publish(store, tmp_path / "site").notices == 1
    assert "was undone" in page(tmp_path / "site", "c0009")
    assert publish(store, tmp_path / "site").notices == 1, "the notice stays in the edition after it"


def test_an_entry_left_out_of_this_edition_leaves_a_notice(store: Store, tmp_path: Path) -> None:
    publish(store, tmp_path / "site")
    report = publish(store, tmp_path / "site", drafts=False)
    assert (report.entries, report.notices) == (0, 4)
    assert "It is not part of this edition." in page(tmp_path / "site", "c0004")


@pytest.mark.parametrize(("tag", "words"), [("cy", "Unwyd y cofnod hwn"), ("ga", "Cumascadh an iontráil")])
def test_a_notice_is_in_the_language_of_the_site(store: Store, tmp_path: Path, tag: str, words: str) -> None:
    with store.act("Nia", "merged c0002 into c0001") as act:
        merge(act, "c0001", "c0002")
    publish(store, tmp_path / "site", voice=voice_of(tag))
    assert words in page(tmp_path / "site", "c0002")
