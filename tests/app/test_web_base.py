"""The frame of every page: navigation, errors, forms, who is working, undo, static files."""

from dataclasses import replace
from html import unescape

import pytest
from flask import Flask, render_template_string
from flask.testing import FlaskClient
from werkzeug.wrappers import Response

from app.web import Settings, context, create_app
from app.web.errors import STATUS
from app.web.forms import Form
from app.web.templating import SECTIONS, sentence
from termbase.errors import BadInput, Conflict, InUse, NotFound, WordholdError
from termbase.record.people import CAUTIONS, Person, Termbase
from termbase.store.engine import Store


def change_rights(app: Flask, to: str = "All rights kept.") -> None:
    """Add a page that does an act when something is sent to it."""

    @app.post("/change")
    def change() -> Response:
        with context.act("changed the rights") as this:
            this.put(replace(this.get(Termbase, "termbase"), rights=to))
        return context.done(this, "/entries")


def kept(client: FlaskClient, path: str) -> str:
    """How long a browser may keep what is at a path."""
    with client.get(path) as answer:
        return answer.headers["Cache-Control"]


@pytest.mark.parametrize("path", ["/", "/cautions", *(f"/{section.blueprint}" for section in SECTIONS)])
def test_every_page_has_the_sections_the_notice_and_the_way_to_the_cautions(
    client: FlaskClient, path: str
) -> None:
    answer = client.get(path)

    assert answer.status_code == 200
    assert all(f'href="/{section.blueprint}"' in answer.text for section in SECTIONS)
    assert "Invented, and evidence of nothing." in answer.text
    assert 'href="/cautions"' in answer.text
    assert '<html lang="en">' in answer.text


def test_the_current_section_is_marked(client: FlaskClient) -> None:
    assert 'href="/sources" aria-current="page"' in client.get("/sources").text
    assert "aria-current" not in client.get("/").text


def test_the_cautions_are_shown_in_full(client: FlaskClient) -> None:
    assert CAUTIONS in unescape(client.get("/cautions").text)


def test_the_search_box_keeps_the_query(client: FlaskClient) -> None:
    assert 'value="ŵyn &lt;b&gt;"' in client.get("/entries", query_string={"find": "ŵyn <b>"}).text


@pytest.mark.parametrize(
    ("error", "status"),
    [(BadInput, 400), (NotFound, 404), (InUse, 409), (Conflict, 409), (WordholdError, 400)],
)
def test_an_error_of_the_record_says_what_where_and_how_to_fix_it(
    app: Flask, client: FlaskClient, error: type[WordholdError], status: int
) -> None:
    @app.get("/fails")
    def fails() -> str:
        raise error("The gate is shut.", where="at the sheepfold", fix="Lift the latch.")

    answer = client.get("/fails")

    assert answer.status_code == status
    assert all(words in answer.text for words in ("The gate is shut.", "at the sheepfold", "Lift the latch."))


def test_every_error_of_the_record_has_a_status() -> None:
    assert all(status in range(400, 500) or status in (503, 507) for status in STATUS.values())


def test_typed_text_is_shown_if_the_view_does_not_show_it(app: Flask, client: FlaskClient) -> None:
    @app.post("/fails")
    def fails() -> str:
        raise Conflict("Somebody else changed it in the meantime.")

    answer = client.post("/fails", data={"text": "a long\nquotation & more", "empty": ""})

    assert answer.status_code == 409
    assert "a long\nquotation &amp; more</textarea>" in answer.text
    assert ">empty<" not in answer.text


def test_an_unknown_page_gives_404(client: FlaskClient) -> None:
    answer = client.get("/nowhere")

    assert answer.status_code == 404
    assert "There is no such page." in answer.text


def test_a_wrong_method_lists_the_allowed_ones(client: FlaskClient) -> None:
    answer = client.get("/who")

    assert answer.status_code == 405
    assert "POST" in answer.headers["Allow"]


def test_too_large_an_upload_is_refused_with_the_limit(store: Store) -> None:
    app = create_app(Settings(store, max_upload=1024 * 1024))
    answer = app.test_client().post(
        "/who", data={"name": "x" * 2 * 1024 * 1024}, headers={"Origin": "http://localhost"}
    )

    assert answer.status_code == 413
    assert "At most 1 MB" in answer.text


def test_a_program_error_shows_the_typed_text_but_not_the_record(app: Flask, client: FlaskClient) -> None:
    @app.post("/fails")
    def fails() -> str:
        raise ZeroDivisionError

    answer = client.post("/fails", data={"text": "kept"})

    assert answer.status_code == 500
    assert "kept" in answer.text
    assert "Words of the Vale" not in answer.text


