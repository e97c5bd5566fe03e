"""The Rules section: codes, matrix, questions, previewed changes, files, one verdict in full."""

import csv
import io
import re
from dataclasses import replace

import pytest
from flask.testing import FlaskClient

from termbase.acts import entries
from termbase.acts.rules import save_code
from termbase.demo.loading import load
from termbase.rules.clauses import NamedRule, RuleCode
from termbase.rules.files import read_codes, read_profiles
from termbase.store.engine import Store


def posted(page: str) -> dict[str, list[str]]:
    """Return the data a browser would send for the form of questions on a page."""
    form = page[re.search(r'<form [^>]*class="questions"', page).start() :]
    form = form[: form.index("</form>")]
    found: dict[str, list[str]] = {}
    for tag in re.finditer(r"<input([^>]*)>", form):
        values = dict(re.findall(r'(\w+)="([^"]*)"', tag[1]))
        chosen = values.get("type", "text") not in ("radio", "checkbox") or " checked" in tag[1]
        if chosen and "name" in values:
            found.setdefault(values["name"], []).append(unescaped(values.get("value", "")))
    for tag in re.finditer(r'<textarea[^>]*name="([^"]*)"[^>]*>\n(.*?)</textarea>', form, re.DOTALL):
        found.setdefault(tag[1], []).append(unescaped(tag[2]))
    return found


def unescaped(text: str) -> str:
    return text.replace("&#39;", "'").replace("&#34;", '"').replace("&amp;", "&")


def codes_of(store: Store) -> tuple[RuleCode, ...]:
    with store.read() as reader:
        return reader.all(RuleCode)


def test_an_empty_termbase_says_what_a_code_is_and_how_to_begin(client: FlaskClient) -> None:
    page = client.get("/rules").text
    assert "There are no rule codes yet." in page
    assert 'href="/rules/new"' in page
    assert client.get("/rules/compare").status_code == 200


def test_the_matrix_has_every_verdict_in_words_with_a_mark(demo_client: FlaskClient) -> None:
    page = demo_client.get("/rules").text
    assert page.count('class="cell"') == 37 * 3
    assert page.count('<svg class="mark"') >= 37 * 3
    for word in ("fits", "fits with a changed grip", "breaks the rules", "open"):
        assert f"<span>{word}</span>" in page
    assert "ruling; verdict without it: open" in page


@pytest.mark.parametrize(
    ("address", "names"),
    [
        ("/rules?find=kick&part=1&q=shin", ["cross-trip", "shin-kick"]),  # one by its definition
        ("/rules?verdict=open&under=r1", ["thigh-lift", "turn-out"]),
        ("/rules?verdict=nonsense&under=r99&find=twine", ["twine"]),
    ],
)
def test_the_matrix_is_filtered_by_text_and_verdict(
    demo_client: FlaskClient, address: str, names: list[str]
) -> None:
    page = demo_client.get(address).text
    assert re.findall(r'scope="row"><a href="/entries/c\d+"><bdi[^>]*>([^<]*)</bdi>', page) == names


