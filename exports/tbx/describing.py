"""Generates the files that describe TBX-Wordhold: grammar, rules, module description, README.

They are in `schemas/` (the README beside this module) and ship with the program; a test keeps them
up to date. Regenerate them with `python -m exports.tbx.describing`.
"""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Final

from exports.tbx.categories import (
    CATEGORIES,
    CORE,
    FIRST_NAMESPACE,
    MODULE_NAMESPACE,
    NAMESPACES,
    OTHER,
    PREFIX,
    Attribute,
    Category,
)
from exports.tbx.tags import FIELDS, OWN, Fate
from exports.tbx.xmltext import ESCAPE

__all__ = ["FILES", "described", "write_files"]

_HERE: Final = Path(__file__).parent
_RNG: Final = "http://relaxng.org/ns/structure/1.0"
_SCH: Final = "http://purl.oclc.org/dsdl/schematron"
_TYPES: Final = "http://www.w3.org/2001/XMLSchema-datatypes"
_REGISTRY: Final = "http://www.datcatinfo.net/datcat/"
_DECLARATION: Final = '<?xml version="1.0" encoding="UTF-8"?>\n'
_CATEGORIES = tuple(sorted(OWN.values(), key=lambda c: c.name.casefold()))
_NOTES = frozenset({"descripNote", "transacNote"})
_INTRODUCTION: Final = f"""# TBX (ISO 30042:2019)

<!-- Generated from categories.py and tags.py by describing.py; do not edit. -->

There are three outputs and one reader. **TBX-Basic** in DCA or DCT style is for other systems; what it has no
field for goes into a readable note or is left out, and the report lists it. **TBX-Wordhold** (DCT style) is
the whole record: core, the modules min and basic, and our own private module in the namespace
`{MODULE_NAMESPACE}`, prefix `{PREFIX}`. Its grammar, rules and module description are in `schemas/`.
Files of its first version (`{FIRST_NAMESPACE}`), which stored reasons and problems as English sentences, are
converted while they are read (`version1.py`).

In TBX-Wordhold an element or attribute with the default value is left out. A character that XML 1.0 cannot
hold is written as its hexadecimal code point between two {ESCAPE} signs (U+241B). Pictures are in the back
matter as base64. Verdicts and evidence are not in the file, since they are computed. Nor are earlier versions
of entries: the file holds the current record, a backup also holds its history.

Files of other systems are read by the names of their data categories, in DCA or DCT style, in any dialect,
including files with the root element of 2008 (`martif`) or of the first TBX-Min (`TBX`). What the record has
no field for is kept in its place as a note, with its data category and the name of the file.
Such a note is counted, exported to TBX again, and printed only once someone accepts it. Every quotation
becomes a slip; a concept without a term becomes unsorted slips. Such files do not say where a name comes
from, how a quotation uses it, or how certain that is: all three are *not stated* (`--origin` sets the first),
and never make a name *in use*. The header of our own TBX-Basic has a mark; if it is present, notes are read
back as the fields they hold. A pointer to something that is not in the file is refused, unless it cannot be
an id or `--keep-loose-targets` asks for a note instead. Each breach of the standard is reported with its line
and the rule (`standard/`); `--strict` refuses such a file. For files from before 2019 the report says that
they were not checked against the standard.
"""
FILES: Final[Mapping[str, Path]] = {
    "grammar": _HERE / "schemas" / "Wordhold.rng",
    "rules": _HERE / "schemas" / "Wordhold.sch",
    "description": _HERE / "schemas" / "Wordhold.tbxmd",
    "documentation": _HERE / "README.md",
}
"""Paths of the files, by what they are."""


def described() -> dict[str, str]:
    """Return the texts of the files, by what they are."""
    return {
        "grammar": _grammar(),
        "rules": _rules(),
        "description": _description(),
        "documentation": _documentation(),
    }


def write_files() -> None:
    """Write all the files."""
    for name, text in described().items():
        FILES[name].write_text(text, encoding="utf-8", newline="\n")


