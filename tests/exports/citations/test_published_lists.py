"""Exports follow the published lists of each format, and other libraries read the same from them.

RIS: "RIS Format Specifications" (Research Information Systems, refman.com, pages of 14 February 2001, and the
tables of 2011, which add tags and types); the rules of 2001 for keys, characters and dates and the list of
2011 are taken from stored copies of those pages, the other tags of 2001 from memory. Two of its rules are not
kept: an asterisk in names and keywords stays as it was typed, and the characters are UTF-8 and not those of
IBM (common practice, no source).

BibTeX: "BibTeXing" (O. Patashnik, 1988), by which fields of other names are ignored and may always be given;
types and fields of biblatex by its data model (blx-dm.def of biblatex 3, manual 2.1 to 2.3).

CSL: CSL 1.0.2, the lists of variables and types (csl-variables.rnc, csl-types.rnc) that citeproc-py carries;
`custom` and the parts of names and dates by the schema of its data (csl-data.json).
"""

import json
import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from importlib.resources import files
from typing import Final

import rispy
from citeproc.source import Date, DateRange, LiteralDate
from citeproc.source.json import CiteProcJSON
from hypothesis import given, settings
from hypothesis import strategies as st
from pybtex.database import Entry, Person, parse_string
from rispy.config import TAG_KEY_MAPPING, TYPE_OF_REFERENCE_MAPPING

from exports.citations.formats import FORMATS, FormatName
from exports.citations.works import names_in
from termbase.dates.edtf import parse
from termbase.record.sources import Source, SourceKind
from tests.exports.citations.anysource import SOURCES

TWO: Final = st.lists(SOURCES, min_size=1, max_size=2)


def written(sources: list[Source], format_name: FormatName) -> str:
    return "".join(FORMATS[format_name].pieces(sources))


def plain(text: str) -> str:
    """Return a text with the white space that readers of these formats keep."""
    return " ".join(text.split())


# RIS

RIS_2001: Final = (
    "TY ER ID T1 TI CT BT T2 T3 A1 AU A2 ED A3 Y1 PY Y2 N1 AB N2 KW RP JF JO JA J1 J2 VL IS CP SP EP CY PB "
    "U1 U2 U3 U4 U5 AD AV SN M1 M2 M3 UR L1 L2 L3 L4"
)
RIS_2011: Final = "A4 AN C1 C2 C3 C4 C5 C6 C7 C8 CA CN DA DB DO DP ET LA LB NV OP RI RN SE ST SV TA TT"
RIS_TAGS: Final = frozenset(f"{RIS_2001} {RIS_2011}".split())
RIS_ONCE: Final = RIS_TAGS - {"A1", "A2", "A3", "A4", "AU", "ED", "KW", "TA", "UR", "N1"}
"""Tags with one value; names and keywords have one line each."""


def ris_records(text: str) -> Iterator[list[tuple[str, str]]]:
    """The lines of each record that begin with a tag."""
    for record in text.split("ER  - \r\n\r\n")[:-1]:
        lines = (re.fullmatch(r"([A-Z][A-Z0-9])  - (.*)", line) for line in record.split("\r\n"))
        yield [(line[1], line[2]) for line in lines if line]


@given(sources=TWO)
@settings(max_examples=100, deadline=None)
def test_ris_uses_only_its_tags_types_and_forms(sources: list[Source]) -> None:
    text = written(sources, "ris")
    assert "\n" not in text.replace("\r\n", "")
    records = list(ris_records(text))
    assert len(records) == len(sources)
    assert len({dict(record)["ID"].upper() for record in records}) == len(sources)
    for record in records:
        tags = [tag for tag, _value in record]
        assert tags[0] == "TY"
        assert set(tags) <= RIS_TAGS - {"ER"}
        assert all(tags.count(tag) == 1 for tag in RIS_ONCE & set(tags))
        values = dict(record)
        assert values["TY"] in TYPE_OF_REFERENCE_MAPPING
        assert re.fullmatch(r"[0-9A-Za-z]{1,20}", values["ID"])
        assert re.fullmatch(r"-?[0-9]{4}", values.get("PY", "1898"))
        assert re.fullmatch(r"(-?[0-9]{4})?/([0-9]{2})?/([0-9]{2})?/.*", values.get("DA", "1898///"))


@given(sources=TWO)
@settings(max_examples=100, deadline=None)
def test_rispy_reads_the_same_from_ris(sources: list[Source]) -> None:
    records = rispy.loads(written(sources, "ris"))
    assert [ris_values(record) for record in records] == [ris_wanted(source) for source in sources]


def ris_values(record: dict[str, object]) -> dict[str, list[str]]:
    """Return a record of rispy by tag, without tags that do not come from the source."""
    result: dict[str, list[str]] = {}
    for tag, key in TAG_KEY_MAPPING.items():
        value = record.get(key)
        if isinstance(value, str):
            result[tag] = [plain(value)]
        elif tag == "N1" and isinstance(value, list):  # rispy reads each line as a separate note
            result[tag] = [plain(" ".join(value))]
        elif isinstance(value, list):
            result[tag] = [plain(each) for each in value]
    unknown = record.get("unknown_tag")
    if isinstance(unknown, dict):  # ED and U1; each line of U1 is separate
        for tag, values in unknown.items():
            result[tag] = [plain(" ".join(values))] if tag == "U1" else [plain(value) for value in values]
    return {tag: values for tag, values in result.items() if tag not in ("TY", "ID", "DA", "PY", "M3")}


