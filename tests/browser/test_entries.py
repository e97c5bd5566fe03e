"""Entries in a browser: by keyboard alone, edited in place, and accessible."""

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from playwright.sync_api import Page, expect

from termbase.acts import entries
from termbase.acts.rules import save_code
from termbase.acts.sources import save_slip, save_source
from termbase.record.entries import Definition, Entry, Origin, Term, Topic
from termbase.record.sources import Slip, Source, SourceKind
from termbase.rules.clauses import LegRule, RuleCode
from termbase.store.engine import Store
from termbase.technique.profile import Profile, Stated


def term(text: str, language: str, origin: Origin = Origin.IN_USE) -> Term:
    return Term("", text, language, origin)


@pytest.fixture
def filled(store: Store) -> Store:
    """Two entries, one with a technique, a slip and a rule code."""
    with store.act("Gwen", "began") as act:
        save_source(act, Source("", "Mail 1871", SourceKind.NEWSPAPER, "The Upland Mail", issued="1871"))
        save_code(
            act, RuleCode("", "Fair rules", clauses=(LegRule(id="L1", stance="barred", uses=("kick",)),))
        )
        kick = entries.save(
            act,
            Entry(
                "",
                Topic.KICK,
                (term("shin-kick", "en"), term("cic", "cy", Origin.REBUILT)),
                definitions=(Definition("en", "A kick at the shin."),),
                technique=Profile(leg_use=Stated("kick")),
            ),
        )
        save_slip(act, Slip("", "s1", "He gave him the shin-kick twice.", term_id=kick.terms[0].id))
        entries.save(act, Entry("", Topic.TRIP, (term("hank", "en"), term("clicied", "cy"))))
        entries.relate(act, "c0002", "see also", "c0001")
    return store


def entry(store: Store, entry_id: str) -> Entry:
    with store.read() as reader:
        return reader.get(Entry, entry_id)


def test_an_entry_is_found_or_created_from_the_search_box_by_keyboard(
    page: Page, live_server: str, filled: Store
) -> None:
    page.goto(f"{live_server}/entries")
    page.keyboard.press("/")
    page.keyboard.type("glicied")
    expect(page.locator("#found li").first).to_contain_text("mutated form")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.wait_for_url("**/entries/c0002")

    page.keyboard.press("/")
    page.keyboard.type("bachiad")
    expect(page.locator("#found .or-new")).to_be_visible()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.wait_for_url("**/entries/new?text=bachiad")
    page.keyboard.press("Tab")
    page.keyboard.type("w")  # word-list
    page.keyboard.press("Control+Enter")
    page.wait_for_url("**/entries/c0003")
    assert [(t.text, t.origin) for t in entry(filled, "c0003").terms] == [("bachiad", Origin.WORD_LIST)]


def test_the_list_is_filtered_while_typing_and_keys_move_through_its_rows(
    page: Page, live_server: str, filled: Store
) -> None:
    page.goto(f"{live_server}/entries")
    page.keyboard.press("f")
    page.keyboard.type("han")
    expect(page.locator("table.entries tbody tr")).to_have_count(1)
    assert page.url.endswith("?q=han&lang=en")
    page.keyboard.press("Escape")
    page.keyboard.press("j")
    page.keyboard.press("Enter")
    page.wait_for_url("**/entries/c0002")


def test_a_condition_filters_the_list_without_leaving_it(page: Page, live_server: str, filled: Store) -> None:
    page.goto(f"{live_server}/entries")
    page.keyboard.press("c")
    page.get_by_label("Verdict").select_option("breaks the rules")

    expect(page.locator("table.entries tbody tr")).to_have_count(1)
    expect(page.locator("table.entries")).to_contain_text("shin-kick")


def test_a_name_and_its_variant_are_edited_in_place_and_undone_by_keyboard(
    page: Page, live_server: str, filled: Store
) -> None:
    page.goto(f"{live_server}/entries/c0002")
    page.keyboard.press("e")
    expect(page.locator("#term-t4 .part-form")).to_be_visible()
    page.keyboard.press("Control+A")
    page.keyboard.type("cliced")
    page.keyboard.press("Control+Enter")
    expect(page.locator("h1")).to_contain_text("cliced")
    assert page.evaluate("document.activeElement.closest('[data-part]').id") == "term-t4"

    page.keyboard.press("v")
    expect(page.locator("#term-new form")).to_be_visible()
    page.keyboard.type("clicied bach")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#names")).to_contain_text("clicied bach")
    assert [t.text for t in entry(filled, "c0002").terms] == ["hank", "cliced", "clicied bach"]

    page.keyboard.press("u")
    page.wait_for_load_state()
    expect(page.locator("#names")).not_to_contain_text("clicied bach")


def test_a_refused_part_keeps_the_typed_text_and_shows_the_reason_beside_it(
    page: Page, live_server: str, filled: Store
) -> None:
    page.goto(f"{live_server}/entries/c0002")
    page.keyboard.press("a")
    page.locator("#term-new [name=text]").fill("typed with care")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#term-new .error-summary")).to_be_focused()
    expect(page.locator("#term-new .error-summary a")).to_have_text("Where it comes from")
    expect(page).to_have_title(re.compile("^Error: "))
    page.locator("#term-new [name=origin]").select_option("coined")
    page.locator("#term-new [name=language]").fill("no such tag!")
    page.keyboard.press("Control+Enter")

    expect(page.locator("#language-error")).to_be_visible()
    expect(page.locator("#term-new [name=text]")).to_have_value("typed with care")
    expect(page.locator("#term-new .error-summary")).to_be_focused()


