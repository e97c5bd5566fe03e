"""A small termbase, the web face over it, and a browser's stand-in."""

import shutil
from collections.abc import Callable, Iterator
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
def demo_clock() -> Callable[[], datetime]:
    """The time of acts on the demo."""
    return fixed_clock


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty termbase, English and Welsh, made once; copy it before anything is changed."""
    place = tmp_path_factory.mktemp("empty") / "words.db"
    Store.create(
        str(place),
        Termbase("Words of the Vale", vernaculars=("cy",), notice="Invented, and evidence of nothing."),
        by="Gwen",
        clock=fixed_clock,
    ).close()
    return place


@pytest.fixture
def store(empty_file: Path, tmp_path: Path) -> Iterator[Store]:
    """An empty termbase, the test's own."""
    place = tmp_path / "words.db"
    shutil.copyfile(empty_file, place)
    opened = Store.open(str(place), clock=fixed_clock)
    yield opened
    opened.close()


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


@pytest.fixture
def demo_client(demo_store: Store) -> FlaskClient:
    """A browser on a page of the web face over the invented demo."""
    browser = create_app(Settings(demo_store)).test_client()
    browser.environ_base["HTTP_ORIGIN"] = "http://localhost"
    return browser
