"""Sources as CSL-JSON (data of CSL 1.0.2) and back, with every field.

Fields without a CSL variable go to `custom` under `wordhold`, as the schema of CSL data provides.
"""

import json
from collections.abc import Iterable, Iterator
from typing import Final

import msgspec

from exports.citations.csldates import csl_date, edtf_of
from exports.citations.works import Name, Work, kind_named, names_in, names_text
from termbase.errors import BadInput
from termbase.messages import joined, message
from termbase.record.sources import Source, SourceKind

__all__ = ["csl_item", "csl_json_pieces", "read_csl_json"]

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
        return typed  # as it was typed: the names are the same
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
