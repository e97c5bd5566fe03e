"""The page desk worked by keyboard alone, its keystrokes counted; the pattern editor; accessibility."""

import re
from collections.abc import Callable
from io import BytesIO

import pytest
from PIL import Image as Pictures
from playwright.sync_api import Page, expect

from termbase.acts import pages as page_acts
from termbase.acts.sources import save_source
from termbase.fields.notes import own_words
from termbase.record.pages import Line, LineState
from termbase.record.people import Image
from termbase.record.sources import Source, SourceKind
from termbase.store.engine import Store
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.stock import STOCK

STEMS = ("bar", "belt", "bout", "brace", "clinch", "crook", "dodge", "draw", "fall", "feint")
WELSH = ("trawst", "gwregys", "gornest", "rhwymyn", "cydiad", "bachyn", "osgo", "llun", "codwm", "ffug")
KINDS = ("grip", "hold", "throw", "trip")
SECOND = ("gafael", "daliad", "tafliad", "bagliad")
ROWS = tuple(
    f"{stem}-{kind}, s. [strap] {second} {welsh}, m."
    for kind, second in zip(KINDS, SECOND, strict=True)
    for stem, welsh in zip(STEMS, WELSH, strict=True)
)
TEXT = "\n".join(ROWS)


@pytest.fixture
def worked(store: Store) -> Store:
    """A word-list with one page that has a picture and lines of every kind."""
    made = BytesIO()
    Pictures.new("L", (400, 600), 220).save(made, "PNG")
    text = (
        "belt, s. [strap] gwregys, m., pl. gwregysau.\nbelt-hold, s. gafael yn y gwregys, f.\n"
        "belt hold, s. daliad, m.\nblow s [box ergyd\nbout, s. gornest, f.; codwm, m.\nsash, see belt\n"
    )
    with store.act("Gwen Pritchard", "entered a page") as act:
        act.add_image(Image("0123456789abcdef", "image/png", 400, 600, made.getvalue()))
        pattern = write_pattern(STOCK["pocket list"])
        source = save_source(act, Source("", "Glan 1898", SourceKind.WORD_LIST, "A List", pattern=pattern))
        page_acts.add_page(act, source.id, "41", text, "0123456789abcdef")
    return store


def states(store: Store) -> list[LineState]:
    with store.read() as reader:
        return [line.state for line in sorted(reader.all(Line), key=lambda line: line.position)]


def current(page: Page) -> str:
    return re.sub(r"\s+", " ", page.locator("#current-line bdi").inner_text()).strip()


def test_a_page_is_pasted_and_forty_lines_worked_by_keyboard_alone(
    page: Page, live_server: str, store: Store
) -> None:
    page.goto(f"{live_server}/pages")
    page.keyboard.press("n")
    expect(page.locator("#text")).to_be_visible()
    page.locator("#text").focus()
    page.keyboard.insert_text(TEXT)
    expect(page.locator(".share").first).to_be_visible()
    while not page.evaluate("document.activeElement.id === 'number'"):
        page.keyboard.press("Tab")
    page.keyboard.type("41")
    while not page.evaluate("document.activeElement.id === 'label'"):
        page.keyboard.press("Tab")
    page.keyboard.type("Glan 1898")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#current-line bdi")).to_have_text(ROWS[0])

    strokes = 0
    for number, row in enumerate(ROWS):
        expect(page.locator("#current-line bdi")).to_have_text(row)
        offered = page.locator(".offers button").count()
        keys = ("s", "g") if number % 10 == 9 else ("1",) if offered and number % 3 == 2 else ("Enter",)
        for name in keys:
            page.keyboard.press(name)
            strokes += 1
    expect(page.locator("#desk-strip")).to_contain_text("0 remaining")
    assert strokes <= 2 * len(ROWS)
    assert states(store).count(LineState.SET_ASIDE) == 4
    assert LineState.NEW not in states(store)

    page.keyboard.press("u")
    expect(page.locator("#desk-strip")).to_contain_text("1 remaining")
    expect(page.locator("#current-line bdi")).to_have_text(ROWS[-1])
    assert states(store)[-1] is LineState.NEW
    page.keyboard.press("u")
    expect(page.locator("#current-line bdi")).to_have_text(ROWS[-2])


def test_no_key_is_lost_when_typing_faster_than_the_server_responds(
    page: Page, live_server: str, worked: Store
) -> None:
    page.goto(f"{live_server}/pages/w1")
    page.route("**/make", lambda route: (page.wait_for_timeout(200), route.continue_())[1])
    page.keyboard.press("Enter")
    page.keyboard.press("s")
    page.keyboard.press("r")
    expect(page.locator("#desk-strip")).to_contain_text("1 set aside")
    assert states(worked)[:3] == [LineState.MADE, LineState.SET_ASIDE, LineState.NEW]


def test_the_keys_of_the_desk(page: Page, live_server: str, worked: Store) -> None:
    page.goto(f"{live_server}/pages/w1")
    page.keyboard.press("j")
    expect(page.locator("#current-line bdi")).to_contain_text("belt-hold")
    page.keyboard.press("ArrowDown")
    expect(page.locator("#current-line bdi")).to_contain_text("belt hold")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    expect(page.locator("#current-line bdi")).to_contain_text("belt hold")
    expect(page.locator(".offers")).to_contain_text("belt-hold")
    page.keyboard.press("1")
    expect(page.locator("#current-line bdi")).to_contain_text("blow")
    page.keyboard.press("s")
    page.keyboard.press("Escape")
    page.keyboard.press("s")
    page.keyboard.press("t")
    page.keyboard.type("torn off")
    page.keyboard.press("Enter")
    expect(page.locator("#current-line bdi")).to_contain_text("bout")
    with worked.read() as reader:
        assert reader.get(Line, "l4").reason == own_words("torn off")
    assert states(worked)[1:4] == [LineState.MADE, LineState.ATTACHED, LineState.SET_ASIDE]


