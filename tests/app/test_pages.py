"""The section Pages: adding a page, the desk, accepting, the pattern editor."""

import gzip
import re
from dataclasses import replace
from io import BytesIO
from time import sleep

import pytest
from flask.testing import FlaskClient
from lxml.html import fromstring
from PIL import Image as Pictures
from werkzeug.test import TestResponse

from termbase.acts import pages as page_acts
from termbase.acts.sources import save_source
from termbase.fields.notes import own_words
from termbase.record.entries import Entry
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Source, SourceKind
from termbase.store.engine import Store
from termbase.wordlists.pattern_files import read_pattern, write_pattern
from termbase.wordlists.stock import STOCK

PART = {"Wordhold-Part": "1"}
TEXT = """41
belt, s. [strap] gwregys, m., pl. gwregysau.
" hold, s. [do.] gafael yn y gwregys, f.
bout, s. gornest, f.
belt-hold, see belt hold
blow s [box ergyl, f.
fall, s. 1. cwymp, m. 2. codwm, m.
"""
BELT, BELT_HOLD, BOUT, SEE, BLOW, FALL = range(2, 8)


@pytest.fixture
def page(store: Store) -> Page:
    pattern = write_pattern(STOCK["pocket list"])
    with store.act("Gwen", "entered a page") as act:
        source = save_source(act, Source("", "Glan 1898", SourceKind.WORD_LIST, "A List", pattern=pattern))
        return page_acts.add_page(act, source.id, "41", TEXT)


def lines(store: Store) -> dict[int, Line]:
    with store.read() as reader:
        return {line.position: line for line in reader.all(Line)}


def entries(store: Store) -> tuple[Entry, ...]:
    with store.read() as reader:
        return reader.all(Entry)


def work(
    client: FlaskClient, store: Store, what: str, position: int, part: bool = False, **fields: object
) -> TestResponse:
    """Do an act at a line, as its form on the desk does."""
    line = lines(store)[position]
    data = {"version": line.version, "at": position, **fields}
    return client.post(f"/pages/w1/lines/{line.id}/{what}", data=data, headers=PART if part else {})


def png() -> bytes:
    made = BytesIO()
    Pictures.new("L", (40, 60), 200).save(made, "PNG")
    return made.getvalue()


def test_an_empty_section_says_how_to_begin(client: FlaskClient) -> None:
    html = client.get("/pages").get_data(as_text=True)
    assert "There are no word-list pages yet." in html
    assert 'href="/pages/new"' in html


def test_the_list_shows_how_far_each_page_is_worked(client: FlaskClient, store: Store, page: Page) -> None:
    work(client, store, "make", BELT)
    html = client.get("/pages").get_data(as_text=True)
    assert "Lines of page 41: 1 done, 0 set aside, 5 remaining" in html
    assert "Glan 1898" in client.get("/pages?part=1&q=glan").get_data(as_text=True)
    assert "No word-list or page matches." in client.get("/pages?q=zzz").get_data(as_text=True)


NEW = {"text": TEXT, "label": "Pocket 1898", "number": "41", "stock": "pocket list"}


def test_an_unworked_page_is_drawn_in_the_colour_of_remaining_lines(client: FlaskClient, page: Page) -> None:
    shown = client.get(f"/pages/{page.id}").text
    strip = shown[shown.index('class="strip"') :]
    drawn = re.findall(r'<rect class="part part-(\d)"', strip[: strip.index("</svg>")])
    assert (re.search(r"<b>0</b>\s*done", strip) is not None, drawn) == (True, ["3"])