def ris_wanted(source: Source) -> dict[str, list[str]]:
    values = {
        "AU": [name.text for name in names_in(source.author)],
        "ED": [name.text for name in names_in(source.editor)],
        "ST": [source.label], "TI": [source.title], "T2": [source.container], "PB": [source.publisher],
        "CY": [source.place], "SP": [source.pages], "DB": [source.archive], "CN": [source.shelfmark],
        "UR": [source.url], "LA": [source.language], "N1": [source.note], "KW": list(source.styles),
    }  # fmt: skip
    if source.rights:
        values["U1"] = [source.rights]
    given = {tag: [plain(value) for value in these if value] for tag, these in values.items()}
    return {tag: these for tag, these in given.items() if these}


# BibTeX

BIBLATEX_TYPES: Final = frozenset(("article", "book", "booklet", "misc", "unpublished"))
"""The fields used, in both BibTeX and biblatex."""
BIBLATEX_FIELDS: Final = {
    "author": "names", "editor": "names", "title": "literal", "label": "literal", "note": "literal",
    "library": "literal", "entrysubtype": "literal", "booktitle": "literal", "publisher": "literals",
    "language": "keys", "pages": "range", "date": "date", "year": "integer", "url": "uri",
    "keywords": "separated values",
    "journal": "literal", "address": "literals",  # aliases of journaltitle, location (biblatex manual 2.2.5)
}  # fmt: skip
BIBTEX_OWN: Final = frozenset(("archive", "copyright"))
"""Fields in no published list; BibTeX and biblatex ignore them."""


def bib_entries(sources: list[Source]) -> list[Entry]:
    return list(parse_string(written(sources, "bibtex"), "bibtex").entries.values())


@given(sources=TWO)
@settings(max_examples=100, deadline=None)
def test_bibtex_uses_only_its_types_and_fields(sources: list[Source]) -> None:
    for source, entry in zip(sources, bib_entries(sources), strict=True):
        assert entry.original_type in BIBLATEX_TYPES
        assert entry.fields.keys() | entry.persons.keys() <= BIBLATEX_FIELDS.keys() | BIBTEX_OWN
        assert all(BIBLATEX_FIELDS[role] == "names" for role in entry.persons)
        for name, value in entry.fields.items():
            match BIBLATEX_FIELDS.get(name, "literal"):
                case "integer":
                    assert re.fullmatch(r"-?[0-9]{4}", value)
                case "date":
                    # a set (EDTF level 2, which biblatex does not read) has its braces escaped
                    assert parse(tex_text(value)).text == source.issued
                case "uri":
                    assert not re.search(r"[\s{}]", value)
                case "separated values":
                    assert [tex_text(each) for each in value.split(",")] == list(source.styles)


@given(sources=TWO)
@settings(max_examples=100, deadline=None)
def test_pybtex_reads_the_same_from_bibtex(sources: list[Source]) -> None:
    for source, entry in zip(sources, bib_entries(sources), strict=True):
        result = {name: tex_text(value) for name, value in entry.fields.items()}
        wanted = {
            "title": source.title, "label": source.label, "note": source.note, "library": source.shelfmark,
            "publisher": source.publisher, "address": source.place, "pages": source.pages,
            "archive": source.archive, "language": source.language, "copyright": source.rights,
            "entrysubtype": source.kind.value,
        }  # fmt: skip
        assert {name: result.get(name, "") for name in wanted} == {n: plain(v) for n, v in wanted.items()}
        holder = "journal" if source.kind is SourceKind.NEWSPAPER else "booktitle"
        assert result.get(holder, "") == plain(source.container)
        assert entry.fields.get("url", "") == source.url
        for role, typed in (("author", source.author), ("editor", source.editor)):
            people = [bib_name(person) for person in entry.persons.get(role, ())]
            assert people == [(n.literal or n.family, n.given) for n in names_in(typed)]


def bib_name(person: Person) -> tuple[str, str]:
    family = " ".join((*person.prelast_names, *person.last_names))
    given = " ".join((*person.first_names, *person.middle_names))
    return tex_text(family.removeprefix("{").removesuffix("}")), tex_text(given)


TEX: Final = {
    # "LaTeX2e font selection" (fntguide) and ltoutenc.dtx: commands for characters of text
    r"\textbackslash": "\\", r"\textbraceleft": "{", r"\textbraceright": "}", r"\textasciitilde": "~",
    r"\textasciicircum": "^", r"\{": "{", r"\}": "}",
    r"\%": "%", r"\&": "&", r"\#": "#", r"\$": "$", r"\_": "_",
}  # fmt: skip


def tex_text(value: str) -> str:
    """Return the text that TeX prints for a value: commands become characters, empty groups nothing."""
    return plain(
        re.sub(r"(\\[a-z]+|\\.)(?:\{\})?|\{\}", lambda found: TEX[found[1]] if found[1] else "", value)
    )