def test_changing_signed_text_visibly_reopens_the_reading(
    page: Page, live_server: str, filled: Store
) -> None:
    page.goto(f"{live_server}/entries/c0002")
    page.keyboard.press("1")
    expect(page.locator("#readings")).to_contain_text("signed by Gwen Pritchard")
    page.keyboard.press("o")
    page.locator("#notes [name=usage_note]").fill("Of boys only.")
    page.keyboard.press("Control+Enter")

    expect(page.locator("#readings")).to_contain_text("the usage note changed after it was signed")


def test_characters_of_the_language_are_inserted_at_the_cursor(
    page: Page, live_server: str, filled: Store
) -> None:
    page.goto(f"{live_server}/entries/new")
    name = page.locator("[name=text-cy]")
    name.fill("tyn")
    name.press("ArrowLeft")
    page.locator(".palette .sign", has_text="ŷ").first.click()

    expect(name).to_have_value("tyŷn")
    expect(name).to_be_focused()


def test_another_entry_is_chosen_by_typing(page: Page, live_server: str, filled: Store) -> None:
    with filled.act("Gwen", "created an entry") as act:
        entries.save(act, Entry("", Topic.TRIP, (term("llam", "cy"),)))
    page.goto(f"{live_server}/entries/c0003")
    page.keyboard.press("r")
    page.locator("[name=kind]").select_option("counter to")
    page.locator("[name=target]").press_sequentially("han")
    option = page.locator("#target-found option").first
    expect(option).to_have_attribute("value", "c0002 hank · clicied")
    page.locator("[name=target]").fill("c0002 hank · clicied")
    page.keyboard.press("Control+Enter")

    expect(page.locator("#relations")).to_contain_text("counter to hank")


def test_the_second_of_two_people_sees_both_texts(page: Page, live_server: str, filled: Store) -> None:
    page.goto(f"{live_server}/entries/c0002")
    page.keyboard.press("o")
    page.locator("[name=usage_note]").fill("Of boys.")
    with filled.act("Ifan", "noted") as act:
        entries.save(act, replace(act.get(Entry, "c0002"), usage_note="Of men."))
    page.keyboard.press("Control+Enter")

    expect(page.locator("#notes .beside")).to_contain_text("Of men.")
    expect(page.locator("[name=usage_note]")).to_have_value("Of boys.")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#notes .block")).to_have_text("Of boys.")


PAGES = (
    "/", "/entries", "/entries?q=zzz", "/entries/new", "/entries/c0001", "/entries/c0001/edit/term-t1",
    "/entries/c0001/edit/slip-q1", "/entries/c0001/edit/definitions", "/entries/c0001/edit/figures",
    "/entries/c0001/edit/relations", "/entries/c0001/edit/analogues", "/entries/c0001/edit/ruling-r1",
    "/entries/c0001/remove", "/history", "/history/entry/c0001", "/history/act/3",
)  # fmt: skip


@pytest.mark.parametrize("path", PAGES)
def test_pages_are_accessible_and_fit_a_narrow_window(
    page: Page,
    live_server: str,
    filled: Store,
    violations: Callable[[Page], list[object]],
    path: str,
) -> None:
    page.goto(live_server + path)

    assert violations(page) == []
    page.set_viewport_size({"width": 320, "height": 700})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


def test_an_empty_termbase_is_started_by_keyboard(
    page: Page, live_server: str, store: Store, violations: Callable[[Page], list[object]]
) -> None:
    page.goto(live_server)
    assert violations(page) == []
    page.keyboard.press("2")
    page.keyboard.type("Geiriau")
    page.keyboard.press("Control+Enter")

    page.wait_for_url("**/entries/new")
    with store.read() as reader:
        assert reader.termbase().title == "Geiriau"


def test_a_key_changes_the_preceding_letter_into_its_next_variant(
    page: Page, live_server: str, filled: Store
) -> None:
    page.goto(f"{live_server}/entries/new")
    name = page.locator("[name=text-cy]")
    name.press_sequentially("dw")
    expect(page.locator(".palette")).to_be_visible()
    name.press("Alt+Period")
    expect(name).to_have_value("dŵ")
    name.press_sequentially("ra")
    for turned in ("dŵrâ", "dŵrá", "dŵrà", "dŵrä", "dŵra"):
        name.press("Alt+Period")
        expect(name).to_have_value(turned)
    page.locator("[name=topic]").focus()
    expect(page.locator(".palette")).to_be_hidden()


def test_the_modern_spelling_is_shown_beside_the_printed_form_and_never_replaces_it(
    page: Page, live_server: str, filled: Store
) -> None:
    page.goto(f"{live_server}/entries/c0002/edit/term-new")
    printed = page.locator("[name=printed]")
    printed.fill("buaileaḋ")
    expect(page.locator(".modern")).to_contain_text("buaileadh")
    page.locator(".modern button").click()

    expect(page.locator("#term-new [name=text]")).to_have_value("buaileadh")
    expect(printed).to_have_value("buaileaḋ")