def test_a_page_is_pasted_and_opens_on_the_desk(client: FlaskClient, store: Store) -> None:
    answer = client.post("/pages/new", data=NEW)
    assert (answer.status_code, answer.location) == (303, "/pages/w1")
    with store.read() as reader:
        source = reader.get(Source, "s1")
        assert reader.get(Page, "w1").transcription == TEXT
    pattern = read_pattern(source.pattern, "pattern")
    assert (pattern.headword_language, pattern.equivalent_language) == ("en", "cy")
    assert "gwregys" in client.get("/pages/w1").get_data(as_text=True)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"text": ""}, "The page has no text."),
        ({"number": " "}, "The page has no number."),
        ({"label": ""}, "needs a short label"),
        ({"stock": ""}, "has no line pattern yet"),
        ({"text": "one two three four\nfive six seven eight\n"}, "This pattern fits none of the 2 records."),
        ({"issued": "about 1898"}, "about 1898"),
    ],
)
def test_errors_are_shown_and_typed_text_is_kept(
    client: FlaskClient, store: Store, changed: dict[str, str], said: str
) -> None:
    typed = {**NEW, "title": "A Pocket Word-List", **changed}
    answer = client.post("/pages/new", data=typed)
    html = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert said in html
    assert 'value="A Pocket Word-List"' in html
    assert typed["text"].split("\n")[0] in html
    with store.read() as reader:
        assert reader.count(Page) == reader.count(Source) == 0


def test_a_pattern_that_fits_nothing_leads_to_the_editor_when_wanted(client: FlaskClient) -> None:
    typed = {**NEW, "text": "one two three four\nfive six seven eight\n"}
    assert "open the pattern editor" in client.post("/pages/new", data=typed).get_data(as_text=True)
    answer = client.post("/pages/new", data={**typed, "all_the_same": "yes"})
    assert answer.location == "/pages/pattern/s1?page=w1"


def test_an_existing_page_is_not_entered_twice(client: FlaskClient, page: Page) -> None:
    answer = client.post("/pages/new", data={"source": "s1", "number": "41", "text": TEXT})
    html = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert "Page 41 of Glan 1898 already exists" in html
    assert "gafael yn y gwregys" in html


@pytest.mark.parametrize(
    ("content", "name", "fields"),
    [
        (TEXT.encode(), "p41.txt", {}),
        (gzip.compress(TEXT.encode()), "p41.txt.gz", {}),
        ("belt, s. gwrég, m.".encode("cp1252"), "p41.txt", {"encoding": "windows-1252"}),
    ],
    ids=["text", "gzip", "Windows-1252"],
)
def test_a_page_is_uploaded(client: FlaskClient, content: bytes, name: str, fields: dict[str, str]) -> None:
    data = {**NEW, "text": "", **fields, "file": (BytesIO(content), name)}
    assert client.post("/pages/new", data=data).status_code == 303


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "The file is empty (0 bytes)."),
        ("gwregŷs â".encode("utf-16"), "This is UTF-16, not UTF-8."),
        (b"belt, s. gwreg\xfds", "line 1, byte 15"),
        (gzip.compress(b"belt, s. gwregys")[:-9], "The gzip data are cut off."),
        (b"belt\0", "contains a NUL byte"),
    ],
    ids=["nothing", "UTF-16", "Windows-1252", "cut short", "NUL"],
)
def test_a_file_that_is_not_text_is_reported_by_its_type(
    client: FlaskClient, content: bytes, said: str
) -> None:
    data = {**NEW, "text": "", "file": (BytesIO(content), "p41.txt")}
    answer = client.post("/pages/new", data=data)
    html = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert said in html
    assert 'value="Pocket 1898"' in html


def test_a_file_that_is_not_an_image_is_refused_beside_its_field(client: FlaskClient) -> None:
    answer = client.post("/pages/new", data={**NEW, "image": (BytesIO(b"GIF89a"), "p41.gif")})
    html = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert re.search(r'id="image-error">[^<]*p41.gif: This is not a readable picture', html)
    empty = client.post("/pages/new", data={**NEW, "image": (BytesIO(b""), "p41.png")})
    assert "0 bytes" in empty.get_data(as_text=True)