# ---- RELAX NG


def _grammar() -> str:
    refs = "".join(f'      <ref name="wordhold.{c.name}"/>\n' for c in _CATEGORIES)
    return (
        f"{_DECLARATION}<!-- The private module of TBX-Wordhold: every data category as an element. -->\n"
        f'<grammar xmlns="{_RNG}" ns="{MODULE_NAMESPACE}" datatypeLibrary="{_TYPES}">\n'
        f"  <start>\n    <choice>\n{refs}    </choice>\n  </start>\n"
        f"{''.join(_define(c) for c in _CATEGORIES)}</grammar>\n"
    )


def _define(category: Category) -> str:
    inside = [*map(_attribute, category.attributes)]
    if category.empty:
        inside.append("<empty/>")
    elif category.values:
        inside.append(_choice(category.values))
    else:
        inside.append("<text/>")
    lines = "".join(f"      {line}\n" for line in inside)
    return (
        f'  <define name="wordhold.{category.name}">\n    <element name="{category.name}">\n{lines}'
        "    </element>\n  </define>\n"
    )


def _attribute(attribute: Attribute) -> str:
    if attribute.values:
        inside = _choice(attribute.values)
    else:
        inside = '<data type="NCName"/>' if attribute.points else "<text/>"
    written = f'<attribute name="{attribute.name}" ns="">{inside}</attribute>'
    return written if attribute.needed else f"<optional>{written}</optional>"


def _choice(values: Iterable[str]) -> str:
    every = [f"<value>{value}</value>" for value in values]
    return every[0] if len(every) == 1 else f"<choice>{''.join(every)}</choice>"


# ---- Schematron


def _rules() -> str:
    patterns = [
        _pattern(
            "dialect",
            ("tbx:tbx", (("@type = 'TBX-Wordhold'", "The dialect is TBX-Wordhold."),
                         ("@style = 'dct'", "The style is DCT."))),
        ),
        _pattern(
            "terms",
            ("tbx:termSec", (("count(wh:origin) = 1 or wh:noTerm", "Every term states its origin."),
                             ("@id or wh:noTerm", "Every term has an id."))),
        ),
        _pattern(
            "slips",
            ("tbx:descripGrp[basic:context]", (("@id", "Every slip has an id."),
                                               ("count(wh:source) = 1", "Every slip has one source."))),
        ),
        _pattern(
            "pointers",
            (f"{PREFIX}:*[@target]", (("@target = //*/@id", "The target is in the file."),)),
            (f"{PREFIX}:slip[@image]", (("@image = //*/@id", "The picture is in the file."),)),
        ),
        *(_pattern(f"level.{c.name}", (f"{PREFIX}:{c.name}", ((_level_test(c), _level_words(c)),)))
          for c in _CATEGORIES),
    ]  # fmt: skip
    spaces: dict[str, str] = {"tbx": CORE, PREFIX: MODULE_NAMESPACE}
    spaces.update(NAMESPACES.items())
    declared = "".join(f'  <ns prefix="{prefix}" uri="{uri}"/>\n' for prefix, uri in spaces.items())
    return (
        f"{_DECLARATION}<!-- Rules of the dialect TBX-Wordhold beyond its grammar; XPath 1.0. -->\n"
        f'<schema xmlns="{_SCH}" queryBinding="xslt">\n{declared}{"".join(patterns)}</schema>\n'
    )


def _pattern(name: str, *rules: tuple[str, tuple[tuple[str, str], ...]]) -> str:
    out = [f'  <pattern id="wordhold.{name}">\n']
    for context, asserts in rules:
        out.append(f'    <rule context="{context}">\n')
        out += [f'      <assert test="{test}">{words}</assert>\n' for test, words in asserts]
        out.append("    </rule>\n")
    return "".join((*out, "  </pattern>\n"))


