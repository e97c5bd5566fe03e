"""Who may ask, and what a page may do."""

import pytest
from flask import Flask
from flask.testing import FlaskClient

from app.web.guard import is_allowed_host, is_own_origin
from app.web.workspace import LOCAL_HOSTS


@pytest.mark.parametrize(
    ("host", "allowed"),
    [
        ("localhost", True),
        ("localhost:8765", True),
        ("LOCALHOST:8765", True),
        ("127.0.0.1:8765", True),
        ("[::1]:8765", True),
        ("words.example", False),
        ("localhost.words.example", False),
        ("words.example:8765", False),
        ("localhost@words.example", False),
        ("localhost/words", False),
        ("localhost:port", False),
        ("", False),
    ],
)
def test_only_allowed_host_names_are_answered(host: str, allowed: bool) -> None:
    assert is_allowed_host(host, LOCAL_HOSTS) is allowed


@pytest.mark.parametrize(
    ("origin", "fetch_site", "host", "own"),
    [
        ("http://localhost:8765", None, "localhost:8765", True),
        ("https://words.example", None, "words.example", True),
        ("https://words.example", None, "words.example:443", True),
        ("http://[::1]:8765", None, "[::1]:8765", True),
        ("http://localhost:9000", None, "localhost:8765", False),
        ("http://elsewhere.example", None, "localhost:8765", False),
        # a lie about the site does not help against an Origin that tells
        ("http://elsewhere.example", "same-origin", "localhost:8765", False),
        ("null", None, "localhost:8765", False),
        ("null", "same-origin", "localhost:8765", False),
        ("", "same-origin", "localhost:8765", False),
        ("file://localhost:8765", None, "localhost:8765", False),
        (None, "same-origin", "localhost:8765", True),
        (None, "none", "localhost:8765", True),
        (None, "same-site", "localhost:8765", False),
        (None, "cross-site", "localhost:8765", False),
        (None, None, "localhost:8765", False),
    ],
)
def test_changes_must_come_from_a_page_of_this_site(
    origin: str | None, fetch_site: str | None, host: str, own: bool
) -> None:
    assert is_own_origin(origin, fetch_site, host) is own


def test_a_foreign_host_name_is_refused_with_the_reason_and_without_the_record(client: FlaskClient) -> None:
    answer = client.get("/", headers={"Host": "words.example"})

    assert answer.status_code == 403
    assert "does not accept that host name" in answer.text
    assert "Words of the Vale" not in answer.text


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
def test_a_change_from_another_site_is_refused(app: Flask, method: str) -> None:
    answer = app.test_client().open("/who", method=method, headers={"Origin": "http://elsewhere.example"})

    assert answer.status_code == 403


def test_text_typed_into_a_refused_form_is_shown(app: Flask) -> None:
    answer = app.test_client().post("/who", data={"name": "Siân Ŵyn"})

    assert answer.status_code == 403
    assert "Siân Ŵyn" in answer.text


def test_reading_needs_no_origin(app: Flask) -> None:
    assert app.test_client().get("/entries").status_code == 200


@pytest.mark.parametrize("path", ["/", "/nowhere", "/static/css/page.css"])
def test_every_response_has_a_content_security_policy(client: FlaskClient, path: str) -> None:
    with client.get(path) as answer:
        headers = answer.headers

    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