def test_a_picture_is_kept_while_something_else_is_corrected(client: FlaskClient, store: Store) -> None:
    first = client.post("/pages/new", data={**NEW, "number": "", "image": (BytesIO(png()), "p41.png")})
    kept = re.search(r'name="image_id" value="(\w+)"', first.get_data(as_text=True))
    assert kept is not None
    client.post("/pages/new", data={**NEW, "image_id": kept[1]})
    picture = client.get(f"/pages/w1/scan?v={kept[1]}")
    assert (picture.data, picture.mimetype) == (png(), "image/png")
    assert "immutable" in picture.headers["Cache-Control"]
    assert f"/pages/w1/scan?v={kept[1]}" in client.get("/pages/w1").get_data(as_text=True)


def test_starting_patterns_are_ranked_on_the_text(client: FlaskClient) -> None:
    html = client.post("/pages/suggest", data={"text": TEXT}).get_data(as_text=True)
    names = re.findall(r'value="([^"]+)"', html)
    assert set(names[:2]) == {"pocket list", "hanging list"}
    assert len(names) == len(STOCK)
    assert client.post("/pages/new", data={**NEW, "do": "suggest"}).status_code == 200


def test_a_pages_number_and_picture_can_be_changed_and_the_page_taken_away(
    client: FlaskClient, store: Store, page: Page
) -> None:
    data = {"number": "41 b", "version": page.version, "image": (BytesIO(png()), "p.png")}
    assert client.post("/pages/w1/edit", data=data).status_code == 303
    assert "Picture of page" in client.get("/pages/w1").get_data(as_text=True)
    again = client.post("/pages/w1/edit", data={"number": "41 c", "version": page.version})
    assert again.status_code == 409
    assert 'value="41 c"' in again.get_data(as_text=True)
    assert client.post("/pages/w1/edit", data={"number": "", "version": 2}).status_code == 400
    work(client, store, "make", BELT)
    assert client.post("/pages/w1/remove").status_code == 409
    work(client, store, "reopen", BELT)
    assert client.post("/pages/w1/remove").location == "/pages"
    assert client.get("/pages/w1").status_code == 404


def test_the_desk_opens_on_the_first_open_line_and_shows_what_it_would_become(
    client: FlaskClient, page: Page
) -> None:
    html = client.get("/pages/w1").get_data(as_text=True)
    assert re.search(r'<bdi class="words head" lang="en">belt</bdi>\s*<i class="grammar">noun', html)
    assert re.search(
        r'<bdi class="words name" lang="cy">gwregys</bdi>\s*<i class="grammar">noun, masculine', html
    )
    assert '<i class="grammar">plural</i> <bdi class="words" lang="cy">gwregysau</bdi>' in html
    assert "0 done, 0 set aside, 6 remaining" in html


def test_the_place_where_reading_stopped_is_marked_and_described(client: FlaskClient, page: Page) -> None:
    html = client.get(f"/pages/w1?at={BLOW}").get_data(as_text=True)
    assert re.search(r"<mark title=[^>]+>", html)
    assert "column" in html
    assert (
        'data-key="e" data-key-also="Enter"' in html
    )  # Enter corrects, it does not make an entry of what was not understood


def test_lines_are_worked_by_links_and_buttons_alone(client: FlaskClient, store: Store, page: Page) -> None:
    assert work(client, store, "make", BELT).location == f"/pages/w1?at={BELT_HOLD}"
    assert work(client, store, "attach", BELT_HOLD, entry="c0001").location == f"/pages/w1?at={BOUT}"
    assert work(client, store, "aside", BOUT, usual="too general").location == f"/pages/w1?at={SEE}"
    assert work(client, store, "aside", FALL, reason="seen elsewhere").location == f"/pages/w1?at={SEE}"
    now = lines(store)
    assert [now[n].state for n in (BELT, BELT_HOLD, BOUT, SEE)] == [
        LineState.MADE, LineState.ATTACHED, LineState.SET_ASIDE, LineState.NEW,
    ]  # fmt: skip
    assert now[FALL].reason == own_words("seen elsewhere")


