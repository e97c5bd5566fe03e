"""A small sample of `tests.stress.hostile`: every damaged file ends in one of the project's own errors."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.stress.hostile import Bench, Target, faults

SEEDS = range(25)
NAMES = (
    *("csv of names", "csv of entries", "xlsx of names", "xlsx of entries", "tbx-wordhold", "tbx basic-dca"),
    *("tbx basic-dct", "tbx core", "tbx martif-2008", "tbx min-dct", "csl-json", "bibtex", "ris"),
    *("rule codes", "profiles", "line pattern", "language file", "PNG", "JPEG", "WEBP", "GIF", "PDF"),
    "backup",
)


@pytest.fixture(scope="module")
def targets(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Target]]:
    bench = Bench(tmp_path_factory.mktemp("hostile"))
    yield {target.name: target for target in bench.targets()}
    bench.store.close()


def test_every_reader_has_its_sample(targets: dict[str, Target]) -> None:
    assert set(targets) == set(NAMES)


@pytest.mark.filterwarnings("default")
@pytest.mark.parametrize("name", NAMES)
def test_a_valid_file_is_imported_and_a_damaged_one_gives_our_own_error(
    targets: dict[str, Target], tmp_path: Path, name: str
) -> None:
    target = targets[name]
    if name != "GIF":  # a type of picture that is not accepted
        valid = tmp_path / "valid.bin"
        valid.write_bytes(target.valid)
        target.read(valid)
    result = [fault for fault in faults(target, iter(SEEDS), tmp_path) if fault is not None]
    assert not result, f"{name}, seed {result[0].seed}: {result[0].trace}"
