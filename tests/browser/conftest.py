"""A running web interface, a Chromium browser to view it, and an accessibility check.

Tests here are skipped, with the reason, where there is no chromium or no way to fetch axe-core (MPL 2.0;
fetched once into the user's cache and never kept in the repository).
"""

import shutil
import subprocess
import tarfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import platformdirs
import pytest
from flask import Blueprint
from playwright.sync_api import Browser, Page, sync_playwright

from app.web import Settings, create_app
from termbase.record.people import Person, Role, Termbase
from termbase.store.engine import Store
from tests.served import served

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
AXE = "axe-core@4.10.3"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@dataclass(frozen=True)
class Violation:
    """A violation found by axe-core: its rule, its message and the elements."""

    rule: str
    help: str
    elements: tuple[str, ...]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker("browser")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An empty termbase, English and Welsh, with two people."""
    notice = "Everything here is invented and is evidence of nothing."
    made = Store.create(
        str(tmp_path / "words.db"),
        Termbase("Words of the Vale of Glanmorwen", vernaculars=("cy",), notice=notice),
        by="Gwen",
    )
    with made.act("Gwen", "named the people") as act:
        act.add(Person(act.new_id("person"), "Gwen Pritchard", roles=(Role.RESEARCHER,)))
        act.add(Person(act.new_id("person"), "Ifan Hughes", roles=(Role.COACH,)))
    yield made
    made.close()


@pytest.fixture
def blueprints() -> tuple[Blueprint, ...]:
    """Pages that a test adds to the web interface; a test module overrides it."""
    return ()


@pytest.fixture
def key() -> str:
    """The required access key; a test module overrides it."""
    return ""


@pytest.fixture
def live_server(store: Store, blueprints: tuple[Blueprint, ...], key: str) -> Iterator[str]:
    """Address of the web interface for `store`, served by waitress in a thread, without a trailing slash."""
    app = create_app(Settings(store, key=key))
    for blueprint in blueprints:
        app.register_blueprint(blueprint)
    with served(app) as port:
        yield f"http://localhost:{port}"


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A headless Chromium."""
    if not Path(CHROMIUM).exists():
        pytest.skip(f"there is no chromium at {CHROMIUM}")
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A new page; the test fails if one of our scripts fails or something is not allowed to load."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    fresh = context.new_page()
    errors: list[str] = []
    fresh.on("pageerror", lambda error: errors.append(str(error)))
    fresh.on(
        "console",
        lambda message: errors.append(message.text) if "Content Security Policy" in message.text else None,
    )
    yield fresh
    context.close()
    assert errors == []


@pytest.fixture(scope="session")
def axe_script() -> str:
    """The source of axe-core, fetched once through npm."""
    cache = platformdirs.user_cache_path("wordhold-tests") / AXE.replace("@", "-")
    script = cache / "package" / "axe.min.js"
    if not script.exists():
        npm = shutil.which("npm")
        if npm is None:
            pytest.skip("axe-core is not here, and there is no npm to fetch it")
        cache.mkdir(parents=True, exist_ok=True)
        try:
            subprocess.run([npm, "pack", AXE], cwd=cache, check=True, capture_output=True, timeout=120)
        except (subprocess.CalledProcessError, subprocess.TimeoutExpired):
            pytest.skip("axe-core cannot be fetched from here")
        with tarfile.open(next(cache.glob("*.tgz"))) as packed:
            packed.extract("package/axe.min.js", cache, filter="data")
    return script.read_text(encoding="utf-8")


@pytest.fixture
def violations(axe_script: str) -> Callable[[Page], list[Violation]]:
    """A function that returns the violations axe-core finds on a page."""

    def check(page: Page) -> list[Violation]:
        page.evaluate(axe_script)
        found = page.evaluate(
            "rules => axe.run(document, {runOnly: rules}).then(r => r.violations.map("
            "v => [v.id, v.help, v.nodes.map(n => n.html)]))",
            RULES,
        )
        return [Violation(rule, help_text, tuple(elements)) for rule, help_text, elements in found]

    return check
