"""A small termbase, the web face over it, and a browser's stand-in."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from app.web import Settings, create_app
from termbase.people import Termbase
from termbase.store import Store


def fixed_clock() -> datetime:
    return datetime(2024, 5, 1, 12, 0, tzinfo=UTC)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An empty termbase, English and Welsh."""
    made = Store.create(
        str(tmp_path / "words.db"),
        Termbase("Words of the Vale", vernaculars=("cy",), notice="Invented, and evidence of nothing."),
        by="Gwen",
        clock=fixed_clock,
    )
    yield made
    made.close()


@pytest.fixture
def app(store: Store) -> Flask:
    """The web face; errors reach the test rather than a page only where a test asks for it."""
    return create_app(Settings(store))


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """A browser on a page of this site: it says so with every request."""
    browser = app.test_client()
    browser.environ_base["HTTP_ORIGIN"] = "http://localhost"
    return browser