def test_enter_corrects_a_line_that_was_not_read(page: Page, live_server: str, worked: Store) -> None:
    page.goto(f"{live_server}/pages/w1?at=4")
    page.keyboard.press("Enter")
    headword = page.locator("#headword")
    expect(headword).to_be_focused()
    headword.fill("blow")
    page.locator("#s1_e1_text").fill("ergyd")
    page.keyboard.press("Control+Enter")
    expect(page.locator(".current .draft")).to_contain_text("ergyd")
    expect(page.locator("#current-line bdi")).to_have_text("blow s [box ergyd")
    page.keyboard.press("Enter")
    expect(page.locator("#current-line bdi")).to_contain_text("bout")
    assert states(worked)[3] is LineState.MADE


def test_enter_on_a_link_follows_the_link(page: Page, live_server: str, worked: Store) -> None:
    page.goto(f"{live_server}/pages/w1")
    page.locator("a[data-key=p]").focus()
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile("/pages/pattern/"))
    assert LineState.MADE not in states(worked)


def test_nothing_is_lost_while_the_server_is_down(page: Page, live_server: str, worked: Store) -> None:
    page.goto(f"{live_server}/pages/w1")
    page.context.set_offline(True)
    page.keyboard.press("Enter")
    expect(page.locator(".current [role=alert]")).to_contain_text("cannot be reached")
    page.context.set_offline(False)
    page.keyboard.press("Enter")
    expect(page.locator("#current-line bdi")).to_contain_text("belt-hold")


def test_the_picture_is_enlarged_and_moved_by_keys(page: Page, live_server: str, worked: Store) -> None:
    page.goto(f"{live_server}/pages/w1")
    picture, scan = page.locator("[data-scan] img"), page.locator("[data-scan]")
    before = picture.bounding_box()
    for _ in range(4):
        page.keyboard.press("+")
    larger = picture.bounding_box()
    assert before is not None
    assert larger is not None
    assert larger["width"] > 2 * before["width"]
    page.keyboard.press("Shift+ArrowRight")
    assert scan.evaluate("e => e.scrollLeft") > 0
    page.keyboard.press("0")
    assert picture.evaluate("e => e.style.width") == "100%"


def test_the_preview_follows_what_is_typed(page: Page, live_server: str, worked: Store) -> None:
    page.goto(f"{live_server}/pages/pattern/s1")
    counts = page.locator(".preview-counts")
    expect(counts).to_contain_text("5 read cleanly")
    page.locator("#layouts_record").fill("HEADWORD, see SEE")
    expect(counts).to_contain_text("1 read cleanly")
    expect(page.locator(".pattern-preview")).to_contain_text("would be read differently")
    page.locator("#layouts_record").fill("HEADWORD {")
    expect(page.locator(".pattern-preview [role=alert]")).to_be_visible()
    assert states(worked).count(LineState.UNPARSED) == 1


def test_a_file_that_is_too_large_is_reported_before_it_is_sent(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/pages/new")
    page.evaluate("document.querySelector('[data-add]').dataset.most = '1000'")
    page.locator("#number").fill("41")
    page.locator("#file").set_input_files({"name": "p.txt", "mimeType": "text/plain", "buffer": b"a" * 2000})
    page.keyboard.press("Control+Enter")
    expect(page.locator(".too-large")).to_contain_text("too large")
    expect(page.locator("#number")).to_have_value("41")


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(
    "address",
    ["/pages", "/pages/new", "/pages/w1", "/pages/w1?at=4&correct=1", "/pages/pattern/s1", "/pages/w1/edit"],
)
def test_every_page_is_accessible_and_no_wider_than_the_screen(
    page: Page, live_server: str, worked: Store, violations: Callable[[Page], list[object]],
    address: str, width: int, scheme: str,
) -> None:  # fmt: skip
    with worked.act("Gwen Pritchard", "worked") as act:
        page_acts.make(act, "l2")
        page_acts.set_aside(act, "l6", "repeated")
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    page.goto(f"{live_server}{address}")

    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_targets_are_large_enough(page: Page, live_server: str, worked: Store) -> None:
    page.set_viewport_size({"width": 390, "height": 900})
    for address in ("/pages/w1", "/pages/pattern/s1", "/pages/new"):
        page.goto(f"{live_server}{address}")
        small = page.evaluate(
            """[...document.querySelectorAll("main :is(a, button, summary, input, select)")]
               .filter(e => e.getClientRects().length && !e.closest(".unseen"))
               .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
               .filter(([, box]) => box.height < 24 && box.height > 0).map(([html]) => html)"""
        )
        unexcused = [html for html in small if "radio" not in html and "checkbox" not in html]
        assert [html for html in unexcused if "/entries/" not in html] == []


def test_trying_the_patterns_shows_the_best_and_keeps_a_later_choice(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/pages/new")
    page.locator("#text").fill(
        "back-heel      bachiad sawdl\nleg-lift       codi coes\nhip-throw      tafliad clun\n"
    )
    page.get_by_role("button", name="Try the patterns on the text").click()

    expect(page.locator("input[name=stock]:checked")).to_be_focused()
    expect(page.locator("input[name=stock]:checked")).to_be_in_viewport()
    expect(page.locator("input[name=stock]").first).to_be_checked()

    page.locator("input[name=stock][value='bare pairs']").check()
    with page.expect_response(re.compile("/pages/suggest")):
        page.locator("#text").press_sequentially("shin-clip      clip crimog")
    expect(page.locator(".share").first).to_contain_text("of 4 records")
    expect(page.locator("input[name=stock][value='bare pairs']")).to_be_checked()
