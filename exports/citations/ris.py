"""Sources as RIS and back. Line patterns are not included.

The tags are those of the published specification (Research Information Systems, 2001, updated 2011).
`DA` is YYYY/MM/DD/other: the EDTF goes to *other*, which the format provides for dates that numbers cannot
express. `U1` (free for use) contains the rights, `M3` the kind of source.
"""

import re
from collections.abc import Iterable, Iterator
from typing import Final

from exports.citations.works import Work, key_of, kind_named, names_in, names_text, year_in
from termbase.dates import edtf as dates
from termbase.errors import BadInput
from termbase.messages import joined, message
from termbase.record.sources import Source, SourceKind

__all__ = ["read_ris", "ris_pieces"]

_TYPES: Final = {
    SourceKind.NEWSPAPER: "NEWS",
    SourceKind.WORD_LIST: "DICT",
    SourceKind.RULE_BOOK: "PAMP",
    SourceKind.MANUSCRIPT: "MANSCPT",
    SourceKind.RECORDING: "SOUND",
    SourceKind.PICTURE: "ART",
    SourceKind.OTHER: "GEN",
}
_KINDS: Final = {tag: kind for kind, tag in _TYPES.items()} | {
    "MGZN": SourceKind.NEWSPAPER, "UNPB": SourceKind.MANUSCRIPT, "PCOMM": SourceKind.MANUSCRIPT,
    "STAND": SourceKind.RULE_BOOK, "STAT": SourceKind.RULE_BOOK, "VIDEO": SourceKind.RECORDING,
    "FIGURE": SourceKind.PICTURE, "MAP": SourceKind.PICTURE,
}  # fmt: skip
_TAGS: Final = {
    "label": "ST", "title": "TI", "container": "T2", "publisher": "PB", "place": "CY", "pages": "SP",
    "archive": "DB", "shelfmark": "CN", "url": "UR", "language": "LA", "rights": "U1", "note": "N1",
}  # fmt: skip
_READ: Final = {tag: field for field, tag in _TAGS.items()} | {
    "T1": "title", "CT": "title", "BT": "title", "JO": "container", "JF": "container", "JA": "container",
    "PP": "place", "AV": "shelfmark",
}  # fmt: skip
_NAMES: Final = {"AU": "author", "A1": "author", "ED": "editor", "A3": "editor"}
_KNOWN: Final = frozenset((*_READ, *_NAMES, "TY", "ID", "SP", "EP", "DA", "PY", "Y1"))
_LINE: Final = re.compile(r"([A-Z][A-Z0-9])  ?-(?: (.*)|\s*)")
_LIKE_A_TAG: Final = re.compile(r" *[A-Z][A-Z0-9]  ?-( |$)")


def ris_pieces(sources: Iterable[Source]) -> Iterator[str]:
    """Yield a RIS file, source by source; lines end in CR LF, as the specification requires.

    It also requires keys of at most 20 letters and digits.
    """
    taken: dict[str, int] = {}
    for source in sources:
        key = key_of(source, taken, hyphen="", longest=20)
        lines = (f"{tag}  - {_folded(value)}" for tag, value in _values(source, key))
        yield "\r\n".join((*lines, "ER  - ", "", ""))


def read_ris(text: str, where: str) -> Iterator[Work | BadInput]:
    """Yield the works of a RIS file, in order; an invalid one comes as its error.

    Raises:
        BadInput: it is not RIS at all, or ends within a record.
    """
    values: list[tuple[str, str]] = []
    start = 0
    for number, line in enumerate(text.split("\n"), 1):
        tagged = _LINE.fullmatch(line.rstrip("\r"))
        if tagged is None:
            _continue(values, line.rstrip("\r"), message("%(file)s, line %(line)s", file=where, line=number))
        elif tagged[1] == "ER":
            if start:
                yield _work(values, message("%(file)s, line %(line)s", file=where, line=start))
            values, start = [], 0
        else:
            start = start or number
            values.append((tagged[1], tagged[2] or ""))
    if values:
        raise BadInput(
            message("The record has no end tag (ER)."),
            where=message("%(file)s, line %(line)s", file=where, line=start),
            fix=message("Export it again: the file seems incomplete."),
        )