def shown(app: Flask, fields: str, form: Form) -> str:
    """A form as a page shows it; inside a request."""
    imports = '{% from "macros.html" import field, form_error with context %}'
    answer = app.make_response(render_template_string(imports + fields, form=form))
    return app.process_response(answer).get_data(as_text=True)


def test_a_form_keeps_typed_text_and_shows_the_error_beside_its_field(app: Flask) -> None:
    form = Form.of(issued="about 1898", label="G").refused(
        BadInput("The date cannot be read.", where="date", fix="Write 1898~."), at={"date": "issued"}
    )
    with app.test_request_context():
        html = shown(
            app,
            '{{ form_error(form) }}{{ field(form, "issued", "Date") }}{{ field(form, "label", "Label") }}',
            form,
        )

    assert html.count("The date cannot be read.") == 2  # in the summary, with a link, and beside the field
    assert '<a href="#issued">Date</a>: The date cannot be read.' in html
    assert (
        'value="about 1898" id="issued" name="issued" aria-invalid="true" aria-describedby="issued-error"'
        in html
    )
    assert html.index('for="issued"') < html.index('id="issued-error"') < html.index('id="issued"')
    assert html.index('id="issued"') < html.index('id="label"')


def test_an_error_without_a_field_is_shown_at_the_top_of_the_form() -> None:
    form = Form.of(label="G").refused(BadInput("Two at once.", where="c0001"))

    assert form.error() is not None
    assert form.error("label") is None


def test_typed_text_is_normalised_to_nfc_with_lf_line_ends(app: Flask) -> None:
    with app.test_request_context(method="POST", data={"text": "w\u0302yn\r\nbach"}):
        assert Form.posted().text("text") == "ŵyn\nbach"


def test_after_a_conflict_both_values_are_shown_and_saving_again_overwrites(app: Flask) -> None:
    mine = Form.of(version=3, place="Glanmorwen", title="Word-List")
    theirs = Form.of(version=4, place="Upper Glanmorwen", title="Word-List")
    form = mine.against(theirs, Conflict("Somebody else changed it in the meantime."))
    with app.test_request_context():
        html = shown(
            app,
            '{{ form_error(form) }}{{ field(form, "place", "Place") }}{{ field(form, "title", "Title") }}',
            form,
        )

    assert form.number("version") == 4
    assert "Somebody else changed it in the meantime." in html
    assert 'value="Glanmorwen"' in html
    assert html.count("Current value") == 1
    assert "Upper Glanmorwen</bdi>" in html


@pytest.mark.parametrize("typed", ["", "x", "-1", "١", "1.5"])
def test_a_number_has_digits_only(typed: str) -> None:
    with pytest.raises(BadInput) as caught:
        Form.of(version=typed).number("version")

    assert caught.value.where == "version"


def test_the_person_is_the_one_chosen_in_this_browser(client: FlaskClient) -> None:
    answer = client.post("/who", data={"name": "  Siân   Ŵyn ", "back": "/entries"})

    assert answer.headers["Location"] == "/entries"
    assert "Siân Ŵyn</span>" in client.get("/entries").text


def test_the_person_is_the_first_of_the_termbase_or_else_the_default(
    store: Store, client: FlaskClient
) -> None:
    assert "researcher</span>" in client.get("/entries").text
    with store.act("Gwen", "named somebody") as act:
        act.add(Person(act.new_id("person"), "Ifan Hughes"))

    assert "Ifan Hughes</span>" in client.get("/entries").text


@pytest.mark.parametrize(
    "address",
    [
        "//elsewhere.example",
        "https://elsewhere.example/",
        "/\\elsewhere.example",
        "javascript:alert(1)",
        "/\n/x",
        "",
    ],
)
def test_forms_in_the_frame_never_redirect_to_another_site(client: FlaskClient, address: str) -> None:
    assert client.post("/who", data={"name": "a", "back": address}).headers["Location"] == "/"


def test_an_act_is_shown_once_and_can_be_undone_and_redone(
    app: Flask, client: FlaskClient, store: Store
) -> None:
    change_rights(app)
    client.post("/who", data={"name": "Siân"})
    answer = client.post("/change", follow_redirects=True)
    assert "Changed the rights." in answer.text
    assert "Changed the rights." not in client.get("/entries").text

    with store.read() as reader:
        done = reader.last_acts(1)[0]
    assert done.by == "Siân"
    answer = client.post(f"/undo/{done.id}", data={"back": "/entries"}, follow_redirects=True)
    assert "Undid: changed the rights." in answer.text
    with store.read() as reader:
        assert reader.termbase().rights == ""
        undoing = reader.last_acts(1)[0]
    assert undoing.undoes == done.id

    client.post(f"/undo/{undoing.id}")
    with store.read() as reader:
        assert reader.termbase().rights == "All rights kept."


