"""Where others are served, each browser is asked once for the access key, and nothing typed is lost."""

import os
import re
import stat
from html import unescape
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from app.accesskey import is_key, is_token, key_from, new_token
from app.web import Settings, access, create_app
from termbase.errors import BadInput
from termbase.store.engine import Store

KEY = "wood-fair-turf-hill-1868"


@pytest.fixture
def locked(store: Store) -> FlaskClient:
    """A browser that does not know the key yet."""
    browser = create_app(Settings(store, key=KEY)).test_client()
    browser.environ_base["HTTP_ORIGIN"] = "http://localhost"
    return browser


def hidden(page: str) -> dict[str, str]:
    """The hidden fields of the first form of a page."""
    form = page[page.index("<form") : page.index("</form>")]
    found = dict(re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', form))
    found |= dict(re.findall(r'<textarea hidden name="([^"]*)"[^>]*>\n([^<]*)</textarea>', form))
    return {unescape(name): unescape(text) for name, text in found.items()}


def give(browser: FlaskClient, page: str, key: str = KEY) -> TestResponse:
    return browser.post("/key", data={**hidden(page), "key": key})


@pytest.mark.parametrize("path", ["/", "/entries", "/entries/c0001", "/nowhere", "/history", "/key.json"])
def test_without_the_key_nothing_is_shown(locked: FlaskClient, path: str) -> None:
    answer = locked.get(path)

    assert answer.status_code == 403
    assert "This termbase needs its access key" in answer.text
    assert "Words of the Vale" not in answer.text
    assert "Invented, and evidence of nothing" not in answer.text


def test_after_the_key_the_requested_page_is_shown_and_the_key_is_asked_for_only_once(
    locked: FlaskClient,
) -> None:
    asked = locked.get("/entries?find=heel&page=1")

    answer = give(locked, asked.text)

    assert answer.status_code == 303
    assert answer.location == "/entries?find=heel&page=1"
    assert locked.get("/entries").status_code == 200
    assert locked.get("/history").status_code == 200


def test_scripts_cannot_read_the_cookie_and_it_does_not_contain_the_key(locked: FlaskClient) -> None:
    answer = give(locked, locked.get("/").text)

    cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert KEY not in cookie


FORGED = {
    "empty": "", "a letter": "x", "noughts": "0.0", "the key": KEY, "letters of Welsh": "ŵ.ŷ",
    "the token of another key": new_token("another key entirely"),
}  # fmt: skip


@pytest.mark.parametrize("cookie", FORGED.values(), ids=FORGED)
def test_a_foreign_cookie_gives_no_access(locked: FlaskClient, cookie: str) -> None:
    locked.set_cookie("wordhold_key", cookie)

    assert locked.get("/").status_code == 403


def test_a_wrong_key_is_reported_beside_the_field_and_gives_no_access(locked: FlaskClient) -> None:
    answer = give(locked, locked.get("/entries").text, "wrong")

    assert answer.status_code == 403
    assert "That key is wrong." in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert hidden(answer.text)["back"] == "/entries"
    assert locked.get("/").status_code == 403


def test_after_many_wrong_keys_an_address_has_to_wait(
    locked: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = locked.get("/").text
    for _ in range(access.TRIES):
        assert give(locked, page, "wrong").status_code == 403

    answer = give(locked, page)

    assert answer.status_code == 429
    assert int(answer.headers["Retry-After"]) > 0
    assert "Too many wrong keys" in answer.text
    elsewhere = locked.application.test_client()
    elsewhere.environ_base.update(HTTP_ORIGIN="http://localhost", REMOTE_ADDR="192.0.2.7")
    assert give(elsewhere, page).status_code == 303
    later = access.now() + access.TRY_TIME
    monkeypatch.setattr(access, "now", lambda: later)
    assert give(locked, page).status_code == 303


def test_typed_text_is_restored_after_the_key_and_can_be_submitted(locked: FlaskClient, store: Store) -> None:
    rights = "\n  All rights with Siân Ŵyn & <family>\nsecond line"
    asked = locked.post(
        "/publish/termbase",
        data={"version": "1", "title": "Words of the Vale", "working_language": "en", "vernaculars": "cy",
              "notice": "", "licence": "", "rights": rights},
    )  # fmt: skip
    assert asked.status_code == 403
    with store.read() as reader:
        assert reader.termbase().rights == ""

    wrong = give(locked, asked.text, "wrong")
    again = give(locked, wrong.text)

    assert again.status_code == 200
    assert "Your text is not saved yet" in again.text
    assert "All rights with Siân Ŵyn &amp; &lt;family&gt;" in again.text
    assert locked.post("/publish/termbase", data=hidden(again.text)).status_code == 303
    with store.read() as reader:
        assert reader.termbase().rights == rights.strip()


def test_a_form_without_fields_is_offered_again_too(locked: FlaskClient) -> None:
    asked = locked.post("/undo/1")

    again = give(locked, asked.text)

    assert 'action="/undo/1"' in again.text


@pytest.mark.parametrize("tag", ["cy", "ga"])
def test_the_page_is_in_the_language_of_the_browser(locked: FlaskClient, tag: str) -> None:
    answer = locked.get("/", headers={"Accept-Language": tag})

    assert f'<html lang="{tag}">' in answer.text
    assert "access key" not in answer.text
    assert locked.post("/language", data={"language": "en", "back": "/entries"}).location == "/entries"
    assert "access key" in locked.get("/", headers={"Accept-Language": tag}).text


def test_static_files_need_no_key(locked: FlaskClient) -> None:
    with locked.get("/static/css/page.css") as answer:
        assert answer.status_code == 200


def test_it_never_redirects_to_another_site(locked: FlaskClient) -> None:
    answer = locked.post("/key", data={"key": KEY, "back": "//elsewhere.example/"})

    assert answer.location == "/"


def test_a_form_that_is_too_large_does_not_reveal_the_record(store: Store) -> None:
    browser = create_app(Settings(store, key=KEY, max_upload=1000)).test_client()
    browser.environ_base["HTTP_ORIGIN"] = "http://localhost"

    for path, status in (("/key", 413), ("/publish/termbase", 403)):
        answer = browser.post(path, data={"key": "x" * 2000})

        assert answer.status_code == status
        assert "Invented, and evidence of nothing" not in answer.text


def test_without_a_key_nobody_is_asked(client: FlaskClient) -> None:
    assert client.get("/").status_code == 200
    assert client.get("/key").location == "/"


def test_a_key_file_is_created_readable_by_its_owner_only(tmp_path: Path) -> None:
    path = tmp_path / "key"

    key, is_new = key_from(path)

    assert is_new
    assert len(key) == 24
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert key_from(path) == (key, False)


@pytest.mark.skipif(os.name != "posix", reason="permissions of this kind are POSIX's")
def test_a_key_file_that_others_can_read_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "key"
    path.write_text(KEY)
    path.chmod(0o644)

    with pytest.raises(BadInput, match="chmod 600"):
        key_from(path)


@pytest.mark.parametrize("content", ["", "short", "two lines of a key\nand another line"])
def test_a_file_without_a_key_is_refused(tmp_path: Path, content: str) -> None:
    path = tmp_path / "key"
    path.write_text(content)
    path.chmod(0o600)

    with pytest.raises(BadInput, match="does not contain an access key"):
        key_from(path)


def test_the_key_may_be_typed_with_spaces_and_capitals() -> None:
    assert is_key(" WOOD fair turf-hill 1868 ", KEY)
    assert not is_key("wood-fair-turf-hill-1869", KEY)
    assert not is_key("", KEY)
    assert is_token(new_token(KEY), KEY)
    assert new_token(KEY) != new_token(KEY)
