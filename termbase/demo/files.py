"""Reading the demo's files into typed rows; errors name the file and field."""

from dataclasses import fields, is_dataclass
from importlib.resources.abc import Traversable
from typing import TypeVar
from unicodedata import normalize

import msgspec

from termbase.errors import BadInput
from termbase.tomlfiles import read_toml

__all__ = ["Headed", "file_text", "named", "read_headed", "read_rows", "read_table"]

T = TypeVar("T")


class Headed(msgspec.Struct, frozen=True):
    """A text preceded by `name: value` lines and a blank line."""

    fields: dict[str, str]
    text: str


def file_text(root: Traversable, path: str) -> str:
    """Return the text of a file in the folder.

    Raises:
        BadInput: it does not exist, is not UTF-8, or is not in Unicode NFC.
    """
    try:
        text = root.joinpath(path).read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise BadInput("The file is not there.", where=path, fix="Put it back, or name another.") from error
    except UnicodeDecodeError as error:
        raise BadInput("The file is not UTF-8.", where=path, fix="Save it as UTF-8.") from error
    if normalize("NFC", text) != text:
        raise BadInput("The text is not in Unicode NFC.", where=path, fix="Normalise the file.")
    return text


def named(root: Traversable, folder: str, ending: str) -> tuple[str, ...]:
    """Return the paths of a folder's files with this extension, by name."""
    result = (item.name for item in root.joinpath(folder).iterdir() if item.name.endswith(ending))
    return tuple(f"{folder}/{name}" for name in sorted(result))


def read_table(root: Traversable, path: str, kind: type[T]) -> T:
    """Return a whole TOML file as one row.

    Raises:
        BadInput: it is not TOML, or a field is missing, unknown or of the wrong kind.
    """
    document = read_toml(file_text(root, path), path)
    return _convert(document, kind, path)


def read_rows(root: Traversable, path: str, key: str, kind: type[T]) -> tuple[T, ...]:
    """Return the `[[key]]` rows of a TOML file, in order.

    Raises:
        BadInput: it is not TOML or holds anything else, or a row is invalid; the error names the row's id.
    """
    document = read_table(root, path, dict[str, list[dict[str, object]]])
    if set(document) != {key}:
        raise BadInput(f"Only [[{key}]] belongs here.", where=path, fix=f"Begin every row with [[{key}]].")
    return tuple(
        _convert(row, kind, f"{path}, {key} {row.get('id', number)}")
        for number, row in enumerate(document[key], 1)
    )


def read_headed(root: Traversable, path: str) -> Headed:
    """Return a text with the `name: value` lines above it.

    Raises:
        BadInput: a line above the first blank line has no colon, or no text follows.
    """
    head, _, body = file_text(root, path).partition("\n\n")
    pairs = [line.partition(":") for line in head.splitlines()]
    if not all(mark for _, mark, _ in pairs) or not body.strip():
        raise BadInput(
            "The lines `name: value` above, a blank line, or the text below are missing.",
            where=path,
            fix="Write the file as its neighbours are.",
        )
    return Headed({name.strip(): value.strip() for name, _, value in pairs}, body.strip() + "\n")


def _convert(value: object, kind: type[T], where: str) -> T:
    if is_dataclass(kind) and isinstance(value, dict):
        known = [field.name for field in fields(kind)]
        for name in sorted(value.keys() - known):
            raise BadInput(
                f"There is no field “{name}” here.", where=where, fix=f"The fields are: {', '.join(known)}."
            )
    try:
        return msgspec.convert(value, kind)
    except msgspec.ValidationError as error:
        what, _, path = str(error).partition(" - at `$")
        field = path.rstrip("`").lstrip(".")
        place = f"{where}, field {field}" if field else where
        raise BadInput(f"{what}.", where=place, fix="Correct the field.") from error
