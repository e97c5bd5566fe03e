"""Serving, and the place of static files."""

from pathlib import Path
from urllib.request import urlopen

import pytest

from app import serving
from app.web import Settings, assets, language
from termbase.store.engine import Store


def test_it_prints_its_address_once_it_listens_and_ends_quietly_when_interrupted(store: Store) -> None:
    addresses: list[str] = []

    def ready(address: str) -> None:
        addresses.append(address)
        raise KeyboardInterrupt

    serving.serve(Settings(store), port=0, ready=ready)

    assert len(addresses) == 1
    assert addresses[0].startswith("http://localhost:")
    with pytest.raises(OSError, match="refused"):
        urlopen(addresses[0], timeout=2)


@pytest.mark.parametrize(
    ("host", "opened"),
    [("127.0.0.1", "localhost"), ("slate.example", "slate.example")],
)
def test_a_browser_can_open_the_address(host: str, opened: str) -> None:
    assert serving.address(host, 8765) == f"http://{opened}:8765/"


def test_static_files_of_an_installed_package_come_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "app"
    (tmp_path / "static").mkdir()
    monkeypatch.setattr(assets, "APP", package)
    assert assets.static_folder() == tmp_path / "static"

    (package / "static").mkdir(parents=True)
    assert assets.static_folder() == package / "static"


def test_without_a_catalogue_the_interface_is_english() -> None:
    assert language.gettext("Made %(what)s.", what="it") == "Made it."
    assert language.ngettext("%(n)s slip", "%(n)s slips", 2) == "2 slips"
