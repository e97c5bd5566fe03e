"""The frame and the macros in a browser: keys, editing in place, finding, accessibility, width."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from flask import Blueprint, Response, render_template, request
from playwright.sync_api import Page, expect

from app.web import context
from app.web.drawing import MARKS, Witnessed
from app.web.forms import Form
from termbase.errors import BadInput
from termbase.evidence.scales import Evidence, MechanicScale, NameScale, PracticeScale
from termbase.record.entries import Gender, Number, Origin, PartOfSpeech, Term
from termbase.record.entries import InflectedForm as Inflected
from termbase.record.people import Termbase
from termbase.record.sources import Certainty, Slip, Source, SourceKind

HOLD = Term("t1", "strap-hold", "en", Origin.IN_USE, part_of_speech=PartOfSpeech.NOUN, number=Number.SINGULAR)
WELSH = Term(
    "t2",
    "ymafael strap",
    "cy",
    Origin.REBUILT,
    part_of_speech=PartOfSpeech.VERBAL_NOUN,
    gender=Gender.MASCULINE,
    forms=(Inflected("plural", "ymafaelion strap"),),
    pronunciation="əˈmavɛl strap",
)
LISTED = replace(HOLD, id="t3", text="shoulder-grip", origin=Origin.WORD_LIST, printed="Shoulder Gripp")
ADVERTISER = Source(
    "s1", "Glanmorwen Advertiser", SourceKind.NEWSPAPER, "The Glanmorwen Advertiser", language="en"
)
SLIPS = (
    Slip(
        "q1",
        "s1",
        "Hughes of the Upper Quarry took the strap-hold and kept it to the end, to the delight of the "
        "company, and threw his man fairly upon both shoulders.",
        date="1871-06-24",
    ),
    Slip("q2", "s1", "the old strap hold, as they had it then", date="1898~", certainty=Certainty.DOUBTFUL),
)
ROWS = (
    Witnessed("strap-hold", "en", ("1866", "1871-06-24", "1874", "1898~", "1902/1909")),
    Witnessed("ymafael strap", "cy", ("1884?", "189X")),
)
EVIDENCE = (
    Evidence(NameScale.SEVERAL, ("5 independent witnesses in 7 slips, 1866 to 1909.",)),
    Evidence(MechanicScale.INFERRED, ("Its profile is borrowed from an analogue in a living style.",)),
    Evidence(PracticeScale.UNTRIED, ("No trials are recorded.",)),
)
WRONG = (
    Form.of(label="", text="a’r llaw dde ar y strap", issued="about 1898", origin="rebuilt")
    .refused(
        BadInput("The date “about 1898” cannot be read.", where="issued", fix="Write 1898~ for about 1898.")
    )
    .refused(BadInput("A source needs a short label.", where="label", fix="Write one."))
)


@pytest.fixture
def blueprints() -> tuple[Blueprint, ...]:
    sample = Blueprint("sample", __name__, template_folder=str(Path(__file__).parent / "sample"))
    sample.get("/sample")(show)
    sample.get("/sample/edit")(edit)
    sample.post("/sample/edit")(save)
    sample.get("/sample/find")(find)
    return (sample,)


def show() -> str:
    return render_template(
        "sample.html",
        heads=(HOLD, WELSH),
        terms=(HOLD, WELSH, LISTED),
        rows=ROWS,
        slips=SLIPS,
        source=ADVERTISER,
        evidences=EVIDENCE,
        words_with_marks=MARKS,
        form=WRONG,
        address=lambda n: f"/sample?page={n}",
    )


def edit() -> str:
    return render_template("edit.html", form=Form.of(text="ymafael"))


def save() -> Response | tuple[str, int]:
    form = Form.posted()
    if not form.line("text"):
        refused = form.refused(BadInput("A term needs words.", where="text", fix="Write the term."))
        return render_template("edit.html", form=refused), 400
    with context.act("changed the rights") as this:
        this.put(replace(this.get(Termbase, "termbase"), rights=form.line("text")))
    return context.done(this, "/sample")


def find() -> str:
    return f'<ul><li><a href="/sample">{request.args["q"]} found</a></li></ul>'


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_everything_is_accessible_and_no_wider_than_the_screen(
    page: Page, live_server: str, violations: Callable[[Page], list[object]], width: int, scheme: str
) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme=scheme)
    page.goto(f"{live_server}/sample")

    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("path", ["/", "/cautions", "/nowhere"])
def test_plain_pages_and_errors_are_accessible(
    page: Page, live_server: str, violations: Callable[[Page], list[object]], path: str
) -> None:
    page.set_viewport_size({"width": 390, "height": 900})
    page.goto(live_server + path)

    assert violations(page) == []


def test_targets_are_at_least_24_pixels_or_within_a_sentence(page: Page, live_server: str) -> None:
    page.set_viewport_size({"width": 390, "height": 900})
    page.goto(f"{live_server}/sample")

    small = page.evaluate(
        """[...document.querySelectorAll("a, button, summary, input:not([type=hidden]), select")]
           .filter(e => e.getClientRects().length && !e.closest(".skip"))
           .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
           .filter(([, box]) => box.height < 24 && box.height > 0).map(([html]) => html)"""
    )

    assert [html for html in small if "radio" not in html and "checkbox" not in html] == []


def test_slash_moves_to_the_search_box_and_is_an_ordinary_character_there(
    page: Page, live_server: str
) -> None:
    page.goto(f"{live_server}/sample")
    page.keyboard.press("/")
    page.keyboard.press("/")

    expect(page.locator("#find")).to_be_focused()
    expect(page.locator("#find")).to_have_value("/")


def test_question_mark_lists_the_keys_and_they_can_be_turned_off(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/sample")
    page.keyboard.press("?")
    sheet = page.locator("dialog#keys")
    expect(sheet).to_contain_text("Search for a name")
    sheet.get_by_role("button", name="Turn single-key shortcuts off").click()
    sheet.get_by_role("button", name="Close").click()
    page.keyboard.press("/")

    expect(page.locator("#find")).not_to_be_focused()


def test_a_part_is_edited_in_place_rejected_saved_and_undone(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/sample")
    page.keyboard.press("e")
    field = page.locator("#terms input[name=text]")
    expect(field).to_be_focused()
    field.fill("")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#terms .error")).to_contain_text("A term needs words.")

    field.fill("ymafael strap")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#undo-bar")).to_contain_text("Changed the rights.")
    expect(page.locator("#slips")).to_be_visible()
    assert page.url == f"{live_server}/sample"
    assert all(cookie["name"] != "wordhold_done" for cookie in page.context.cookies())

    page.keyboard.press("u")
    expect(page.locator("#undo-bar")).to_contain_text("Undid: changed the rights.")


def test_escape_cancels_editing_a_part(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/sample")
    page.keyboard.press("e")
    page.locator("#terms input[name=text]").press("Escape")

    expect(page.locator("#terms")).to_contain_text("ymafaelion strap")


def test_typed_text_is_kept_while_the_server_is_down(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/sample")
    page.keyboard.press("e")
    field = page.locator("#terms input[name=text]")
    field.fill("gafael")
    page.context.set_offline(True)
    field.press("Control+Enter")

    expect(page.locator("#terms .error")).to_contain_text("cannot be reached")
    expect(field).to_have_value("gafael")


def test_searching_replaces_the_list_while_typing(page: Page, live_server: str) -> None:
    page.route(
        "**/entries/find?*",
        lambda route: route.fulfill(
            content_type="text/html", body='<ul><li><a href="/sample">ymafael strap</a></li></ul>'
        ),
    )
    page.goto(f"{live_server}/sample")
    page.locator("#find").press_sequentially("yma")
    expect(page.locator("#found a")).to_have_text("ymafael strap")
    page.keyboard.press("ArrowDown")

    expect(page.locator("#found a")).to_be_focused()


def test_a_person_is_chosen_in_the_header(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/sample")
    expect(page.locator(".who-name")).to_have_text("Gwen Pritchard")
    page.locator(".who summary").click()
    page.locator("#who-name").fill("Siân Ŵyn")
    page.locator(".who").get_by_role("button", name="Save").click()

    expect(page.locator(".who-name")).to_have_text("Siân Ŵyn")
    assert page.url == f"{live_server}/sample"
