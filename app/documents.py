"""What the JSON documents of the command line contain, read from the types that the commands print.

A document is a TypedDict beside its command, with a description of each field. The values in it are
dataclasses, structs and closed lists. The `Attributes` in their docstrings describe their fields.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from enum import StrEnum
from functools import cache
from types import NoneType, UnionType
from typing import (
    Annotated,
    Final,
    Literal,
    NotRequired,
    TypeAlias,
    TypedDict,
    TypeVar,
    Union,
    get_args,
    get_origin,
    get_type_hints,
    is_typeddict,
)

import click
import msgspec

from app.commands.context import JsonOption
from app.reports import BESIDE_FILE
from exports.outputs import OUTPUTS, Output, object_named
from termbase.fields.notes import CodedText
from termbase.record.lines import Printed

__all__ = [
    "DocumentField", "commands_with_json", "document_fields", "every_command", "fields_of_type", "json_type",
    "types_within",
]  # fmt: skip

Hint: TypeAlias = object
"""A type as it is declared."""
_ATTRIBUTE: Final = re.compile(r"(\w+(?:, \w+)*): +(.*)")
_PLAIN: Final[Mapping[Hint, str]] = {
    str: "text", int: "number", float: "number", bool: "true or false", NoneType: "null", object: "any value",
    CodedText: "text",
}  # fmt: skip


class PrintedPart(TypedDict):
    """A part of a line whose printed spelling differs from its value."""

    part: Annotated[str, "which part of the line, in words"]
    text: Annotated[str, "the text as printed"]
    why: Annotated[str, "why the printed text differs"]


@dataclass(frozen=True)
class DocumentField:
    """A field of a JSON object.

    Attributes:
        name: its key.
        hint: the type of its value.
        text: what it means.
        always: whether it is always there.
    """

    name: str
    hint: Hint
    text: str
    always: bool = True


def every_command(command: click.Command, words: tuple[str, ...] = ()) -> Iterator[tuple[str, click.Command]]:
    """Yield every command with its words after `wordhold`, without the groups."""
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            child = command.get_command(context, name)
            if child is not None:
                yield from every_command(child, (*words, name))
    else:
        yield " ".join(words), command


def commands_with_json(main: click.Command) -> dict[str, type | None]:
    """Return the commands that have `--json`, with the types of their documents; None for an output."""
    return {
        name: option.document
        for name, command in every_command(main)
        for option in command.params
        if isinstance(option, JsonOption)
    }


def document_fields(command: str, document: type | None) -> tuple[DocumentField, ...]:
    """Return the fields of the document that a command prints, without `wordhold`."""
    if document is not None:
        return fields_of_type(document)
    output = next(each for each in OUTPUTS.values() if f"{each.group} {each.name}" == command)
    kind = "folder" if output.folder else "file"
    file = DocumentField("file", str, f"path of the {kind} that was written")
    report = _report(output)
    if output.name in BESIDE_FILE:
        return (file, *fields_of_type(report))
    return (file, DocumentField("report", report, "what was written"))


def _report(output: Output) -> type:
    report = get_type_hints(object_named(output.write))["return"]
    assert isinstance(report, type)
    return report


@cache
def fields_of_type(cls: type) -> tuple[DocumentField, ...]:
    """Return the fields of an object; nothing if the type is not an object.

    Raises:
        LookupError: a field has no description.
    """
    cls = _shown(cls)
    if not _is_object(cls):
        return ()
    hints = get_type_hints(cls, include_extras=True)
    if is_typeddict(cls):
        return tuple(_declared(name, hint) for name, hint in hints.items())
    texts = _attributes(cls)
    tag, keys = None, {}
    omitted: tuple[str, ...] = ()
    if issubclass(cls, msgspec.Struct):
        tag = cls.__struct_config__.tag_field
        if cls.__struct_config__.omit_defaults:
            omitted = tuple(each.name for each in msgspec.structs.fields(cls) if not each.required)
        keys = dict(zip(cls.__struct_fields__, cls.__struct_encode_fields__, strict=True))
    elif is_dataclass(cls):
        keys = {field.name: field.name for field in fields(cls)}
    result = [DocumentField(tag, str, "the kind of object")] if tag else []
    for name, key in keys.items():
        if name not in texts:
            raise LookupError(f"{cls.__module__}.{cls.__name__}: the docstring does not describe {name}")
        text = f"{texts[name].rstrip('.')} (left out if empty)" if name in omitted else texts[name]
        result.append(DocumentField(key, hints[name], text, always=name not in omitted))
    return tuple(result)


def _declared(name: str, hint: Hint) -> DocumentField:
    always = get_origin(hint) is not NotRequired
    if not always:
        hint = get_args(hint)[0]
    if get_origin(hint) is not Annotated:
        raise LookupError(f"{name}: no description")
    own, text = get_args(hint)
    return DocumentField(name, own, text, always)


def _attributes(cls: type) -> dict[str, str]:
    """Return the descriptions in the docstring of a class and of the classes that it extends."""
    texts: dict[str, str] = {}
    for each in reversed(cls.__mro__):
        _, _, below = (each.__doc__ or "").partition("    Attributes:\n")
        names: list[str] = []
        for line in below.splitlines():
            if not line.strip() or not line.startswith("        "):
                break
            begins = None if line.startswith("         ") else _ATTRIBUTE.fullmatch(line.strip())
            if begins:
                names = begins[1].split(", ")
                texts.update(dict.fromkeys(names, begins[2]))
                continue
            texts.update({name: f"{texts[name]} {line.strip()}" for name in names})
    return texts


def _shown(cls: type) -> type:
    """Return what is printed in place of a type."""
    return PrintedPart if cls is Printed else cls


def _is_object(cls: Hint) -> bool:
    if not isinstance(cls, type) or cls is CodedText:
        return False
    return is_typeddict(cls) or is_dataclass(cls) or issubclass(cls, msgspec.Struct)


def types_within(hint: Hint) -> Iterator[type]:
    """Yield the objects that a value of this type can be or can hold directly."""
    if get_origin(hint) is Literal:
        return
    origin = get_origin(hint)
    if _is_object(origin or hint):
        cls = origin or hint
        assert isinstance(cls, type)
        yield _shown(cls)
    for each in get_args(hint):
        yield from types_within(each)


def json_type(hint: Hint) -> str:
    """Return the type of a JSON value in words."""
    origin, arguments = get_origin(hint), get_args(hint)
    if origin is Annotated:
        return json_type(arguments[0])
    if origin in (Union, UnionType):
        return " or ".join(dict.fromkeys(json_type(each) for each in arguments))
    if origin is Literal:
        return _one_of(str(each) for each in arguments)
    if origin in (dict, Mapping):
        return f"object, by key: {json_type(arguments[1])}"
    if origin is tuple and len(arguments) > 1 and arguments[1] is not Ellipsis:
        return f"list of {len(arguments)}: {', '.join(json_type(each) for each in arguments)}"
    if origin in (tuple, list, frozenset):
        return f"list of {json_type(arguments[0])}"
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return _one_of(each.value for each in hint)
    cls = origin or hint
    if isinstance(cls, type) and _is_object(cls):
        return _shown(cls).__name__ + (f" ({json_type(arguments[0])})" if arguments else "")
    if isinstance(hint, TypeVar):
        return "any value"
    return _PLAIN[hint]


def _one_of(values: Iterator[str]) -> str:
    return "one of " + ", ".join(f"`{each}`" if each else "empty" for each in values)
