"""Sources as BibTeX (with biblatex's `date`, which is EDTF) and back. Line patterns are not included.

Characters with a meaning in TeX are written as its commands; everything else is UTF-8. `date` and `url` are
written unchanged, which is how biblatex reads them.
"""

import logging
import re
from collections.abc import Iterable, Iterator
from typing import Final

from bibtexparser.entrypoint import parse_string
from bibtexparser.model import Entry as BibEntry
from pylatexenc.latex2text import LatexNodes2Text

from exports.citations.works import Name, Work, key_of, kind_named, names_in, names_text, year_in
from termbase.dates import edtf
from termbase.errors import BadInput, ReportedAt
from termbase.messages import joined, message
from termbase.record.sources import Source, SourceKind

__all__ = ["bibtex_pieces", "read_bibtex"]

_TYPES: Final = {
    SourceKind.NEWSPAPER: "article",
    SourceKind.WORD_LIST: "book",
    SourceKind.RULE_BOOK: "booklet",
    SourceKind.MANUSCRIPT: "unpublished",
    SourceKind.RECORDING: "misc",
    SourceKind.PICTURE: "misc",
    SourceKind.OTHER: "misc",
}
_KINDS: Final = {
    "article": SourceKind.NEWSPAPER, "booklet": SourceKind.RULE_BOOK, "unpublished": SourceKind.MANUSCRIPT,
    "audio": SourceKind.RECORDING, "video": SourceKind.RECORDING, "artwork": SourceKind.PICTURE,
    "image": SourceKind.PICTURE, "reference": SourceKind.WORD_LIST, "inreference": SourceKind.WORD_LIST,
}  # fmt: skip
_KEYS: Final = {
    "label": "label", "title": "title", "publisher": "publisher", "place": "address", "pages": "pages",
    "archive": "archive", "shelfmark": "library", "language": "language", "rights": "copyright",
    "note": "note",
}  # fmt: skip
_READ: Final = {
    "label": ("label", "shorthand"), "title": ("title",), "publisher": ("publisher", "institution", "school"),
    "place": ("location", "address"), "pages": ("pages",), "archive": ("archive",), "shelfmark": ("library",),
    "language": ("language", "langid"), "rights": ("copyright",), "note": ("note",),
    "container": ("journaltitle", "journal", "booktitle"),
}  # fmt: skip
_KIND: Final = "entrysubtype"
_KNOWN: Final = frozenset(key for keys in _READ.values() for key in keys) | {
    *("author", "editor", "url", "date", "year", "month", _KIND)
}
_MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_UNKNOWN: Final = {"\\textasciicircum{}": "^", "\\textbraceleft{}": "{", "\\textbraceright{}": "}"}
"""Commands that the decoder does not know or misreads; each is replaced by a noncharacter first."""
_COMMANDS: Final = str.maketrans({
    "\\": r"\textbackslash{}", "{": r"\textbraceleft{}", "}": r"\textbraceright{}", "%": r"\%", "&": r"\&",
    "#": r"\#", "$": r"\$", "_": r"\_", "~": r"\textasciitilde{}", "^": r"\textasciicircum{}",
})  # fmt: skip
_LIGATURES: Final = re.compile(
    r"(?<=[-'`?!,<>])(?=[-'`,<>])"
)  # `--` would be read as a dash, `''` as a quotation mark
logging.getLogger("bibtexparser").addHandler(logging.NullHandler())  # our errors report what it logs
_DECODER: Final = LatexNodes2Text(keep_comments=True, math_mode="verbatim")


def bibtex_pieces(sources: Iterable[Source]) -> Iterator[str]:
    """Yield a BibTeX file, source by source."""
    taken: dict[str, int] = {}
    for source in sources:
        lines = [f"@{_TYPES[source.kind]}{{{key_of(source, taken)}"]
        lines += [f"  {key} = {{{value}}}" for key, value in _fields(source)]
        yield ",\n".join(lines) + "\n}\n\n"


def read_bibtex(text: str, where: str) -> Iterator[Work | BadInput]:
    """Yield the works of a BibTeX file, in order; an invalid one comes as its error."""
    library = parse_string(text)
    if "@" not in text:
        yield BadInput(
            message("It contains no works."),
            where=where,
            fix=message("Choose a BibTeX file: each work in it starts with @ and its type."),
        )
    works: list[tuple[int, Work | BadInput]] = []
    for block in library.failed_blocks:
        line = (block.start_line or 0) + 1
        reason = getattr(block.error, "abort_reason", "") or str(block.error)
        problem = reason.split("\n")[0].partition(" Note:")[0].rstrip(".:")
        works.append(
            (
                line,
                BadInput(
                    message("%(told)s.", told=problem),
                    where=message("%(file)s, line %(line)s", file=where, line=line),
                    fix=message("Correct it on that line."),
                ),
            )
        )
    for entry in library.entries:
        line = (entry.start_line or 0) + 1
        works.append(
            (
                line,
                _work(
                    entry, message("%(file)s, line %(line)s “%(key)s”", file=where, line=line, key=entry.key)
                ),
            )
        )
    for _, work in sorted(works, key=lambda each: each[0]):
        yield work