def _values(source: Source, key: str) -> Iterator[tuple[str, str]]:
    yield "TY", _TYPES[source.kind]
    yield "ID", key
    for tag in ("AU", "ED"):
        for name in names_in(getattr(source, _NAMES[tag])):
            yield tag, name.text
    for field, tag in _TAGS.items():
        if value := getattr(source, field):
            yield tag, value
    if source.issued:
        if year := year_in(source.issued):
            yield "PY", year
        yield "DA", _date(source.issued)
    for style in source.styles:
        yield "KW", style
    yield "M3", source.kind.value


def _date(edtf: str) -> str:
    plain = re.fullmatch(r"([0-9]{4})(?:-([01][0-9])(?:-([0-9]{2}))?)?", edtf)
    if plain and not (plain[2] and int(plain[2]) > 12):
        return "/".join(part or "" for part in plain.groups()) + "/"
    return f"{year_in(edtf)}///{edtf}"


def _edtf(value: str, place: str) -> str:
    parts = [part.strip() for part in value.split("/", 3)]
    year, month, day, other = (*parts, "", "", "", "")[:4]
    made = year
    if year and month.isdecimal() and int(month):
        made += f"-{int(month):02}"
        if day.isdecimal() and int(day):
            made += f"-{int(day):02}"
    for text in (other, made):
        try:
            return dates.parse(text).text
        except BadInput as error:
            last = error
    if not made:
        return ""
    raise BadInput(last.what, where=place, fix=last.fix)


def _folded(value: str) -> str:
    first, *more = value.split("\n")
    return "\r\n".join((first, *(f" {line}" if _LIKE_A_TAG.match(line) else line for line in more)))


def _continue(values: list[tuple[str, str]], line: str, place: str) -> None:
    """Append a line without a tag to the value before it."""
    if values:
        tag, value = values[-1]
        values[-1] = tag, f"{value}\n{line[1:] if line.startswith(' ') and _LIKE_A_TAG.match(line) else line}"
    elif line.strip():
        raise BadInput(
            message("This line is not valid RIS."), where=place, fix=message("Export it again as RIS.")
        )


def _work(values: list[tuple[str, str]], place: str) -> Work | BadInput:
    fields: dict[str, str] = {}
    names: dict[str, list[str]] = {}
    by_tag: dict[str, list[str]] = {}
    for tag, raw in values:
        value = raw.strip()
        by_tag.setdefault(tag, []).append(value)
        if tag in _NAMES:
            names.setdefault(_NAMES[tag], []).append(value)
        elif tag in _READ and value:
            fields.setdefault(_READ[tag], value)
    fields |= {
        field: names_text(n for text in these for n in names_in(text)) for field, these in names.items()
    }
    if "SP" in by_tag and by_tag.get("EP", [""])[0]:
        fields["pages"] = f"{by_tag['SP'][0]}-{by_tag['EP'][0]}"
    date = next((by_tag[tag][0] for tag in ("DA", "PY", "Y1") if tag in by_tag), "")
    try:
        issued = _edtf(date, joined((place, "DA"), ", ")) if date else ""
    except BadInput as error:
        return error
    if issued:
        fields["issued"] = issued
    own_kind = kind_named(by_tag.get("M3", [""])[0])
    kind = own_kind or _KINDS.get(by_tag.get("TY", [""])[0], SourceKind.OTHER)
    ours = _KNOWN | {"KW", "M3"} if own_kind else _KNOWN
    unread = tuple(tag for tag in by_tag if tag not in ours)
    return Work(fields, place, kind, tuple(by_tag.get("KW", ())) if own_kind else None, unread)
