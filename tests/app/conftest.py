"""A small termbase, its web interface, and a test client."""

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from app.web import Settings, create_app
from termbase.record.people import Termbase
from termbase.store.engine import Store


def fixed_clock() -> datetime:
    return datetime(2024, 5, 1, 12, 0, tzinfo=UTC)


@pytest.fixture
def demo_clock() -> Callable[[], datetime]:
    """The clock for acts on the demo."""
    return fixed_clock


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty termbase, English and Welsh, created once; copy it before changing anything."""
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
    """An empty termbase for one test."""
    place = tmp_path / "words.db"
    shutil.copyfile(empty_file, place)
    opened = Store.open(str(place), clock=fixed_clock)
    yield opened
    opened.close()


@pytest.fixture
def app(store: Store) -> Flask:
    """The app; errors reach the test instead of a page only if a test asks for it."""
    return create_app(Settings(store))


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """A test client on a page of this site, as its headers say."""
    browser = app.test_client()
    browser.environ_base["HTTP_ORIGIN"] = "http://localhost"
    return browser


@pytest.fixture
def demo_client(demo_store: Store) -> FlaskClient:
    """A test client on a page of the invented demo."""
    browser = create_app(Settings(demo_store)).test_client()
    browser.environ_base["HTTP_ORIGIN"] = "http://localhost"
    return browser
