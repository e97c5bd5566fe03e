"""The Entries section: list, article, editing every part in place, creating and deleting."""

import csv
import io
import re
from dataclasses import replace
from html import unescape
from io import BytesIO

import pytest
from flask.testing import FlaskClient
from lxml import html
from PIL import Image as Pictures
from werkzeug.test import TestResponse

from termbase.acts import entries
from termbase.acts.rules import save_code
from termbase.acts.sources import save_slip, save_source
from termbase.overviews.removals import deleted_entries
from termbase.record.entries import Definition, Entry, Gender, Origin, PartOfSpeech, Status, Term, Topic
from termbase.record.people import CAUTIONS, Image
from termbase.record.sources import Certainty, Slip, Source, SourceKind
from termbase.rules.clauses import LegRule, RuleCode
from termbase.store.engine import Store
from termbase.technique.profile import Hand, Profile, Stated

CODE = RuleCode(
    "", "Fair rules (1868)", clauses=(LegRule(id="F1", stance="barred", uses=("kick",), sources=("s1",)),)
)
KICK = Profile(leg_use=Stated("kick", "slip", "q1"))


def named(*names: tuple[str, str]) -> tuple[Term, ...]:
    return tuple(Term("", text, language, Origin.IN_USE) for text, language in names)


@pytest.fixture
def filled(store: Store) -> Store:
    """Three entries with names in two languages, a source with a slip, a rule code, a verdict."""
    with store.act("Gwen", "began") as act:
        save_source(act, Source("", "Mail 1871", SourceKind.NEWSPAPER, "The Upland Mail", issued="1871"))
        save_code(act, CODE)
        hank = entries.save(
            act,
            Entry(
                "",
                Topic.TRIP,
                named(("hank", "en"), ("clicied", "cy")),
                definitions=(Definition("en", "A leg hooked about his."),),
                editor_note="Ask Ifan.",
            ),
        )
        save_slip(
            act, Slip("", "s1", "Hughes gave him the hank.", name="hank", page="3", term_id=hank.terms[0].id)
        )
        entries.save(act, Entry("", Topic.KICK, named(("shin-kick", "en"), ("cic", "cy")), technique=KICK))
        entries.save(
            act,
            Entry(
                "",
                None,
                named(
                    ("llam", "cy"),
                ),
            ),
        )
    return store


def entry(store: Store, entry_id: str = "c0001") -> Entry:
    with store.read() as reader:
        return reader.get(Entry, entry_id)