def test_a_line_offers_what_it_resembles_with_a_key(client: FlaskClient, store: Store, page: Page) -> None:
    work(client, store, "make", BELT_HOLD)
    html = client.get(f"/pages/w1?at={SEE}").get_data(as_text=True)
    assert re.search(r'name="entry" value="c0001">\s*<button data-key="1"', html)
    assert "The line refers to it" in html
    assert 'href="/entries/c0001"' in html


def test_a_cross_reference_is_made_a_relation(client: FlaskClient, store: Store, page: Page) -> None:
    work(client, store, "make", BELT_HOLD)
    work(client, store, "make", SEE)
    assert "link the two as" in client.get(f"/pages/w1?at={SEE}").get_data(as_text=True)
    assert work(client, store, "relate", SEE, entry="c0001").status_code == 303
    assert entries(store)[1].relations[0].target_id == "c0001"
    assert "link the two as" not in client.get(f"/pages/w1?at={SEE}").get_data(as_text=True)


@pytest.mark.parametrize(
    ("what", "fields", "status", "said"),
    [
        ("attach", {"entry": "c9999"}, 400, "There is no entry “c9999”"),
        ("aside", {"reason": " "}, 400, "The reason is missing"),
        ("make", {"version": "9"}, 409, "Somebody else has worked on this line"),
        ("make", {"version": "x"}, 400, "whole number"),
        ("relate", {"entry": "c0001"}, 400, "does not belong to an entry yet"),
    ],
)
@pytest.mark.parametrize("part", [False, True])
def test_an_act_that_fails_is_reported_at_the_line(
    client: FlaskClient, store: Store, page: Page, what: str, fields: dict[str, str], status: int, said: str,
    part: bool,
) -> None:  # fmt: skip
    answer = work(client, store, what, BELT, part, **fields)
    html = answer.get_data(as_text=True)
    assert answer.status_code == status
    assert said in html
    assert ("<html" in html) is not part
    assert lines(store)[BELT].state is LineState.NEW


def test_the_script_gets_only_the_parts_that_change(client: FlaskClient, store: Store, page: Page) -> None:
    answer = work(client, store, "make", BELT, part=True)
    html = answer.get_data(as_text=True)
    assert answer.headers["Wordhold-Place"] == f"/pages/w1?at={BELT_HOLD}"
    assert "<html" not in html
    assert re.findall(r'id="(desk-\w+)" data-desk-part', html) == ["desk-strip", "desk-work"]
    assert "1 done" in html


def test_undoing_acts_one_by_one_returns_to_their_line(client: FlaskClient, store: Store, page: Page) -> None:
    work(client, store, "make", BELT)
    work(client, store, "aside", BELT_HOLD, usual="repeated")

    def undo() -> TestResponse:
        form = re.search(r'action="(/pages/w1/undo/\d+)"', client.get("/pages/w1").get_data(as_text=True))
        assert form is not None
        return client.post(form[1])

    assert undo().location == f"/pages/w1?at={BELT_HOLD}"
    assert undo().location == f"/pages/w1?at={BELT}"
    assert entries(store) == ()
    assert "Nothing to undo yet" in client.get("/pages/w1").get_data(as_text=True)
    assert client.post("/pages/w1/undo/999").status_code == 404


def test_an_undo_of_something_changed_since_is_reported_at_the_line(
    client: FlaskClient, store: Store, page: Page
) -> None:
    work(client, store, "make", BELT)
    with store.act("Ifan", "noted") as act:
        act.put(replace(act.get(Entry, "c0001"), usage_note="rare"))
    form = re.search(r'action="(/pages/w1/undo/\d+)"', client.get("/pages/w1").get_data(as_text=True))
    assert form is not None
    answer = client.post(form[1])
    assert answer.status_code == 409
    assert "has been changed since" in answer.get_data(as_text=True)


def form_fields(html: str, action: str) -> dict[str, str]:
    """What a browser would send of the form whose address holds `action`, without its buttons."""
    form = next(f for f in fromstring(html).forms if f.method == "POST" and action in (f.action or ""))
    return {name: value.removeprefix("\n") for name, value in form.form_values()}