def _fields(source: Source) -> Iterator[tuple[str, str]]:
    for field in ("author", "editor"):
        if names := names_in(getattr(source, field)):
            yield field, " and ".join(map(_bib_name, names))
    for field, key in _KEYS.items():
        if value := getattr(source, field):
            yield key, _escaped(value)
    if source.container:
        yield ("journal" if source.kind is SourceKind.NEWSPAPER else "booktitle"), _escaped(source.container)
    if source.issued:
        yield "date", source.issued.replace("{", "\\{").replace("}", "\\}")
        if year := year_in(source.issued):
            yield "year", year
    if source.url:
        yield "url", source.url.replace("{", "%7B").replace("}", "%7D")
    if source.styles:
        yield "keywords", ", ".join(_escaped(style) for style in source.styles)
    yield _KIND, source.kind.value


def _bib_name(name: Name) -> str:
    if name.literal:
        return f"{{{_escaped(name.literal)}}}"
    if " and " in f" {name.text} ".lower():
        return f"{{{_escaped(name.text)}}}"
    return f"{_escaped(name.family)}, {_escaped(name.given)}"


def _escaped(text: str) -> str:
    return _LIGATURES.sub("{}", text.translate(_COMMANDS))


def _text(value: str) -> str:
    """Return TeX as plain text."""
    unused = (character for character in map(chr, range(0xFDD0, 0xFDF0)) if character not in value)
    meant = dict(zip(unused, _UNKNOWN.values(), strict=False))
    for stand_in, command in zip(meant, _UNKNOWN, strict=True):
        value = value.replace(command, stand_in)
    decoded = str(_DECODER.latex_to_text(value))
    for stand_in, character in meant.items():
        decoded = decoded.replace(stand_in, character)
    return decoded.replace("\u00a0", " ").strip()


def _work(entry: BibEntry, place: str) -> Work | BadInput:
    try:
        return _work_of(entry, place)
    except RecursionError:
        return BadInput(
            message("Its braces are nested too deeply."), where=place, fix=message("Remove some of them.")
        )


def _work_of(entry: BibEntry, place: str) -> Work | BadInput:
    given = {key.lower(): str(field.value) for key, field in entry.fields_dict.items()}
    fields = {
        field: _text(given[key])
        for field, keys in _READ.items()
        if (key := next((k for k in keys if k in given), None))
    }
    for field in ("author", "editor"):
        if field in given:
            fields[field] = names_text(map(_name, _cut_names(given[field])))
    if "url" in given:
        fields["url"] = given["url"].strip().replace("\\%", "%").replace("\\_", "_").replace("\\&", "&")
    try:
        issued = _issued(given, place)
    except BadInput as error:
        return error
    if issued:
        fields["issued"] = issued
    kind = kind_named(_text(given.get(_KIND, ""))) or _KINDS.get(entry.entry_type.lower(), SourceKind.OTHER)
    styles = None
    if "keywords" in given and _KIND in given:  # keywords from other programs are not wrestling styles
        styles = tuple(filter(None, (_text(word) for word in given["keywords"].split(","))))
    known = _KNOWN if styles is None else _KNOWN | {"keywords"}
    return Work(fields, place, kind, styles, tuple(key for key in given if key not in known))


def _issued(given: dict[str, str], place: str) -> str:
    date = given.get("date", "").replace("\\{", "{").replace("\\}", "}").strip()
    if not date and (year := _text(given.get("year", ""))):
        month = _text(given.get("month", "")).lower()[:3]
        date = f"{year}-{_MONTHS.index(month) + 1:02}" if month in _MONTHS else year
    with ReportedAt(joined((place, "date"), ", ")):
        return edtf.parse(date).text if date else ""


def _cut_names(text: str) -> Iterator[str]:
    """Return names separated by ` and `, except within braces."""
    depth, start = 0, 0
    for match in re.finditer(r"\\.|[{}]|\s+and\s+", text, re.IGNORECASE | re.DOTALL):
        if match[0] in "{}":
            depth += 1 if match[0] == "{" else -1
        elif not match[0].startswith("\\") and depth == 0:
            yield text[start : match.start()].strip()
            start = match.end()
    yield text[start:].strip()


def _name(text: str) -> Name:
    if text.startswith("{") and text.endswith("}"):
        return Name(literal=_text(text))
    family, comma, given = text.partition(",")
    return Name(_text(family), _text(given)) if comma and given.strip() else Name(literal=_text(text))
