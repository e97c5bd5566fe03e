"""Trimming a page over HTTP: three groups, ticks, refusals, a page of many lines."""

import re
from time import process_time, sleep

import pytest
from flask.testing import FlaskClient

from app.web.pages import trimming
from termbase.acts import entries as entry_acts
from termbase.acts import pages as page_acts
from termbase.codes.wording import statement_text
from termbase.record.entries import Entry, Origin, Term
from termbase.record.pages import Line, LineState, Page
from termbase.store.engine import Store
from tests.wordlists import word_list_page

BOXING = "counter, s. [box] gwrthergyd, m.\n"


def page_of(store: Store, number: str) -> Page:
    with store.read() as reader:
        return next(p for p in reader.all(Page) if p.number == number)


def line_of(store: Store, holding: str) -> Line:
    with store.read() as reader:
        return next(x for x in reader.all(Line) if x.text.startswith(holding))


def ticked(html: str) -> list[str]:
    return re.findall(r'name="line" value="([^"]+)"[^>]* checked', html)


def test_the_lines_of_a_page_are_in_three_groups_with_their_reasons(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    page = page_of(demo_store, "43")
    html = demo_client.get(f"/pages/{page.id}/trim?code=r1").get_data(as_text=True)
    assert re.search(
        r"Lines under Glanmorwen Fair rules \(1868\): \d+ to keep, \d+ open, \d+ already set aside", html
    )
    assert html.index('id="lot-goes"') < html.index('id="lot-open"') < html.index('id="lot-stays"')
    kick = line_of(demo_store, "shin-kick")
    assert ticked(html) == [f"{kick.id}:{kick.version}"]
    assert "judged as" in html
    assert "A leg is used (kick), which is barred." in html
    assert "No entry has this name" in html
    assert "Try them only with a qualified coach" in html


def test_ticked_lines_are_set_aside_and_undone_in_one_act(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    page, kick = page_of(demo_store, "43"), line_of(demo_store, "shin-kick")
    data = {"code": "r1", "do": "ticked", "line": f"{kick.id}:{kick.version}"}
    done = demo_client.post(f"/pages/{page.id}/trim", data=data)
    assert done.status_code == 303
    assert done.location == f"/pages/{page.id}/trim?code=r1"
    now = line_of(demo_store, "shin-kick")
    assert now.state is LineState.SET_ASIDE
    assert "judged as c0043 shin-kick" in statement_text(now.reason)
    html = demo_client.get(done.location).get_data(as_text=True)
    undo = re.search(r'action="(/[^"]*undo[^"]*)"', html)
    assert undo is not None
    demo_client.post(undo[1], data={"back": "/pages"})
    assert line_of(demo_store, "shin-kick").state is LineState.NEW


def test_a_label_is_a_reason_once_it_is_marked_as_another_style(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    mat = line_of(demo_store, "mat,")
    address = f"/pages/{mat.page_id}/trim?code=r1"
    assert f"{mat.id}:{mat.version}" not in demo_client.get(address).get_data(as_text=True)
    html = demo_client.get(f"{address}&out=open-hold+wrestling").get_data(as_text=True)
    assert f"{mat.id}:{mat.version}" in ticked(html)
    assert "another style" in html


def test_a_line_that_fits_is_not_ticked_by_its_label_and_its_verdict_is_kept(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    source = page_of(demo_store, "43").source_id
    address = f"/pages/trim/{source}?code=r1&out=strap-hold+wrestling&entries=no"
    html = demo_client.get(address).get_data(as_text=True)
    fits = re.findall(
        r'name="line" value="(\w+):(\d+)"(?:(?!name="line").)*?'
        r"as another style, but the verdict is “fits”",
        html,
        re.DOTALL,
    )
    assert fits
    assert not {f"{line}:{version}" for line, version in fits} & set(ticked(html))

    line, version = fits[0]
    data = {"code": "r1", "do": "ticked", "out": "strap-hold wrestling", "line": f"{line}:{version}"}
    assert demo_client.post(f"/pages/trim/{source}", data=data).status_code == 303
    with demo_store.read() as reader:
        reason = statement_text(reader.get(Line, line).reason)
    assert reason.startswith(
        "another style, according to its label “strap-hold wrestling”; the verdict under Glanmorwen Fair "
        "rules (1868) is “fits”"
    )


def test_all_pages_of_a_word_list_are_trimmed_at_once(demo_client: FlaskClient, demo_store: Store) -> None:
    kick = line_of(demo_store, "shin-kick")
    source = page_of(demo_store, "43").source_id
    html = demo_client.get(f"/pages/trim/{source}?code=r1&lot=goes").get_data(as_text=True)
    assert "p. 41," in html
    assert "p. 43," in html
    data = {"code": "r1", "line": f"{kick.id}:{kick.version}"}
    assert demo_client.post(f"/pages/trim/{source}", data=data).status_code == 303
    assert line_of(demo_store, "shin-kick").state is LineState.SET_ASIDE
    assert f"/pages/trim/{source}" in demo_client.get("/pages").get_data(as_text=True)


def test_a_line_in_an_entry_is_offered_a_note_and_stays(demo_client: FlaskClient, demo_store: Store) -> None:
    arm = line_of(demo_store, "arm-lock")
    address = f"/pages/{arm.page_id}/trim"
    html = demo_client.get(f"{address}?code=r1&entries=yes").get_data(as_text=True)
    assert "is never set aside here" in html
    assert f'value="{arm.id}:{arm.version}"' in html
    assert ticked(html) == []
    demo_client.post(address, data={"code": "r1", "line": f"{arm.id}:{arm.version}"})
    assert line_of(demo_store, "arm-lock") == arm
    with demo_store.read() as reader:
        assert "Trimmed: breaks the rules under" in reader.get(Entry, arm.entry_ids[0]).editor_note


def test_an_empty_or_outdated_selection_is_refused(demo_client: FlaskClient, demo_store: Store) -> None:
    kick = line_of(demo_store, "shin-kick")
    address = f"/pages/{kick.page_id}/trim"
    none = demo_client.post(address, data={"code": "r1"})
    assert none.status_code == 400
    assert "No lines are ticked." in none.get_data(as_text=True)
    stale = demo_client.post(address, data={"code": "r1", "line": f"{kick.id}:{kick.version + 1}"})
    assert stale.status_code == 409
    assert "nothing was set aside" in stale.get_data(as_text=True)
    other = demo_client.post(address, data={"code": "r1", "do": "all", "number": "77"})
    assert other.status_code == 409
    assert line_of(demo_store, "shin-kick") == kick


def test_the_list_is_filtered_by_address_and_while_typing(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    address = f"/pages/{page_of(demo_store, '43').id}/trim"
    html = demo_client.get(f"{address}?lot=goes&holding=shin").get_data(as_text=True)
    assert html.count('class="trim-line"') == 1
    assert 'id="lot-open"' not in html
    part = demo_client.get(f"{address}?part=1&q=shin").get_data(as_text=True)
    assert part.count('class="trim-line"') == 1
    assert "<h1>" not in part
    assert "No line matches." in demo_client.get(f"{address}?holding=zzz").get_data(as_text=True)


def test_without_a_rule_code_or_a_pattern_it_says_what_to_do(client: FlaskClient, store: Store) -> None:
    with store.act("Gwen", "entered a page") as act:
        page = word_list_page(act, BOXING)
    assert "Add the first rule code" in client.get(f"/pages/{page.id}/trim").get_data(as_text=True)
    assert client.post(f"/pages/{page.id}/trim").status_code == 400
    assert client.get("/pages/w99/trim").status_code == 404


def test_the_desk_offers_to_remove_the_names_a_line_added(client: FlaskClient, store: Store) -> None:
    with store.act("Gwen", "attached a line") as act:
        page = word_list_page(act, BOXING)
        entry_acts.save(act, Entry("", terms=(Term("", "hold", "en", Origin.IN_USE),)))
    with store.act("Gwen", "attached a line") as act:
        page_acts.attach(act, "l1", "c0001")
    html = client.get(f"/pages/{page.id}?at=1").get_data(as_text=True)
    assert "Reopen the line and remove what it added" in html
    data = {"version": line_of(store, "counter").version, "with_names": "yes"}
    assert client.post(f"/pages/{page.id}/lines/l1/reopen", data=data).status_code == 303
    with store.read() as reader:
        assert [t.text for t in reader.get(Entry, "c0001").terms] == ["hold"]


def test_the_preview_counts_what_would_change_on_the_other_pages(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    source = page_of(demo_store, "41").source_id
    html = demo_client.get(f"/pages/pattern/{source}").get_data(as_text=True)
    assert "On the other pages of this source no line would change." in html
    other = demo_client.get(f"/pages/pattern/{source}?stock=bare+pairs").get_data(as_text=True)
    assert re.search(
        r"On the other pages of this source \d+ lines would be read differently|Left unchanged because", other
    )


def test_a_page_of_twelve_thousand_lines_answers_within_two_seconds(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    rows = "\n".join(f"word{n} trip, s. [strap] gair{n} bach, m." for n in range(11_990))
    known = "\n".join("shin-kick, s. [strap] cic i'r grimog, f." for _ in range(10))
    with demo_store.act("Gwen", "entered a long page") as act:
        page = word_list_page(act, f"{known}\n{rows}\n", label="Long")
    demo_client.get("/pages")  # fills the caches
    began = process_time()
    html = demo_client.get(f"/pages/{page.id}/trim?code=r1").get_data(as_text=True)
    assert process_time() - began < 2
    assert len(ticked(html)) == 10
    began = process_time()
    demo_client.get(f"/pages/{page.id}/trim?code=r1&holding=word7")
    assert process_time() - began < 0.5


def test_every_breach_on_a_long_list_is_set_aside_by_one_click(
    demo_client: FlaskClient, demo_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trimming, "ROWS", 2)
    source = page_of(demo_store, "43").source_id
    address = f"/pages/trim/{source}?code=r1&out=open-hold+wrestling"
    html = demo_client.get(address).get_data(as_text=True)
    offered = re.search(r'name="number" value="(\d+)"', html)
    assert offered is not None
    assert int(offered[1]) > 2
    data = {"code": "r1", "out": "open-hold wrestling", "do": "all", "number": offered[1]}
    assert demo_client.post(f"/pages/trim/{source}", data=data).status_code == 303
    with demo_store.read() as reader:
        aside = [
            x for x in reader.all(Line) if statement_text(x.reason).startswith(("another style", "breaks"))
        ]
    assert len(aside) == int(offered[1])
    assert all(not x.entry_ids for x in aside)


def test_very_many_lines_are_set_aside_as_a_job(
    demo_client: FlaskClient, demo_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trimming, "MANY", 0)
    kick = line_of(demo_store, "shin-kick")
    data = {"code": "r1", "line": f"{kick.id}:{kick.version}"}
    started = demo_client.post(f"/pages/{kick.page_id}/trim", data=data)
    assert started.location.startswith("/progress/")
    for _ in range(200):
        if demo_client.get(f"{started.location}.json").json["state"] != "running":
            break
        sleep(0.05)
    assert "1 line was set aside." in demo_client.get(started.location).get_data(as_text=True)
    assert line_of(demo_store, "shin-kick").state is LineState.SET_ASIDE