def test_the_matrix_downloads_as_shown_with_formulas_escaped(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    with demo_store.act("Nia", "renamed") as act:
        entry = act.get(type(load().entries[0]), "c0043")
        first = entry.terms[0]
        renamed = tuple(
            type(first)(t.id, "=1+2", t.language, t.origin) if t is first else t for t in entry.terms
        )
        entries.save(act, type(entry)(**{**vars(entry), "terms": renamed}))
    answer = demo_client.get("/rules/matrix.csv?verdict=fits&under=r2")
    rows = list(csv.reader(io.StringIO(answer.text.removeprefix("\ufeff"))))
    assert answer.mimetype == "text/csv"
    assert rows[0][:3] == ["id", "en", "cy"]
    assert ["c0043", "'=1+2"] in [row[:2] for row in rows]
    assert {row[4] for row in rows[1:]} == {"fits"}


def test_a_code_reads_as_sentences_with_sources_and_what_it_is_silent_on(demo_client: FlaskClient) -> None:
    page = demo_client.get("/rules/r1").text
    assert "Both hands must keep their hold until a man is down; losing the hold costs the fall." in page
    assert "he that loses his hold loses the fall" in page
    assert 'href="/sources/s5"' in page
    assert "Silent." in page
    assert demo_client.get("/rules/r99").status_code == 404


def test_striking_out_a_clause_previews_changed_verdicts_and_saves_nothing(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    before = codes_of(demo_store)
    page = demo_client.get("/rules/r2?off=Q5&off=unknown").text
    assert "Without clause Q5" in page
    assert "2 verdicts change" in page
    assert "shin-kick" in page[page.index("what-if") : page.index("clauses")]
    assert "No verdict changes." in demo_client.get("/rules/r2?off=Q9").text
    assert codes_of(demo_store) == before


@pytest.mark.parametrize("tag", ["cy", "ga"])
def test_answers_are_shown_and_accepted_in_the_readers_language(
    demo_client: FlaskClient, demo_store: Store, tag: str
) -> None:
    before = codes_of(demo_store)
    asked = {"Accept-Language": tag}
    for code in before:
        data = posted(demo_client.get(f"/rules/{code.id}/edit", headers=asked).text) | {"do": ["save"]}
        assert not any("shoulder" in text for name in data if name.endswith(".parts") for text in data[name])
        assert demo_client.post(f"/rules/{code.id}/edit", data=data, headers=asked).status_code == 303

    assert [code.clauses for code in codes_of(demo_store)] == [code.clauses for code in before]


def test_the_questions_of_a_code_saved_unchanged_leave_it_as_it_was(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    for code in codes_of(demo_store):
        data = posted(demo_client.get(f"/rules/{code.id}/edit").text) | {"do": ["save"]}
        answer = demo_client.post(f"/rules/{code.id}/edit", data=data)
        assert (answer.status_code, answer.location) == (303, f"/rules/{code.id}")
    assert [c.clauses for c in codes_of(demo_store)] == [c.clauses for c in load().codes]


def test_a_changed_answer_previews_changed_verdicts_before_saving(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    data = posted(demo_client.get("/rules/r2/edit").text)
    kick = next(name for name, values in data.items() if values == ["Q5"]).removesuffix(".id")
    data[f"{kick}.stance"] = ["barred"]
    data["do"] = ["try"]
    page = demo_client.post("/rules/r2/edit", data=data).text
    assert "If you save this" in page
    assert "ankle-kick" in page
    assert "On legs: kick" not in page  # a ban with a height and one without draw one line
    assert codes_of(demo_store)[1].clauses == load().codes[1].clauses
    data["do"] = ["save"]
    assert demo_client.post("/rules/r2/edit", data=data).status_code == 303
    assert codes_of(demo_store)[1].clauses != load().codes[1].clauses


def test_sources_and_names_with_commas_stay_whole_when_a_code_is_saved(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    commas = ("common practice, no source", "Old Evans, p. 3")
    code = codes_of(demo_store)[0]
    named = NamedRule(id="N9", stance="barred", names=("hook, outside", "clip"), sources=commas)
    with demo_store.act("Nia", "wrote sources with commas") as act:
        save_code(act, replace(code, sources=commas, clauses=(*code.clauses, named)))
    before = codes_of(demo_store)[0]
    data = posted(demo_client.get("/rules/r1/edit").text) | {"note": ["changed"], "do": ["save"]}
    assert demo_client.post("/rules/r1/edit", data=data).status_code == 303
    after = codes_of(demo_store)[0]
    assert (after.sources, after.clauses) == (before.sources, before.clauses)
    assert after.note == "changed"


def test_clauses_are_added_and_struck_out(demo_client: FlaskClient, demo_store: Store) -> None:
    data = posted(demo_client.get("/rules/r1/edit").text) | {"do": ["add grips"]}
    page = demo_client.post("/rules/r1/edit", data=data).text
    data = posted(page)
    added = (
        data["blocks"][-1]
        if data["blocks"][-1].endswith("grips")
        else next(b for b in data["blocks"] if b.endswith("grips"))
    )
    number = added.partition(" ")[0]
    data |= {f"{number}.barred": ["hair", "ear"], f"{number}.id": ["F10"], "0.out": ["yes"], "do": ["save"]}
    assert demo_client.post("/rules/r1/edit", data=data).status_code == 303
    ids = {clause.id for clause in codes_of(demo_store)[0].clauses}
    assert "F10" in ids
    assert load().codes[0].clauses[0].id not in ids


def test_a_new_code_is_written_by_questions_alone(client: FlaskClient, store: Store) -> None:
    blank = client.get("/rules/new").text
    data = posted(blank) | {"name": ["Barn rules"], "do": ["add legs"]}
    data = posted(client.post("/rules/new", data=data).text)
    assert data["name"] == ["Barn rules"]
    refused = client.post("/rules/new", data=data | {"do": ["save"]})
    assert refused.status_code == 400
    assert "This needs an answer." in refused.text
    answer = client.post(
        "/rules/new", data=data | {"0.stance": ["barred"], "0.uses": ["kick"], "do": ["save"]}
    )
    assert answer.location == "/rules/r1"
    assert "Kicking is barred." in client.get("/rules/r1").text


def test_typed_text_stays_beside_its_error(demo_client: FlaskClient) -> None:
    data = posted(demo_client.get("/rules/r1/edit").text)
    data |= {"period": ["long ago"], "0.limits.years": ["once upon"], "do": ["save"]}
    page = demo_client.post("/rules/r1/edit", data=data)
    assert page.status_code == 400
    assert 'id="0.limits.years-error"' in page.text
    assert "once upon" in page.text
    data["0.limits.years"] = [""]
    page = demo_client.post("/rules/r1/edit", data=data)
    assert page.status_code == 400
    assert 'id="period-error"' in page.text


def test_the_second_of_two_people_sees_both_versions_and_decides(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    data = posted(demo_client.get("/rules/r1/edit").text) | {"do": ["save"]}
    assert demo_client.post("/rules/r1/edit", data=data | {"note": ["first"]}).status_code == 303
    second = demo_client.post("/rules/r1/edit", data=data | {"note": ["second"]})
    assert second.status_code == 409
    assert "second" in second.text
    assert "first" in second.text
    decided = posted(second.text) | {"do": ["save"]}
    assert demo_client.post("/rules/r1/edit", data=decided).status_code == 303
    assert codes_of(demo_store)[0].note == "second"


def test_clauses_that_contradict_are_named_with_both_sources(demo_client: FlaskClient) -> None:
    data = posted(demo_client.get("/rules/r1/edit").text)
    bans = next(n for n, v in data.items() if v == ["F5"]).removesuffix(".id")
    data |= {f"{bans}.uses": ["kick"], f"{bans}.sources": ["Old Evans, p. 3"], "do": ["save"]}
    demo_client.post("/rules/r1/edit", data=data)
    page = demo_client.get("/rules/r1").text
    section = page[page.index("contradict each other") :][:1200]
    assert "Old Evans, p. 3" in section
    assert 'href="/sources/s5"' in section


def test_a_code_in_use_is_not_deleted_and_its_users_are_named(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    page = demo_client.post("/rules/r1/remove")
    assert page.status_code == 409
    assert "in use by" in page.text
    assert len(codes_of(demo_store)) == 3


def test_two_codes_are_shown_side_by_side(demo_client: FlaskClient) -> None:
    page = demo_client.get("/rules/compare?one=r1&other=r2").text
    assert "10 verdicts change" in page
    assert page.count("differs") == 8
    assert demo_client.get("/rules/compare?one=r1&other=r1").text.count('class="same">the same<') == 8


def test_a_full_verdict_has_a_figure_reasons_and_the_smallest_change(demo_client: FlaskClient) -> None:
    page = demo_client.get("/rules/r1/on/c0043").text
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="technique"' in page
    assert "fig-strike" in page
    assert "What breaks the rules" in page
    assert "It would fit if" in page
    assert "It kicks: shins and ankles break" in page
    assert "Within the rules does not mean safe." in page
    opened = demo_client.get("/rules/r3/on/c0020").text
    assert "To find out" in opened
    assert demo_client.get("/rules/r1/on/c0001").status_code == 404
    assert demo_client.get("/rules/r9/on/c0043").status_code == 404


def test_codes_and_techniques_survive_export_and_import(demo_client: FlaskClient, demo_store: Store) -> None:
    text = demo_client.get("/rules/codes.toml").text
    assert [c.clauses for c in read_codes(text, "x")] == [c.clauses for c in load().codes]
    assert read_codes(demo_client.get("/rules/r2.toml").text, "x")[0].name == "Quarrymen's rules (1884)"
    profiles = demo_client.get("/rules/profiles.toml").text
    assert len(read_profiles(profiles, "x")) == 37
    for kind, data in (("codes", text), ("profiles", profiles)):
        answer = demo_client.post(
            "/rules/import",
            data={"kind": kind, "text": "", "file": (io.BytesIO(data.encode()), "all.toml")},
            content_type="multipart/form-data",
        )
        assert answer.status_code == 303, answer.text
    assert [c.clauses for c in codes_of(demo_store)] == [c.clauses for c in load().codes]


@pytest.mark.parametrize(
    ("sent", "expected"),
    [
        ({"text": ""}, "There is nothing to import."),
        ({"text": "name = ["}, "This is not TOML"),
        ({"text": '[[code]]\nid = "r1"\n[[code.clause]]\nfamily = "weather"'}, "weather"),
        ({"text": "", "file": (io.BytesIO(b"\xff\xfe\x00"), "bad.toml")}, "is UTF-16, not UTF-8"),
        ({"text": "", "file": (io.BytesIO(b"a = '\xe9'"), "bad.toml")}, "Byte 0xe9 is not UTF-8"),
        ({"text": "", "file": (io.BytesIO(b""), "none.toml")}, "The file is empty (0 bytes)."),
        ({"text": ".".join("a" * 50_000) + " = 1"}, "A dotted name has too many parts"),
        ({"text": "a = " + "[" * 50_000}, "nested too deep"),
    ],
)
def test_a_bad_file_changes_nothing_and_keeps_the_pasted_text(
    demo_client: FlaskClient, demo_store: Store, sent: dict[str, object], expected: str
) -> None:
    before = codes_of(demo_store)
    answer = demo_client.post(
        "/rules/import", data={"kind": "codes", **sent}, content_type="multipart/form-data"
    )
    assert answer.status_code == 400
    assert expected in answer.text
    assert codes_of(demo_store) == before


def test_every_bad_row_of_a_file_is_named(demo_client: FlaskClient) -> None:
    text = '[[code]]\nid="a"\nname="A"\nperiod="?"\n[[code.clause]]\nfamily="x"\nid="1"\n'
    text += '[[code.clause]]\nfamily="legs"\nid="2"\nstance="maybe"\n'
    page = demo_client.post("/rules/import", data={"kind": "codes", "text": text}).text
    assert "3 bad rows" in page
    assert page.count("<li><b>the pasted text") == 3
    assert "stance=&#34;maybe&#34;" in page


def test_a_verdict_can_be_requested_for_one_bout(demo_client: FlaskClient) -> None:
    page = demo_client.get("/rules/r2/on/c0043").text
    assert ">fits<" in page
    shod = demo_client.get("/rules/r2/on/c0043?footwear=shod").text
    assert "Judged for this bout" in shod
    assert "Find a source that says what the rules were on kicking." in shod
    agreed = demo_client.get("/rules/r3/on/c0013?barred=throw,+Hug").text
    assert "The two wrestlers agreed to bar it for this bout." in agreed


@pytest.mark.parametrize("address", ["year=soon", "footwear=sandals"])
def test_an_impossible_bout_is_refused_beside_its_field(demo_client: FlaskClient, address: str) -> None:
    answer = demo_client.get(f"/rules/r2/on/c0043?{address}")
    assert answer.status_code == 400
    name = address.partition("=")[0]
    assert f'id="{name}-error"' in answer.text
    assert "Judged for this bout" not in answer.text


def test_each_clause_in_the_form_says_what_it_means_and_what_is_missing(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    before = codes_of(demo_store)
    page = demo_client.get("/rules/r2/edit").text
    assert "Kicking is allowed (in stockinged feet; no higher than the shin)." in page
    data = posted(page)
    kick = next(name for name, values in data.items() if values == ["Q5"]).removesuffix(".id")
    data[f"{kick}.stance"] = ["barred"]
    assert demo_client.post("/rules/said", data=data).json[kick] == (
        "Kicking is barred (in stockinged feet; only above the shin)."
    )
    data[f"{kick}.stance"] = [""]
    assert demo_client.post("/rules/said", data=data).json[kick].startswith("This needs an answer.")
    assert codes_of(demo_store) == before


def test_a_taken_id_is_asked_about_and_chosen_in_the_form(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    data = {"kind": "codes", "text": '[[code]]\nid = "r1"\nname = "Barn rules"\n', "collision": "ask"}
    before = codes_of(demo_store)
    asked = demo_client.post("/rules/import", data=data)
    assert asked.status_code == 400
    assert "The id r1 of “Barn rules” already belongs to" in asked.text
    assert "Barn rules&#34;\n</textarea>" in asked.text
    assert codes_of(demo_store) == before
    assert demo_client.post("/rules/import", data=data | {"collision": "as new"}).status_code == 303
    assert [c.id for c in codes_of(demo_store) if c.name == "Barn rules"] == ["r4"]
