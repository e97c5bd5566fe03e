"""Line patterns as TOML, the form in which a researcher edits and keeps them.

One table per group of settings (`cutting`, `layouts`, `marks`, `labels`, `ditto`, `breaks`,
`furniture`); the tables of abbreviations are written `"s." = "noun"`.
"""

import re
from dataclasses import asdict, fields
from difflib import get_close_matches
from typing import get_args
from unicodedata import normalize

import msgspec
import tomli_w

from termbase.errors import BadInput, ReportedAt
from termbase.messages import message
from termbase.tomlfiles import read_toml
from termbase.wordlists.compiling import compile_pattern
from termbase.wordlists.patterns import (
    Breaks,
    Cutting,
    Ditto,
    DittoRepeats,
    Furniture,
    Labels,
    Layouts,
    LinePattern,
    Marks,
    RecordCut,
)

__all__ = ["read_pattern", "write_pattern"]

_GROUPS = {
    "cutting": Cutting,
    "layouts": Layouts,
    "marks": Marks,
    "labels": Labels,
    "ditto": Ditto,
    "breaks": Breaks,
    "furniture": Furniture,
}
_TABLES = ("part_of_speech", "gender", "number", "forms", "style")
_CHOICES = {"cutting.records": get_args(RecordCut), "ditto.repeats": get_args(DittoRepeats)}
_TYPES = {
    "str": message("text in quotation marks"),
    "int": message("a whole number"),
    "bool": message("true or false"),
    "array": message("a list in square brackets"),
    "object": message("a table"),
}
_MISMATCH = re.compile(
    r"(?:Expected `(?P<type>\w+)[^`]*`|Invalid enum value).*?(?: - at `\$\.?(?P<path>[^`]*)`)?$"
)


def read_pattern(toml_text: str, where: str) -> LinePattern:
    """Read a line pattern; `where` names its file or field.

    Raises:
        BadInput: the text is not TOML, a setting is unknown or of the wrong kind, a layout cannot be
            read. The place names the line and the setting.
    """
    text = normalize("NFC", toml_text)
    data = read_toml(text, where)
    _check_names(data, text, where)
    try:
        pattern = msgspec.convert(_with_rows(data, text, where), LinePattern)
    except msgspec.ValidationError as error:
        raise _mismatch(error, text, where) from error
    if not pattern.name.strip():
        raise BadInput(
            message("The pattern has no name."),
            where=_place(text, where, "name"),
            fix=message("Give it a name."),
        )
    with ReportedAt(lambda error: _place(text, where, error.where.replace(", ", ".", 1))):
        compile_pattern(pattern)
    return pattern


def write_pattern(pattern: LinePattern) -> str:
    """Write a line pattern with all its settings; `read_pattern` gives it back."""
    data = asdict(pattern)
    for table in _TABLES:
        data["labels"][table] = {row["printed"]: row["meaning"] for row in data["labels"][table]}
    return tomli_w.dumps(data, multiline_strings=True)


def _check_names(data: dict[str, object], text: str, where: str) -> None:
    top = [field.name for field in fields(LinePattern)]
    for name, value in data.items():
        _check_name(name, top, "", text, where)
        if name in _GROUPS and isinstance(value, dict):
            known = [field.name for field in fields(_GROUPS[name])]
            for setting in value:
                _check_name(setting, known, f"{name}.", text, where)
    if "name" not in data:
        raise BadInput(
            message("The pattern has no name."), where=where, fix=message('Start with name = "…".')
        )


def _check_name(name: str, known: list[str], group: str, text: str, where: str) -> None:
    if name in known:
        return
    near = get_close_matches(name, known, 1)
    raise BadInput(
        message("There is no setting %(name)s.", name=group + name),
        where=_place(text, where, f"{group}{name}"),
        fix=message("Did you mean %(name)s?", name=group + near[0])
        if near
        else message("The settings are %(names)s.", names=", ".join(known)),
    )


def _with_rows(data: dict[str, object], text: str, where: str) -> dict[str, object]:
    """The tables of abbreviations as rows."""
    labels = data.get("labels")
    if not isinstance(labels, dict):
        return data
    rows: dict[str, object] = dict(labels)
    for table in _TABLES:
        entries = labels.get(table, {})
        if not isinstance(entries, dict):
            raise BadInput(
                message("The setting labels.%(table)s is not a table.", table=table),
                where=_place(text, where, f"labels.{table}"),
                fix=message(
                    'Write [labels.%(table)s] and below it lines such as "abbr." = "meaning".', table=table
                ),
            )
        for printed, meaning in entries.items():
            if not isinstance(meaning, str) or not printed.strip():
                raise BadInput(
                    message(
                        "The abbreviation “%(printed)s” in labels.%(table)s has no meaning in words.",
                        printed=printed,
                        table=table,
                    ),
                    where=_place(text, where, f"labels.{table}.{printed}"),
                    fix=message('Write "abbr." = "meaning", both in quotation marks.'),
                )
        rows[table] = [{"printed": printed, "meaning": meaning} for printed, meaning in entries.items()]
    return {**data, "labels": rows}


def _mismatch(error: msgspec.ValidationError, text: str, where: str) -> BadInput:
    said = _MISMATCH.match(str(error))
    path = (said["path"] or "" if said else "").partition("[")[0]
    if path in _CHOICES:
        choices = ", ".join(f'"{choice}"' for choice in _CHOICES[path])
        what, fix = (
            message("The setting %(name)s has an invalid value.", name=path),
            message("It must be one of: %(words)s.", words=choices),
        )
    else:
        kind = _TYPES.get(said["type"] or "" if said else "", message("something else"))
        what, fix = (
            message("The setting %(name)s holds the wrong kind of value.", name=path),
            message("It should be %(kind)s.", kind=kind),
        )
    return BadInput(what, where=_place(text, where, path), fix=fix)


def _place(text: str, where: str, setting: str) -> str:
    """Name file, line and setting; the line is left out where the setting is not written."""
    *groups, name = re.split(r"\.(?=[^.\s])", setting.partition(" ")[0]) or [""]
    group = ".".join(groups)
    here = ""
    for number, line in enumerate(text.split("\n"), 1):
        header = re.match(r"\s*\[+\s*([\w.]+)\s*\]+", line)
        if header:
            here = header[1]
            if here == f"{group}.{name}".lstrip("."):
                return _at_line(where, number, setting)
        elif here == group and re.match(rf"\s*[\"']?{re.escape(name)}[\"']?\s*[=.]", line):
            return _at_line(where, number, setting)
    return message("%(where)s, %(place)s", where=where, place=setting)


def _at_line(where: str, line: int, setting: str) -> str:
    return message("%(where)s, line %(line)s, %(place)s", where=where, line=line, place=setting)
