"""The TOML files that people write keep every key: rule codes, techniques, line patterns, languages.

Each sample uses every key of its kind once, so the samples are the list of keys. A key is tested
by its effect: the file is read without an error, and without the key the result differs or is missing.
"""

import tomllib
from collections.abc import Callable, Iterator
from copy import deepcopy
from pathlib import Path

import pytest
import tomli_w

from termbase.errors import BadInput
from termbase.languages.files import read as read_language
from termbase.rules.files import read_codes, read_profiles, write_codes, write_profiles
from termbase.wordlists.pattern_files import read_pattern, write_pattern

SAMPLES = Path(__file__).parent / "samples"
READERS: dict[str, Callable[[str], object]] = {
    "codes": lambda text: read_codes(text, "codes.toml"),
    "techniques": lambda text: read_profiles(text, "techniques.toml"),
    "pattern": lambda text: read_pattern(text, "pattern.toml"),
    "language": lambda text: read_language(text.encode(), "language.toml"),
}
WRITERS: dict[str, Callable[[str], str]] = {
    "codes": lambda text: write_codes(read_codes(text, "codes.toml")),
    "techniques": lambda text: write_profiles(read_profiles(text, "techniques.toml")),
    "pattern": lambda text: write_pattern(read_pattern(text, "pattern.toml")),
}
Table = dict[str, object]
Path_ = tuple[str | int, ...]


def sample(name: str) -> str:
    return (SAMPLES / f"{name}.toml").read_text("utf-8")


def keys(value: object, path: Path_ = ()) -> Iterator[Path_]:
    """Yield the path of every key, also in tables."""
    if isinstance(value, dict):
        for key, under in value.items():
            yield (*path, key)
            yield from keys(under, (*path, key))
    elif isinstance(value, list):
        for number, under in enumerate(value):
            yield from keys(under, (*path, number))


def without(document: Table, path: Path_) -> Table:
    changed = deepcopy(document)
    holder: object = changed
    for step in path[:-1]:
        assert isinstance(holder, dict | list)
        holder = holder[step]  # type: ignore[index]
    assert isinstance(holder, dict)
    del holder[path[-1]]
    return changed


def shown(path: Path_) -> str:
    return ".".join(str(step) for step in path)


@pytest.mark.parametrize("name", READERS)
def test_every_key_is_still_read_and_has_an_effect(name: str) -> None:
    read, text = READERS[name], sample(name)
    whole = read(text)

    idle = []
    for path in keys(tomllib.loads(text)):
        try:
            same = read(tomli_w.dumps(without(tomllib.loads(text), path))) == whole
        except BadInput:  # a key that must be there
            continue
        if same:
            idle.append(shown(path))
    assert idle == []


@pytest.mark.parametrize("name", WRITERS)
def test_every_key_is_still_written(name: str) -> None:
    text = sample(name)

    written = set(keys(tomllib.loads(WRITERS[name](text))))

    assert [shown(path) for path in keys(tomllib.loads(text)) if path not in written] == []


def test_only_its_own_reader_accepts_a_sample() -> None:
    """A reader that accepted any key would keep none."""
    for name, read in READERS.items():
        for other in READERS.keys() - {name}:
            with pytest.raises(BadInput):
                read(sample(other))