# CSL


def csl_list(name: str) -> dict[str, set[str]]:
    """The groups of a published list of CSL, each with its names."""
    text = (files("citeproc") / "data/schema/schemas/styles" / name).read_text("utf-8")
    groups: defaultdict[str, set[str]] = defaultdict(set)
    group = ""
    for line in text.splitlines():
        if begun := re.match(r"\s*([a-z.-]+) =", line):
            group = begun[1]
        groups[group] |= set(re.findall(r'^[^#]*"([^"]+)"', line))
    return groups


CSL: Final = csl_list("csl-variables.rnc")
CSL_TYPES: Final = csl_list("csl-types.rnc")["item-types"]
CSL_TEXTS: Final = CSL["variables.strings"] | CSL["variables.titles"] | CSL["variables.numbers"]
CSL_NAME_PARTS: Final = {"family", "given", "dropping-particle", "non-dropping-particle", "suffix", "literal"}
CSL_DATE_PARTS: Final = {"date-parts", "season", "circa", "literal", "raw", "edtf"}


def test_the_published_lists_of_csl_are_available() -> None:
    assert {"issued", "accessed"} <= CSL["variables.dates"]
    assert {"author", "editor"} <= CSL["variables.names"]
    assert {"title", "page", "call-number"} <= CSL_TEXTS
    assert {"book", "article-newspaper"} <= CSL_TYPES


@given(source=SOURCES)
@settings(max_examples=100, deadline=None)
def test_csl_json_uses_only_its_variables_and_their_types(source: Source) -> None:
    (item,) = json.loads(written([source], "csl-json"))
    assert item.pop("type") in CSL_TYPES
    assert isinstance(item.pop("id"), str)
    assert isinstance(item.pop("custom"), dict)
    for variable, value in item.items():
        if variable in CSL["variables.names"]:
            assert isinstance(value, list)
            assert all(name and set(name) <= CSL_NAME_PARTS for name in value)
            assert all(isinstance(part, str) for name in value for part in name.values())
        elif variable in CSL["variables.dates"]:
            assert set(value) <= CSL_DATE_PARTS
            parts = value.get("date-parts", [[1898]])
            assert 1 <= len(parts) <= 2
            assert all(1 <= len(part) <= 3 and all(type(n) is int for n in part) for part in parts)
            assert type(value.get("season", 1)) is int
            assert type(value.get("circa", True)) is bool
            assert all(isinstance(value.get(key, ""), str) for key in ("literal", "edtf"))
        else:
            assert variable in CSL_TEXTS
            assert isinstance(value, str)


@given(source=SOURCES)
@settings(max_examples=100, deadline=None)
def test_citeproc_reads_the_same_from_csl_json(source: Source) -> None:
    (item,) = json.loads(written([source], "csl-json"))
    # it warns about fields that it does not use
    kept = {key: value for key, value in item.items() if key not in ("custom", "citation-label")}
    (read,) = CiteProcJSON([kept]).values()
    wanted = {
        "title": source.title, "container_title": source.container, "publisher": source.publisher,
        "publisher_place": source.place, "page": source.pages, "archive": source.archive,
        "call_number": source.shelfmark, "URL": source.url, "language": source.language, "note": source.note,
    }  # fmt: skip
    assert {key: str(read.get(key, "")) for key in wanted} == wanted
    for role, typed in (("author", source.author), ("editor", source.editor)):
        people = [
            (name.get("literal") or name["family"], name.get("given", "")) for name in read.get(role, ())
        ]
        assert people == [(n.literal or n.family, n.given) for n in names_in(typed)]
    if re.fullmatch(r"[0-9]{4}(-(0[1-9]|1[0-2])(-[0-9]{2})?)?", source.issued):
        date = read["issued"]
        assert isinstance(date, Date)
        numbers = [date[part] for part in ("year", "month", "day") if part in date]
        assert numbers == [int(part) for part in source.issued.split("-")]
    elif source.issued:
        assert isinstance(read["issued"], Date | DateRange | LiteralDate)


def test_a_year_of_more_than_four_digits_is_not_truncated() -> None:
    # EDTF (ISO 8601-2:2019) level 1, "Letter-prefixed calendar year": Y170000 is the year 170000
    source = Source("s1", "Stone", SourceKind.OTHER, "A stone", issued="Y170000")
    assert "year" not in written([source], "bibtex")
    assert "PY  -" not in written([source], "ris")


def test_ris_keys_are_short_and_unique() -> None:
    # RIS Format Specifications, ID: alphanumeric characters, at most 20
    source = Source("s1", "The Advertiser of the Vale 1898", SourceKind.NEWSPAPER, "The Advertiser")
    records = ris_records(written([replace(source, id=f"s{n}") for n in range(1, 13)], "ris"))
    keys = [dict(record)["ID"] for record in records]
    assert keys[:3] == ["TheAdvertiseroftheVa", "TheAdvertiseroftheV2", "TheAdvertiseroftheV3"]
    assert keys[-1] == "TheAdvertiserofthe12"
    assert len(set(keys)) == 12