def text_of(answer: TestResponse) -> str:
    """Return what a reader sees, without tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())


def part(answer: TestResponse, part_id: str) -> str:
    """Return the HTML from the start of a part."""
    return answer.text[answer.text.index(f'id="{part_id}"') :]


def fields(client: FlaskClient, path: str) -> dict[str, list[str]]:
    """Return the form values of a part, as a browser would send them."""
    (form,) = html.fromstring(client.get(path).text).find_class("part-form")
    found: dict[str, list[str]] = {}
    for name, value in form.form_values():
        found.setdefault(name, []).append(value.removeprefix("\n"))
    return found


def change(client: FlaskClient, part_id: str, entry_id: str = "c0001", **to: object) -> TestResponse:
    """Open the form of a part, change some fields and submit it."""
    path = f"/entries/{entry_id}/edit/{part_id}"
    return client.post(path, data={**fields(client, path), **to})


# the list


def test_an_empty_list_says_what_to_do_next(client: FlaskClient) -> None:
    assert "There are no entries yet." in client.get("/entries").text


def rows(client: FlaskClient, address: str) -> list[str]:
    """Return the linked names of the rows, in order."""
    return [unescape(re.sub(r"<[^>]+>", "", link)) for link in
            re.findall(r'<th scope="row"><a href="[^"]+">(.*?)</a>', client.get(address).text)]  # fmt: skip


@pytest.mark.parametrize(
    ("address", "names"),
    [
        ("", ["hank", "shin-kick", "no name yet (c0003)"]),
        ("?order=down", ["shin-kick", "hank", "no name yet (c0003)"]),
        ("?lang=cy", ["cic", "clicied", "llam"]),
        ("?topic=kick", ["shin-kick"]),
        ("?origin=coined", []),
        ("?stage=ready", []),
        ("?source=s1", ["hank"]),
        ("?section=H", ["hank"]),
        ("?code=r1&verdict=breaks+the+rules", ["shin-kick"]),
        ("?q=glicied", ["hank"]),
        ("?q=hank&part=1", ["hank"]),
        ("?q=c0003&lang=cy", ["llam"]),
        ("?find=clici", ["hank"]),
        ("?page=99", ["hank", "shin-kick", "no name yet (c0003)"]),
        ("?topic=cabbage&page=x&lang=zz", ["hank", "shin-kick", "no name yet (c0003)"]),
    ],
)
def test_the_address_determines_the_list(
    client: FlaskClient, filled: Store, address: str, names: list[str]
) -> None:
    assert rows(client, f"/entries{address}") == names


def test_enter_in_the_search_field_opens_the_only_entry_with_that_name(
    client: FlaskClient, filled: Store
) -> None:
    assert client.get("/entries?find=hank").location == "/entries/c0001"


def test_only_the_rows_are_sent_while_typing(client: FlaskClient, filled: Store) -> None:
    assert "<header" not in client.get("/entries?part=1&q=han").text


def test_a_row_shows_the_verdict_with_its_mark_and_a_ruling_over_it(
    client: FlaskClient, filled: Store
) -> None:
    assert "breaks the rules" in text_of(client.get("/entries"))

    with filled.act("Gwen", "ruled") as act:
        entries.rule(act, "c0002", "r1", "fits", "It was no kick.")

    assert "fits ruling" in text_of(client.get("/entries"))


def test_the_filtered_list_is_exported_with_the_notice_and_without_formulas(
    client: FlaskClient, filled: Store
) -> None:
    with filled.act("Gwen", "created an entry") as act:
        entries.save(act, Entry("", Topic.KICK, named(("=cmd()", "en"))))

    answer = client.get("/entries/export.csv?topic=kick&order=down")

    assert answer.mimetype == "text/csv"
    table = list(csv.DictReader(io.StringIO(answer.text.removeprefix("\ufeff"))))
    assert [row["English"] for row in table] == ["shin-kick", "'=cmd()"]
    assert table[0]["Fair rules (1868)"] == "breaks the rules"
    assert table[0]["Notice"] == "Invented, and evidence of nothing."


def test_search_results_say_how_they_matched_and_offer_a_new_entry(
    client: FlaskClient, filled: Store
) -> None:
    results = client.get("/entries/find?part=1&q=glicied")

    assert 'href="/entries/c0001"' in results.text
    assert "mutated form" in results.text
    assert 'href="/entries/new?text=glicied"' in results.text


# the article


def test_the_article_shows_everything_known(client: FlaskClient, filled: Store) -> None:
    text = text_of(client.get("/entries/c0001"))

    for words in ("hank", "clicied", "A leg hooked about his.", "in use by one witness", "no slip",
                  "Mail 1871, p. 3", "Hughes gave him the hank.", "Ask Ifan.", "Editor's note, never printed",
                  "Created by Gwen", CAUTIONS):  # fmt: skip
        assert words in text, words


def test_words_of_the_record_carry_their_language(client: FlaskClient, filled: Store) -> None:
    assert '<bdi class="words head" lang="cy">clicied</bdi>' in client.get("/entries/c0001").text


def test_a_language_without_a_name_is_reported(client: FlaskClient, filled: Store) -> None:
    assert "no name yet" in text_of(client.get("/entries/c0003"))


def test_a_verdict_comes_with_its_reason_its_clause_and_its_source(
    client: FlaskClient, filled: Store
) -> None:
    text = text_of(client.get("/entries/c0002"))

    assert "A leg is used (kick), which is barred." in text
    assert "Clause F1" in text
    assert "Mail 1871" in text
    assert "The description of the technique is based on: slip q1" in text


@pytest.mark.parametrize(
    ("profile", "words"),
    [
        (KICK, "It kicks"),
        (Profile(pressure=Stated("elbow")), "It bends or presses a joint"),
        (Profile(pressure=Stated("throat")), "It presses the neck or throat"),
        (Profile(right=Hand(work=Stated("lift"))), "It lifts him off the ground"),
    ],
    ids=["kick", "joint", "throat", "lift"],
)
def test_a_technique_has_its_own_caution(
    client: FlaskClient, filled: Store, profile: Profile, words: str
) -> None:
    with filled.act("Gwen", "described it") as act:
        entries.save(act, replace(act.get(Entry, "c0001"), technique=profile))

    text = text_of(client.get("/entries/c0001"))

    assert CAUTIONS in text
    assert words in text
    assert "consent of coach and guardian" in text


def test_a_missing_entry_is_a_404(client: FlaskClient, filled: Store) -> None:
    assert client.get("/entries/c0099").status_code == 404
    assert client.get("/entries/c0099/edit/topic").status_code == 404
    assert client.get("/entries/c0001/edit/cabbage").status_code == 404
    assert client.get("/entries/c0001/edit/term-t99").status_code == 404


# editing it part by part


@pytest.mark.parametrize(
    "part_id",
    [
        "topic",
        "definitions",
        "notes",
        "analogues",
        "figures",
        "term-t1",
        "term-t2",
        "ruling-r1",
        "slip-q1",
    ],
)
def test_an_unchanged_form_changes_nothing(client: FlaskClient, filled: Store, part_id: str) -> None:
    of = "c0002" if part_id == "ruling-r1" else "c0001"
    before = entry(filled, of)

    assert change(client, part_id, of).status_code == 303

    assert entry(filled, of) == before


def test_the_topic_is_changed_and_the_next_page_offers_undo(client: FlaskClient, filled: Store) -> None:
    answer = change(client, "topic", topic="hold")

    assert answer.location == "/entries/c0001#topic"
    assert entry(filled).topic is Topic.HOLD
    assert "Changed the topic of c0001." in client.get("/entries/c0001").text


def test_a_name_is_changed_in_all_its_fields(client: FlaskClient, filled: Store) -> None:
    change(
        client, "term-t2", text="clicied", origin="rebuilt", type="variant", status="preferred",
        part_of_speech="noun", gender="feminine", number="singular",
        forms="plural: cliciedau\ndual:dwy glicied", printed="Clicced",
        pronunciation="ˈklɪkjɛd", register="dialect", region="Glanmorwen",
        sort_text="clic|ied", usage_note="From the door-latch.",
    )  # fmt: skip

    term = entry(filled).terms[1]
    assert (term.origin, term.gender, term.part_of_speech) == (
        Origin.REBUILT,
        Gender.FEMININE,
        PartOfSpeech.NOUN,
    )
    assert [(f.label, f.text) for f in term.forms] == [("plural", "cliciedau"), ("dual", "dwy glicied")]
    assert (term.printed, term.region, term.sort_text) == ("Clicced", "Glanmorwen", "clic\u034fied")


def test_a_variant_starts_from_the_grammar_of_its_name(client: FlaskClient, filled: Store) -> None:
    change(client, "term-t2", gender="feminine", part_of_speech="noun")
    start = fields(client, "/entries/c0001/edit/term-new?of=t2")
    assert (start["language"], start["type"], start["gender"]) == (["cy"], ["variant"], ["feminine"])

    client.post("/entries/c0001/edit/term-new", data={**start, "text": "cliced"})

    assert [t.text for t in entry(filled).terms] == ["hank", "clicied", "cliced"]


@pytest.mark.parametrize(
    ("part_id", "sent", "field"),
    [
        ("term-t1", {"text": " "}, "text"),
        ("term-t1", {"language": "no such tag!"}, "language"),
        ("term-t1", {"origin": ""}, "origin"),
        ("term-t1", {"forms": "hanks"}, "forms"),
        ("term-new", {"text": "x", "origin": ""}, "origin"),
        ("slip-q1", {"date": "about 1871"}, "date"),
        ("slip-q1", {"text": ""}, "text"),
        ("slip-q1", {"elsewhere": "cabbage"}, "elsewhere"),
        ("slip-q1", {"joined_to": "q99"}, "joined_to"),
        ("slip-q1", {"joined_to": "q1"}, "joined_to"),
        ("slip-new", {"source_id": "", "text": "x"}, "source_id"),
        ("figures", {"caption": "A hank."}, "file"),
        ("figures", {"rights": "None."}, "file"),
        ("topic", {"topic": "cabbage"}, "topic"),
        ("relations", {"kind": "see also", "target": "c0099"}, "target"),
        ("relations", {"kind": "see also", "target": "c0001"}, "target"),
        ("relations", {"kind": "cousin of", "target": "c0002"}, "target"),
    ],
)
def test_invalid_input_is_shown_again_with_the_error_beside_it(
    client: FlaskClient, filled: Store, part_id: str, sent: dict[str, str], field: str
) -> None:
    before = entry(filled)
    more = {"note": "typed with care", "usage_note": "typed with care"}

    answer = change(client, part_id, **sent, **more)

    assert answer.status_code == 400
    form = part(answer, part_id)
    assert f'id="{field}-error"' in form or (f'name="{field}"' in form and 'class="error"' in form)
    assert "typed with care" in form or part_id in ("figures", "topic", "relations")
    assert entry(filled) == before


def test_the_order_and_rank_of_names(client: FlaskClient, filled: Store) -> None:
    client.post("/entries/c0001/edit/term-new", data={"text": "hanc", "language": "en", "origin": "in use"})

    client.post("/entries/c0001/names/t6", data={"do": "prefer"})
    client.post("/entries/c0001/names/t6", data={"do": "up"})
    assert [t.text for t in entry(filled).terms] == ["hanc", "clicied", "hank"]
    assert entry(filled).terms[0].status is Status.PREFERRED

    client.post("/entries/c0001/names/t1", data={"do": "remove"})
    assert [t.text for t in entry(filled).terms] == ["hanc", "clicied"]
    with filled.read() as reader:
        assert reader.get(Slip, "q1").term_id == ""


def test_relations_are_read_from_both_sides(client: FlaskClient, filled: Store) -> None:
    client.post("/entries/c0001/edit/relations", data={"kind": "narrower", "target": "c0002 shin-kick"})

    assert "narrower shin-kick" in text_of(client.get("/entries/c0001"))
    assert "broader hank" in text_of(client.get("/entries/c0002"))

    client.post("/entries/c0001/unrelate", data={"kind": "narrower", "target": "c0002"})
    assert "No related entries yet." in client.get("/entries/c0002").text


def test_a_ruling_is_shown_beside_the_verdict(client: FlaskClient, filled: Store) -> None:
    assert change(client, "ruling-r1", "c0002", verdict="fits", reason="").status_code == 400
    assert change(client, "ruling-r1", "c0002", verdict="", reason="A push.").status_code == 400
    change(client, "ruling-r1", "c0002", verdict="fits", reason="A push with the foot.")

    text = text_of(client.get("/entries/c0002"))
    assert "breaks the rules" in text
    assert "fits A push with the foot." in text


def test_slips_are_added_sorted_elsewhere_and_deleted(client: FlaskClient, filled: Store) -> None:
    change(client, "slip-new", source_id="s1", text="the hank again", term_id="t1", certainty="doubtful")
    change(client, "slip-q2", elsewhere="c0002 shin-kick · cic")

    with filled.read() as reader:
        slip = reader.get(Slip, "q2")
    assert (slip.certainty, slip.term_id) == (Certainty.DOUBTFUL, "t4")

    client.post("/entries/c0002/slips/q2/remove")
    with filled.read() as reader:
        assert reader.find(Slip, "q2") is None


def test_two_slips_are_joined_and_separated(client: FlaskClient, filled: Store) -> None:
    change(client, "slip-new", source_id="s1", text="quite other words", term_id="t1", joined_to="q1")
    assert "One witness in 2 slips" in client.get("/entries/c0001").text

    change(client, "slip-q2", joined_to="", apart="yes")
    assert "One witness in 2 slips" not in client.get("/entries/c0001").text


def png() -> BytesIO:
    out = BytesIO()
    Pictures.new("RGB", (4, 3), "white").save(out, "PNG")
    out.seek(0)
    return out


def test_a_figure_is_added_with_its_rights_and_deleted(client: FlaskClient, filled: Store) -> None:
    path = "/entries/c0001/edit/figures"
    sent = {"file": (png(), "hold.png"), "caption": "The hank.", "maker": "Gwen", "rights": "CC0-1.0"}
    client.post(path, data=sent, content_type="multipart/form-data")

    (figure,) = entry(filled).figures
    assert (figure.caption, figure.maker, figure.rights) == ("The hank.", "Gwen", "CC0-1.0")
    picture = client.get(f"/entries/image/{figure.image_id}")
    assert (picture.status_code, picture.mimetype) == (200, "image/png")
    article = client.get("/entries/c0001").get_data(as_text=True)
    shown = f"/entries/image/{figure.image_id}?size=page"
    assert f'{shown}" width="4" height="3"' in article  # the browser reserves space for it

    change(client, "figures", drop="0")
    assert entry(filled).figures == ()


@pytest.mark.parametrize("data", [b"", b"not a picture"], ids=["empty", "text"])
def test_a_file_that_is_not_a_picture_is_refused_beside_its_field(
    client: FlaskClient, filled: Store, data: bytes
) -> None:
    sent = {"file": (BytesIO(data), "hold.png"), "caption": "Typed with care."}

    answer = client.post("/entries/c0001/edit/figures", data=sent, content_type="multipart/form-data")

    assert answer.status_code == 400
    assert 'id="file-error"' in answer.text
    assert "Typed with care." in answer.text
    with filled.read() as reader:
        assert reader.count(Image) == 0


def test_an_image_of_another_entry_is_not_accepted_as_a_figure(client: FlaskClient, filled: Store) -> None:
    client.post("/entries/c0001/edit/figures", data={"image_id": "0000", "caption": "x", "taken_in": "0000"})

    assert entry(filled).figures == ()


def test_readings_are_signed_by_the_user_and_reopened_with_a_reason(
    client: FlaskClient, filled: Store
) -> None:
    client.post("/who", data={"name": "Ruth Ashbarrow"})
    client.post("/entries/c0001/readings/practice", data={"do": "sign"})
    assert entry(filled).practice_reading.by == "Ruth Ashbarrow"

    client.post("/entries/c0001/readings/practice", data={"do": "open", "why": "the fall is not clear"})
    assert "open: the fall is not clear" in text_of(client.get("/entries/c0001"))


def test_a_reading_is_refused_with_a_reason_before_it_was_ever_signed(
    client: FlaskClient, filled: Store
) -> None:
    client.post("/entries/c0001/readings/language", data={"do": "not yet", "why": "the plural is wrong"})
    assert not entry(filled).language_reading.signed
    assert "open: the plural is wrong" in text_of(client.get("/entries/c0001"))

    refused = client.post("/entries/c0001/readings/language", data={"do": "not yet", "why": " "})
    assert refused.status_code == 400
    assert 'id="why-language-error"' in refused.text


def test_speakers_and_coaches_have_their_own_buttons(client: FlaskClient, filled: Store) -> None:
    page = client.get("/entries/c0001").text
    assert "Sign for language as" in page
    assert "Sign for practice as" in page


@pytest.mark.parametrize(
    "data", [{"do": "sign"}, {"do": "not yet", "why": "look again"}], ids=["sign", "not"]
)
def test_reading_one_after_another_starts_at_the_top_and_continues(
    client: FlaskClient, filled: Store, data: dict[str, str]
) -> None:
    page = client.get("/entries/c0001?read=practice").text
    assert page.index("Read for practice") < page.index('id="definitions"') < page.index("Sign for practice")
    assert "Sign for language" not in page

    answer = client.post("/entries/c0001/readings/practice", data=data | {"on": "yes"})

    assert answer.status_code == 303
    assert re.fullmatch(r"/entries/c\d+\?read=practice", answer.location)
    assert not answer.location.startswith("/entries/c0001")


def test_after_the_last_entry_the_overview_is_shown(client: FlaskClient, filled: Store) -> None:
    place = "/entries/c0001?read=language"
    for _ in range(50):
        entry_id = re.search(r"c\d+", place)
        assert entry_id
        answer = client.post(f"/entries/{entry_id[0]}/readings/language", data={"do": "sign", "on": "yes"})
        place = answer.location
        if "read=" not in place:
            break
    assert place == "/"
    with filled.read() as reader:
        assert all(e.language_reading.signed for e in reader.all(Entry))


@pytest.mark.parametrize(
    ("part_id", "sent"),
    [
        ("definitions", {"language": ["no tag!"], "text": ["one", "two", "three"]}),
        ("analogues", {"name": ["a", "b", "c"], "language": ["no tag!"] * 3}),
        ("figures", {"caption": ["one", "two", "three"], "image_id": "nothing"}),
    ],
)
def test_unequally_repeated_fields_do_not_crash(
    client: FlaskClient, filled: Store, part_id: str, sent: dict[str, object]
) -> None:
    assert client.post(f"/entries/c0001/edit/{part_id}", data=sent).status_code < 500


# two people at once


def test_two_people_editing_the_same_part_see_both_versions(client: FlaskClient, filled: Store) -> None:
    path = "/entries/c0001/edit/notes"
    mine, theirs = fields(client, path), fields(client, path)
    client.post(path, data={**theirs, "usage_note": "Of men."})

    answer = client.post(path, data={**mine, "usage_note": "Of boys."})

    assert answer.status_code == 409
    assert "Of boys." in answer.text
    assert "Current value" in answer.text
    assert "Of men." in part(answer, "notes")
    assert entry(filled).usage_note == "Of men."
    version = re.search(r'name="version" value="([^"]+)"', part(answer, "notes"))
    assert version
    decided = client.post(path, data={**mine, "usage_note": "Of boys.", "version": version[1]})
    assert decided.status_code == 303
    assert entry(filled).usage_note == "Of boys."


def test_two_people_can_edit_different_parts(client: FlaskClient, filled: Store) -> None:
    topic, notes = (fields(client, f"/entries/c0001/edit/{p}") for p in ("topic", "notes"))

    assert client.post("/entries/c0001/edit/topic", data={**topic, "topic": "hold"}).status_code == 303
    assert client.post("/entries/c0001/edit/notes", data={**notes, "usage_note": "x"}).status_code == 303

    assert (entry(filled).topic, entry(filled).usage_note) == (Topic.HOLD, "x")


def test_a_slip_changed_in_the_meantime_is_shown_in_both_versions(client: FlaskClient, filled: Store) -> None:
    path = "/entries/c0001/edit/slip-q1"
    mine = fields(client, path)
    change(client, "slip-q1", place="Glanmorwen")

    answer = client.post(path, data={**mine, "place": "Cwm"})

    assert answer.status_code == 409
    assert "Glanmorwen" in part(answer, "slip-q1")


# creating and deleting


def test_an_entry_is_created_from_a_name_and_its_origin(client: FlaskClient, filled: Store) -> None:
    answer = client.post("/entries/new", data={"text-cy": "bachiad", "origin-cy": "word-list", "text-en": ""})

    assert answer.location == "/entries/c0004"
    assert entry(filled, "c0004").terms == (replace(entry(filled, "c0004").terms[0], text="bachiad"),)
    assert entry(filled, "c0004").terms[0].origin is Origin.WORD_LIST


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({}, "text-cy"),
        ({"text-cy": "bachiad"}, "origin-cy"),
        ({"text-cy": "bachiad", "origin-cy": "cabbage"}, "origin-cy"),
    ],
)
def test_an_incomplete_entry_is_not_created(
    client: FlaskClient, filled: Store, sent: dict[str, str], field: str
) -> None:
    blank = {"text-cy": "", "text-en": "", "origin-cy": "", "origin-en": "", "definition": "Kept."}

    answer = client.post("/entries/new", data={**blank, **sent})

    assert answer.status_code == 400
    assert f'id="{field}-error"' in answer.text
    assert "Kept." in answer.text


def test_the_search_text_is_the_initial_name(client: FlaskClient, filled: Store) -> None:
    assert 'value="bachiad"' in client.get("/entries/new?text=bachiad").text


def test_deleting_asks_first_and_can_be_undone(client: FlaskClient, filled: Store) -> None:
    before = entry(filled)
    assert "you can undo this" in client.get("/entries/c0001/remove").text

    client.post("/entries/c0001/remove")
    gone = client.get("/entries/c0001")
    assert gone.status_code == 404

    number = re.search(r"/undo/(\d+)", gone.text)
    assert number
    client.post(f"/undo/{number[1]}")
    assert replace(entry(filled), version=before.version) == before


def test_the_reason_for_a_deletion_is_kept_in_the_history(client: FlaskClient, filled: Store) -> None:
    client.post("/entries/c0001/remove", data={"reason": "Not a  hold."})
    with filled.read() as reader:
        assert reader.last_acts(1)[0].words == "deleted entry c0001: Not a hold."
        (gone,) = deleted_entries(reader, shown=())
        assert (gone.id, gone.reason) == ("c0001", "Not a hold.")
    history = client.get("/history", headers={"Accept-Language": "cy"}).text
    assert (
        "dilëwyd y cofnod (c0001): Not a hold." in history
        or "Dilëwyd y cofnod (c0001): Not a hold." in history
    )


def test_an_entry_in_use_is_not_deleted_and_says_what_uses_it(client: FlaskClient, filled: Store) -> None:
    client.post("/entries/c0001/edit/relations", data={"kind": "see also", "target": "c0002"})

    answer = client.post("/entries/c0002/remove")

    assert answer.status_code == 409
    assert "Still used by c0001." in answer.text