def _level_test(category: Category) -> str:
    tests = []
    for level in category.levels:
        if category.element not in _NOTES:
            tests.append(f"parent::tbx:{level}")
        tests.append(f"parent::tbx:*[contains(local-name(), 'Grp')]/parent::tbx:{level}")
    return " or ".join(tests)


def _level_words(category: Category) -> str:
    alone = "in a group at" if category.element in _NOTES else "at"
    return f"{category.name} is allowed only {alone} the level {' or '.join(category.levels)}."


# ---- module description


def _description() -> str:
    specs = "".join(_spec(c) for c in _CATEGORIES)
    return (
        f'{_DECLARATION}<tbxmd module="wordhold" ns="{MODULE_NAMESPACE}">\n'
        "  <header>\n    <title>The private module of TBX-Wordhold</title>\n"
        "    <description>What core, min and basic have no category for in the record of a lost wrestling "
        "tradition: the origin of every name, the slips that attest it, the mechanics of a technique, "
        "rulings and readings.</description>\n  </header>\n"
        f"  <datCatSet>\n{specs}  </datCatSet>\n</tbxmd>\n"
    )


def _spec(category: Category) -> str:
    datcat = f"{_REGISTRY}{category.registry}" if category.registry else f"{MODULE_NAMESPACE}#{category.name}"
    start = f'    <{category.element}Spec name="{category.name}" datcatId="{datcat}">\n'
    levels = ""
    if category.element != "termNote":
        inner = "".join(f"        <level>{level}</level>\n" for level in category.levels)
        levels = f"      <levels>\n{inner}      </levels>\n"
    if category.values:
        values = "".join(f"        <value>{value}</value>\n" for value in category.values)
        contents = f'      <contents datatype="picklist">\n{values}      </contents>\n'
    else:
        contents = f'      <contents datatype="{"string" if category.empty else "noteText"}"/>\n'
    return f"{start}{levels}{contents}    </{category.element}Spec>\n"


# ---- documentation


def _documentation() -> str:
    return "\n".join(
        (
            _INTRODUCTION,
            "## Where each field of the record goes",
            "",
            "| Field | TBX-Basic | TBX-Wordhold |",
            "| --- | --- | --- |",
            *_field_rows(),
            "",
            "## Data categories of the private module",
            "",
            "| Category | As | Where | What it means |",
            "| --- | --- | --- | --- |",
            *(_category_row(c) for c in _CATEGORIES),
            "",
            "## Data categories of the published modules",
            "",
            "| Category | Module | As | Where | Values |",
            "| --- | --- | --- | --- | --- |",
            *(
                f"| `{c.name}` | {c.module} | {c.element} | {', '.join(c.levels)} | {', '.join(c.values)} |"
                for c in CATEGORIES.values()
            ),
            "",
        )
    )


def _field_rows() -> Iterator[str]:
    for path, field in FIELDS.items():
        if field.fate is None:
            basic = "–"
        elif field.fate is Fate.CARRIED:
            basic = f"`{field.place}`"
        else:
            more = f" at `{field.place}`" if field.fate is Fate.NOTED else f": {field.why}"
            basic = f"{field.fate}{more}"
        if not field.tag:
            ours = f"left out: {field.how}" if field.how else "–"
        else:
            attribute = f" `@{field.attribute}`" if field.attribute else ""
            how = f"`{OTHER}` with `{PREFIX}:{field.in_full}`" if field.in_full else field.how
            ours = f"`{field.tag}`{attribute}{'; ' + how if how else ''}"
        yield f"| `{path}` | {basic} | {ours} |"


def _category_row(category: Category) -> str:
    attributes = (
        f" Attributes: {', '.join(f'`{a.name}`' for a in category.attributes)}."
        if category.attributes
        else ""
    )
    values = f" One of: {', '.join(category.values)}." if category.values else ""
    says = f"{category.says}{values}{attributes}"
    return f"| `{PREFIX}:{category.name}` | {category.element} | {', '.join(category.levels)} | {says} |"


if __name__ == "__main__":
    write_files()