def correction(client: FlaskClient, position: int) -> dict[str, str]:
    """The fields of the correction form as the page fills them."""
    return form_fields(client.get(f"/pages/w1?at={position}&correct=1").get_data(as_text=True), "/correct")


def test_the_parse_is_corrected_and_the_misprint_kept(client: FlaskClient, store: Store, page: Page) -> None:
    fields = correction(client, BLOW) | {
        "headword": "blow", "part_of_speech": "noun", "style": "boxing",
        "s1_e1_text": "ergyd", "s1_e1_printed": "ergyl", "s1_e1_gender": "feminine",
        "s1_e1_forms": "plural: ergydion; -iau",
    }  # fmt: skip
    assert work(client, store, "correct", BLOW, **fields).location == f"/pages/w1?at={BLOW}"
    line = lines(store)[BLOW]
    assert (line.state, line.corrected, line.text) == (LineState.NEW, True, "blow s [box ergyl, f.\n")
    work(client, store, "make", BLOW)
    (entry,) = entries(store)
    welsh = entry.terms[1]
    assert (welsh.text, welsh.printed) == ("ergyd", "ergyl")
    assert [(f.label, f.text) for f in welsh.forms] == [("plural", "ergydion"), ("", "-iau")]


def test_a_name_spelt_otherwise_keeps_the_printed_spelling_by_itself(
    client: FlaskClient, store: Store, page: Page
) -> None:
    fields = correction(client, BOUT) | {"s1_e1_text": "ymornest"}
    work(client, store, "correct", BOUT, **fields)
    work(client, store, "make", BOUT)
    assert [(t.text, t.printed) for t in entries(store)[0].terms] == [("bout", ""), ("ymornest", "gornest")]


def test_taking_a_reading_as_it_is_changes_no_part_of_it(
    client: FlaskClient, store: Store, page: Page
) -> None:
    for position in (BELT, BELT_HOLD, BOUT, SEE, FALL):
        before = lines(store)[position]
        work(client, store, "correct", position, **correction(client, position))
        assert lines(store)[position].parsed == before.parsed


def test_rows_are_added_to_the_form_without_saving(client: FlaskClient, store: Store, page: Page) -> None:
    fields = correction(client, BOUT)
    html = work(client, store, "correct", BOUT, **fields, more="s1").get_data(as_text=True)
    assert 'name="s1_e2_text"' in html
    html = work(client, store, "correct", BOUT, **fields, more="sense").get_data(as_text=True)
    assert 'name="s2_e1_text"' in html
    assert not lines(store)[BOUT].corrected


def test_a_correction_without_a_headword_is_refused_and_kept(
    client: FlaskClient, store: Store, page: Page
) -> None:
    fields = correction(client, BOUT) | {"headword": "", "note": "typed with care"}
    answer = work(client, store, "correct", BOUT, **fields)
    assert answer.status_code == 400
    assert 'id="headword-error"' in answer.get_data(as_text=True)
    assert 'value="typed with care"' in answer.get_data(as_text=True)


def test_a_correction_after_somebody_elses_shows_both(client: FlaskClient, store: Store, page: Page) -> None:
    mine = correction(client, BOUT) | {"note": "mine"}
    work(client, store, "correct", BOUT, **(correction(client, BOUT) | {"note": "theirs"}))
    answer = client.post(f"/pages/w1/lines/{lines(store)[BOUT].id}/correct", data={**mine, "at": BOUT})
    html = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert 'value="mine"' in html
    assert "Current value" in html
    assert "theirs" in html
    client.post(f"/pages/w1/lines/{lines(store)[BOUT].id}/correct", data=form_fields(html, "/correct"))
    now = lines(store)[BOUT].parsed
    assert now is not None
    assert now.note == "mine"


