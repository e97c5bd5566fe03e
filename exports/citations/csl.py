"""Sources as CSL-JSON (data of CSL 1.0.2) and back, with every field and with exact dates.

Fields without a CSL variable go to `custom` under `wordhold`, as the schema of CSL data provides.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

import msgspec

from exports.citations.works import Name, Work, kind_named, names_in, names_text
from termbase.dates import edtf as dates
from termbase.dates.edtf import CalendarDate, Range
from termbase.errors import BadInput, ReportedAt
from termbase.messages import joined, message
from termbase.record.sources import Source, SourceKind

__all__ = ["csl_date", "csl_item", "csl_json_pieces", "edtf_of", "read_csl_json"]

# Dates: one that date-parts can express completely (a day, a month, a year, a range of these, a season, a
# circa) is written that way. Any other date is written in words, and the exact EDTF is also written to
# `edtf`, which the schema of CSL 1.0.2 data provides.

CslDate = dict[str, object]
_SEASONS: Final = {"21": 1, "22": 2, "23": 3, "24": 4}
_CODES: Final = {number: code for code, number in _SEASONS.items()}


def csl_date(edtf: str) -> CslDate:
    """Return a date as CSL-JSON."""
    parsed = dates.parse(edtf)
    member = parsed.members[0]
    date: CslDate | None = None
    if parsed.kind == "date" and isinstance(member, CalendarDate):
        date = _single(member)
    elif parsed.kind == "interval" and isinstance(member, Range):
        date = _between(member)
    if date is None:
        date = {"literal": dates.readable(parsed)}
    if _from_structure(date) != edtf:
        date["edtf"] = edtf
    return date


def edtf_of(date: object, where: str) -> str:
    """Return the EDTF for a date of CSL-JSON; empty if it contains nothing.

    Raises:
        BadInput: EDTF cannot express the date.
    """
    if isinstance(date, str):
        return _checked(date, where) if date.strip() else ""
    if not isinstance(date, dict):
        raise BadInput(
            message("The date must be text or an object."),
            where=where,
            fix=message("See “issued” in CSL-JSON."),
        )
    if isinstance(exact := date.get("edtf"), str) and exact.strip():
        return _checked(exact, where)
    made = _from_structure(date)
    if made:
        return _checked(made, where)
    text = date.get("raw") or date.get("literal")
    if not text and (unread := _in_words(date.get("date-parts"))):
        text = unread
    return _checked(str(text), where) if text else ""


def _in_words(parts: object) -> str:
    """Return date-parts that are not numbers, as text; empty if they are empty."""
    if isinstance(parts, list):
        return " ".join(filter(None, map(_in_words, parts)))
    return str(parts).strip() if isinstance(parts, str | int | float) else ""


def _checked(text: str, where: str) -> str:
    with ReportedAt(where):
        return dates.parse(text).text


def _single(date: CalendarDate) -> CslDate | None:
    plain = _plain(date)
    if plain is None:
        return None
    csl: CslDate = {"date-parts": [plain]}
    if date.month in _SEASONS:
        csl = {"date-parts": [plain[:1]], "season": _SEASONS[date.month]}
    if any(date.doubts):
        csl["circa"] = True
    return csl


def _between(range_: Range) -> CslDate | None:
    if not isinstance(range_.start, CalendarDate) or not isinstance(range_.end, CalendarDate):
        return None
    start, end = _plain(range_.start), _plain(range_.end)
    if start is None or end is None or range_.start.month in _SEASONS or range_.end.month in _SEASONS:
        return None
    csl: CslDate = {"date-parts": [start, end]}
    if any(range_.start.doubts) or any(range_.end.doubts):
        csl["circa"] = True
    return csl


def _plain(date: CalendarDate) -> list[int] | None:
    """Return year, month and day as numbers, if all their digits are known and numbers can express them."""
    if "X" in date.year + date.month + date.day or date.significant:
        return None
    if date.month and int(date.month) > 12 and date.month not in _SEASONS:
        return None
    return [int(part) for part in (date.year, date.month, date.day) if part]


def _from_structure(date: CslDate) -> str:
    parts = date.get("date-parts")
    if not isinstance(parts, Sequence) or isinstance(parts, str) or not 1 <= len(parts) <= 2:
        return ""
    written = [_edtf_day(each) for each in parts]
    if not all(written):
        return ""
    doubt = "~" if date.get("circa") not in (None, False, 0, "", "0") else ""
    season = _number(date.get("season"))
    if season in _CODES and len(written) == 1:
        return f"{written[0][:4]}-{_CODES[season]}{doubt}"
    return "/".join(f"{each}{doubt}" for each in written)


def _edtf_day(parts: object) -> str:
    if not isinstance(parts, Sequence) or isinstance(parts, str):
        return ""
    numbers = [_number(part) for part in parts]
    if not numbers or numbers[0] is None:
        return ""
    year = numbers[0]
    written = f"{'-' if year < 0 else ''}{abs(year):04}" if abs(year) <= 9999 else f"Y{year}"
    for number in numbers[1:3]:
        if not number or number < 0:  # a month of 0 means that there is none
            break
        written += f"-{number:02}"
    return written


def _number(value: object) -> int | None:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return None
    try:
        return int(value)
    except (ValueError, OverflowError):
        return None


Item = dict[str, object]
OWN: Final = "wordhold"
_VARIABLES: Final = {
    "label": "citation-label", "title": "title", "container": "container-title", "publisher": "publisher",
    "place": "publisher-place", "pages": "page", "archive": "archive", "shelfmark": "call-number",
    "url": "URL", "language": "language", "note": "note",
}  # fmt: skip
_TYPES: Final = {
    SourceKind.NEWSPAPER: "article-newspaper",
    SourceKind.WORD_LIST: "book",
    SourceKind.RULE_BOOK: "pamphlet",
    SourceKind.MANUSCRIPT: "manuscript",
    SourceKind.RECORDING: "song",  # CSL 1.0.2: "an audio recording"
    SourceKind.PICTURE: "graphic",
    SourceKind.OTHER: "document",
}
_KINDS: Final = {
    **dict.fromkeys(("article-newspaper", "article-magazine", "periodical"), SourceKind.NEWSPAPER),
    **dict.fromkeys(("entry-dictionary", "entry-encyclopedia"), SourceKind.WORD_LIST),
    **dict.fromkeys(("legislation", "regulation", "standard", "pamphlet"), SourceKind.RULE_BOOK),
    **dict.fromkeys(("manuscript", "personal_communication"), SourceKind.MANUSCRIPT),
    **dict.fromkeys(("song", "broadcast", "interview", "motion_picture", "speech"), SourceKind.RECORDING),
    **dict.fromkeys(("graphic", "figure", "map"), SourceKind.PICTURE),
}

_KNOWN: Final = frozenset(_VARIABLES.values()) | {
    *("id", "type", "author", "editor", "issued", "custom", "title-short")
}


def csl_item(source: Source) -> Item:
    """Return one source as an item of CSL-JSON."""
    whole_run = source.kind is SourceKind.NEWSPAPER and not source.container
    item: Item = {"id": source.id, "type": "periodical" if whole_run else _TYPES[source.kind]}
    for field, variable in _VARIABLES.items():
        if value := getattr(source, field):
            item[variable] = value
    own: dict[str, object] = {"kind": source.kind.value}
    for field in ("author", "editor"):
        text: str = getattr(source, field)
        names = names_in(text)
        if names:
            item[field] = [_csl_name(name) for name in names]
        if names_text(names) != text:
            own[field] = text
    if source.issued:
        item["issued"] = csl_date(source.issued)
    own |= {n: v for n in ("rights", "pattern") if (v := getattr(source, n))}
    if source.styles:
        own["styles"] = list(source.styles)
    item["custom"] = {OWN: own}
    return item


def csl_json_pieces(sources: Iterable[Source]) -> Iterator[str]:
    """Yield a file of CSL-JSON, source by source."""
    yield "["
    for number, source in enumerate(sources):
        text = json.dumps(csl_item(source), ensure_ascii=False, indent=1)
        yield f"{',' if number else ''}\n{text}"
    yield "\n]\n"


def read_csl_json(text: str, where: str) -> Iterator[Work | BadInput]:
    """Yield the works of a file of CSL-JSON, in order; an invalid item comes as its error.

    Raises:
        BadInput: it is not CSL-JSON at all.
    """
    try:
        items = msgspec.json.decode(text.encode())
    except (msgspec.DecodeError, RecursionError) as error:
        raise BadInput(
            message("This is not valid JSON: %(error)s.", error=error),
            where=where,
            fix=message("Export it again as CSL-JSON."),
        ) from error
    if isinstance(items, dict) and isinstance(items.get("items"), list):
        items = items["items"]
    if not isinstance(items, list):
        raise BadInput(
            message("CSL-JSON must be a list of works."),
            where=where,
            fix=message("Export it again as CSL-JSON."),
        )
    for number, item in enumerate(items, 1):
        place = message("%(file)s, item %(number)s", file=where, number=number)
        try:
            yield _work(item, place)
        except BadInput as error:
            yield error


def _csl_name(name: Name) -> dict[str, str]:
    if name.literal:
        return {"literal": name.literal}
    return {key: value for key, value in (("family", name.family), ("given", name.given)) if value}


def _work(item: object, place: str) -> Work:
    if not isinstance(item, dict):
        raise BadInput(message("It must be an object."), where=place, fix=message("See CSL-JSON."))
    place = joined((place, f"“{item.get('id', '')}”"))
    fields = {
        field: _text(item, variable, place) for field, variable in _VARIABLES.items() if variable in item
    }
    if "citation-label" not in item and "title-short" in item:
        fields["label"] = _text(item, "title-short", place)
    own = _own(item)
    for field in ("author", "editor"):
        if field in item or field in own:
            fields[field] = _names(item.get(field, []), own.get(field), joined((place, field), ", "))
    if "issued" in item:
        fields["issued"] = edtf_of(item["issued"], joined((place, "issued"), ", "))
    fields |= {name: str(own[name]) for name in ("rights", "pattern") if name in own}
    styles = own.get("styles")
    kind = kind_named(str(own.get("kind", ""))) or _KINDS.get(str(item.get("type", "")), SourceKind.OTHER)
    unread = tuple(str(variable) for variable in item if variable not in _KNOWN)
    return Work(fields, place, kind, tuple(map(str, styles)) if isinstance(styles, list) else None, unread)


def _own(item: Item) -> dict[str, object]:
    custom = item.get("custom")
    own = custom.get(OWN) if isinstance(custom, dict) else None
    return own if isinstance(own, dict) else {}


def _text(item: Item, variable: str, place: str) -> str:
    value = item[variable]
    if isinstance(value, str | int | float) and not isinstance(value, bool):
        return str(value)
    raise BadInput(
        message("%(variable)s is not text.", variable=variable),
        where=place,
        fix=message("Write it as text, or remove it."),
    )


def _names(value: object, typed: object, place: str) -> str:
    if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
        raise BadInput(
            message("Names must be a list of objects."),
            where=place,
            fix=message("See “author” in CSL-JSON."),
        )
    names = [_name(each) for each in value]
    if isinstance(typed, str) and names_in(typed) == tuple(names):
        return typed  # unchanged, since the names are the same
    return names_text(names)


def _name(value: dict[str, object]) -> Name:
    def part(*keys: str) -> str:
        return " ".join(str(value[key]).strip() for key in keys if value.get(key))

    if literal := part("literal"):
        return Name(literal=literal)
    family, given = part("non-dropping-particle", "family"), part("given", "dropping-particle")
    if suffix := part("suffix"):
        given = f"{given} {suffix}".strip()
    return Name(family, given) if family and given else Name(literal=family or given)