def test_an_unknown_act_cannot_be_undone(client: FlaskClient) -> None:
    assert client.post("/undo/999").status_code == 404


def test_a_request_reads_a_new_snapshot_after_its_act(app: Flask, client: FlaskClient) -> None:
    @app.post("/change-and-show")
    def change() -> str:
        before = context.termbase().rights
        with context.act("changed the rights") as this:
            this.put(replace(this.get(Termbase, "termbase"), rights="New."))
        return f"{before or 'none'} then {context.termbase().rights}"

    assert client.post("/change-and-show").text == "none then New."


def test_words_of_the_record_carry_their_language(app: Flask) -> None:
    with app.test_request_context():
        html = render_template_string(
            '{% from "macros.html" import words with context %}{{ words("<ymafael>", "cy") }}'
        )

    assert html == '<bdi class="words" lang="cy">&lt;ymafael&gt;</bdi>'


def test_only_the_newest_address_of_a_static_file_is_cached_for_long(client: FlaskClient) -> None:
    page = client.get("/").text
    state = page.split('href="/static/v-')[1].split("/")[0]

    assert "immutable" in kept(client, f"/static/v-{state}/css/page.css")
    assert kept(client, "/static/v-0123456789/css/page.css") == "no-cache"
    assert kept(client, "/static/js/keys.js") == "no-cache"
    assert client.get("/static/v-0123456789/../secrets.py").status_code == 404


def test_pages_contain_no_inline_scripts_or_styles(client: FlaskClient) -> None:
    page = client.get("/").text

    assert "<style" not in page
    assert " style=" not in page
    assert "<script>" not in page
    assert " onclick=" not in page


@pytest.mark.parametrize(
    ("phrase", "sentence_text"),
    [("made entry c0012", "Made entry c0012."), ("was it?", "Was it?"), (" ", "")],
)
def test_a_phrase_of_the_history_becomes_a_sentence(phrase: str, sentence_text: str) -> None:
    assert sentence(phrase) == sentence_text


def test_a_percent_sign_in_the_record_does_not_break_a_page(app: Flask) -> None:
    with app.test_request_context("/"):
        page = render_template_string("{{ _(text) }} {{ _('%(n)s %% of it', n=3) }}", text="100 %, %(n)s %%")

    assert page == "100 %, %(n)s %% 3 % of it"


LARGE = ("9223372036854775808", "9" * 30, "9" * 5000)
"""Whole numbers that no database takes: over 2^63, and more digits than Python reads."""


@pytest.mark.parametrize("number", LARGE, ids=["2^63", "30 digits", "5000 digits"])
def test_a_number_too_large_for_the_database_gives_404(client: FlaskClient, number: str) -> None:
    assert client.get(f"/history/act/{number}").status_code == 404
    assert client.post(f"/undo/{number}").status_code == 404
    assert client.post(f"/history/entry/c0001/back/{number}").status_code == 404


@pytest.mark.parametrize("number", LARGE, ids=["2^63", "30 digits", "5000 digits"])
def test_a_version_too_large_for_the_database_is_refused_and_typed_text_is_kept(
    client: FlaskClient, number: str
) -> None:
    answer = client.post(
        "/publish/termbase", data={"version": number, "title": "Words", "rights": "Siân Ŵyn"}
    )

    assert answer.status_code == 400
    assert "not a whole number" in answer.text
    assert "Siân Ŵyn" in answer.text


@pytest.mark.parametrize("number", [LARGE[0], "9" * 4000], ids=["2^63", "4000 digits"])
def test_a_cookie_with_such_a_number_is_ignored(client: FlaskClient, number: str) -> None:
    client.set_cookie("wordhold_done", number)
    assert client.get("/").status_code == 200


def test_a_name_that_the_database_rejects_does_not_stop_anybody_from_working(
    app: Flask, client: FlaskClient
) -> None:
    client.post("/who", data={"name": "Mair\0 Ifan"})
    client.post("/entries/new", data={"text-cy": "bachiad", "origin-cy": "word-list"})
    with app.extensions["wordhold"].store.read() as reader:
        assert reader.last_acts(1)[0].by == "Mair Ifan"
    assert "\0" not in client.get("/").text