def test_the_list_of_lines_is_narrowed_in_the_address(client: FlaskClient, store: Store, page: Page) -> None:
    work(client, store, "aside", BOUT, usual="repeated")
    html = client.get("/pages/w1?show=set aside").get_data(as_text=True)
    assert "gornest" in html
    assert "gwregysau" not in html
    html = client.get("/pages/w1?holding=cwymp").get_data(as_text=True)
    assert 'aria-labelledby="current-line"' in html
    assert "gwregysau" not in html
    assert "No line matches." in client.get("/pages/w1?holding=zzz").get_data(as_text=True)


@pytest.mark.parametrize("address", ["at=99999", "at=-1", "at=x", "show=nonsense", "at=1", "at=999999999999"])
def test_odd_addresses_show_the_desk(client: FlaskClient, page: Page, address: str) -> None:
    assert client.get(f"/pages/w1?{address}").status_code == 200


def test_a_finished_page_is_reported_as_finished(client: FlaskClient, store: Store, page: Page) -> None:
    for position in (BELT, BELT_HOLD, BOUT, SEE, BLOW, FALL):
        work(client, store, "aside", position, usual="repeated")
    html = client.get("/pages/w1").get_data(as_text=True)
    assert "Every line of this page is done." in html or "Show" in html
    assert "Accept all clear lines" not in html


def job_page(client: FlaskClient, answer: TestResponse) -> str:
    """The page of a job once it has ended."""
    for _ in range(200):
        if client.get(f"{answer.location}.json").get_json()["state"] != "running":
            break
        sleep(0.02)
    return client.get(answer.location).get_data(as_text=True)


def test_all_clear_lines_are_accepted_reported_and_undone_as_one(
    client: FlaskClient, store: Store, page: Page
) -> None:
    html = job_page(client, client.post("/pages/w1/accept"))
    assert "lines became" in html
    report = re.search(r'href="(/pages/w1/accepted/\d+)"', html)
    assert report is not None
    told = client.get(report[1]).get_data(as_text=True)
    assert "not read cleanly" in told.lower()
    assert "blow s [box ergyl" in told
    assert len(entries(store)) >= 4
    assert "undone" in job_page(client, client.post(f"{report[1]}/undo"))
    assert entries(store) == ()
    assert "This was undone." in client.get(report[1]).get_data(as_text=True)
    assert client.get("/pages/w1/accepted/999").status_code == 200
    assert client.post("/pages/w1/accepted/999/undo").status_code == 404


def settings(client: FlaskClient) -> dict[str, str]:
    """The fields of the pattern editor as the page fills them."""
    fields = form_fields(client.get("/pages/pattern/s1").get_data(as_text=True), "/pattern/")
    return {name: value for name, value in fields.items() if name != "toml"}


def test_the_pattern_editor_shows_every_setting_and_the_pages_own_lines(
    client: FlaskClient, page: Page
) -> None:
    html = client.get("/pages/pattern/s1").get_data(as_text=True)
    assert "HEADWORD, see SEE" in html
    assert "<b>5</b> read cleanly" in html
    assert "No line on this page." in html
    assert "Equivalents are separated by" in html


def test_a_change_of_the_pattern_is_seen_before_it_is_saved(
    client: FlaskClient, store: Store, page: Page
) -> None:
    fields = settings(client) | {"layouts_record": "HEADWORD, see SEE"}
    html = client.post("/pages/pattern/s1/preview", data=fields).get_data(as_text=True)
    assert "<b>1</b> read cleanly" in html
    assert "5 lines would be read differently." in html
    assert lines(store)[BELT].state is LineState.NEW
    assert client.post("/pages/pattern/s1", data=fields | {"do": "look"}).status_code == 200
    assert lines(store)[BELT].state is LineState.NEW
    assert client.post("/pages/pattern/s1", data=fields | {"do": "save"}).location == "/pages/w1"
    assert lines(store)[BELT].state is LineState.UNPARSED


def test_saving_the_pattern_as_it_is_changes_no_line(client: FlaskClient, store: Store, page: Page) -> None:
    before = lines(store)
    assert client.post("/pages/pattern/s1", data=settings(client) | {"do": "save"}).status_code == 303
    assert lines(store) == before


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("layouts_record", "HEADWORD, BOGUS", "BOGUS is not a part of a record"),
        ("layouts_sense", "{EQUIVALENTS", "not closed"),
        ("labels_gender", "m.", "is not an abbreviation with its meaning"),
        ("cutting_indent", "two", "whole number"),
        ("name", "", "no name"),
    ],
)
def test_an_invalid_setting_is_reported_beside_its_field(
    client: FlaskClient, page: Page, field: str, value: str, said: str
) -> None:
    fields = settings(client) | {field: value, "do": "save"}
    answer = client.post("/pages/pattern/s1", data=fields)
    html = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert f'id="{field}-error"' in html
    assert said in html
    assert said in client.post("/pages/pattern/s1/preview", data=fields).get_data(as_text=True)


def test_a_pattern_changed_meanwhile_is_shown_beside_yours(client: FlaskClient, page: Page) -> None:
    mine = settings(client)
    client.post("/pages/pattern/s1", data=mine | {"description": "theirs", "do": "save"})
    answer = client.post("/pages/pattern/s1", data=mine | {"description": "mine", "do": "save"})
    html = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert 'value="mine"' in html
    assert "theirs" in html


def test_a_pattern_that_cuts_worked_lines_otherwise_asks_first(
    client: FlaskClient, store: Store, page: Page
) -> None:
    work(client, store, "make", BELT)
    fields = settings(client) | {"cutting_records": "blank line", "do": "save"}
    answer = client.post("/pages/pattern/s1", data=fields)
    html = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert 'name="leave"' in html
    assert client.post("/pages/pattern/s1", data=fields | {"leave": "yes"}).status_code == 303
    assert len(lines(store)) == 7


def test_a_pattern_can_be_pasted_as_text(client: FlaskClient, page: Page) -> None:
    toml = write_pattern(STOCK["bare pairs"])
    html = client.post("/pages/pattern/s1", data={"do": "toml", "toml": toml}).get_data(as_text=True)
    assert "HEADWORD = SENSES" in html
    bad = client.post("/pages/pattern/s1", data={"do": "toml", "toml": "name = "})
    assert bad.status_code == 400
    assert 'id="toml-error"' in bad.get_data(as_text=True)


@pytest.mark.parametrize("address", ["/pages/w9", "/pages/w9/edit", "/pages/pattern/s9", "/pages/w9/scan"])
def test_what_is_not_there_is_not_found(client: FlaskClient, address: str) -> None:
    assert client.get(address).status_code == 404


def test_a_line_is_attached_to_an_entry_chosen_by_its_name(
    client: FlaskClient, store: Store, page: Page
) -> None:
    work(client, store, "make", BELT)
    chosen = client.get("/entries/choose?q=gwreg").get_json()["found"][0]["value"]
    assert work(client, store, "attach", BOUT, entry=chosen).status_code == 303
    assert lines(store)[BOUT].entry_ids == ("c0001",)


def test_after_a_line_is_worked_its_cross_reference_can_be_related_in_passing(
    client: FlaskClient, store: Store, page: Page
) -> None:
    work(client, store, "make", BELT_HOLD)
    html = work(client, store, "make", SEE, part=True).get_data(as_text=True)
    assert "It refers to" in html
    sent = form_fields(html, "/relate")
    answer = client.post(f"/pages/w1/lines/{lines(store)[SEE].id}/relate", data=sent, headers=PART)
    assert answer.headers["Wordhold-Place"] == f"/pages/w1?at={BLOW}"
    assert entries(store)[1].relations[0].target_id == "c0001"
    html = answer.get_data(as_text=True)
    assert "It refers to" not in html
    undo = re.search(r'action="(/pages/w1/undo/\d+)"', html)
    assert undo is not None
    assert client.post(undo[1]).status_code == 303
    assert entries(store)[1].relations == ()
