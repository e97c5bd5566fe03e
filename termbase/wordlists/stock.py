"""Starting patterns for books of common make.

They name no language and label words in English only. `fitting.in_languages` fits one to the languages of a
word-list.
"""

from collections.abc import Mapping
from types import MappingProxyType

from termbase.wordlists.patterns import (
    Abbreviation,
    Breaks,
    Cutting,
    Ditto,
    Furniture,
    Labels,
    Layouts,
    LinePattern,
    Marks,
)

__all__ = ["STOCK"]


def _table(*rows: str) -> tuple[Abbreviation, ...]:
    """Rows written `s. = noun`, as in the TOML."""
    pairs = (row.split(" = ") for row in rows)
    return tuple(Abbreviation(printed, meaning) for printed, meaning in pairs)


_ENGLISH_POS = _table(
    "s. = noun",
    "sb. = noun",
    "n. = noun",
    "v. = verb",
    "v.t. = verb",
    "v.i. = verb",
    "a. = adjective",
    "adj. = adjective",
    "adv. = adverb",
    "prep. = preposition",
    "int. = interjection",
    "phr. = phrase",
)
_GENDERS = _table(
    "m. = masculine",
    "f. = feminine",
    "m.f. = masculine or feminine",
)
_NUMBERS = _table("sing. = singular", "plur. = plural", "coll. = collective")
_FORMS = _table("pl. = plural", "gen. = genitive", "v.n. = verbal noun", "dim. = diminutive")
_PRINT = Breaks(hyphens=("-", "¬", "‐"))
_SEE = ("see", "see also", "vide", "v.")
_DITTO = Ditto(("″", "”", "“", '"', ",,", "„", "do.", "Do.", "—", "--"), "headword")
_PAGE = Furniture(page_numbers=True, section_letters=True)

_LABELLED_EQUIVALENT = (
    "TEXT{, LABELS}{ (FORMS)}{ [STYLE]}{ (NOTE)}",
    "TEXT{ LABELS}{ (FORMS)}{ [STYLE]}{ (NOTE)}",
    "TEXT{, LABELS}{, FORMS}{ (NOTE)}",
    "TEXT{ (or VARIANTS)}{, LABELS}{ (FORMS)}",
    "TEXT{ (NOTE)}{, LABELS}{ (FORMS)}",
)

POCKET_LIST = LinePattern(
    name="pocket list",
    description="One record per line: headword, part of speech, style label in brackets, equivalents.",
    cutting=Cutting(records="each line", end="."),
    layouts=Layouts(
        record=(
            "HEADWORD{ or VARIANTS}{ /SOUND/}, POS{ [STYLE]} SENSES",
            "HEADWORD, see SEE",
        ),
        sense=("[STYLE] EQUIVALENTS", "(GLOSS) EQUIVALENTS", "EQUIVALENTS"),
        equivalent=_LABELLED_EQUIVALENT,
    ),
    marks=Marks("1.", (";",), (",",), _SEE),
    labels=Labels(_ENGLISH_POS, _GENDERS, _NUMBERS, _FORMS),
    ditto=_DITTO,
    breaks=_PRINT,
    furniture=_PAGE,
)

HANGING_LIST = LinePattern(
    name="hanging list",
    description="Like the pocket list, but records start at the margin and continue on indented lines.",
    cutting=Cutting(records="margin", indent=1, end="."),
    layouts=POCKET_LIST.layouts,
    marks=POCKET_LIST.marks,
    labels=POCKET_LIST.labels,
    ditto=_DITTO,
    breaks=_PRINT,
    furniture=_PAGE,
)

PARAGRAPHS = LinePattern(
    name="paragraphs",
    description="A blank line between records; headword, explanation up to a colon, equivalents.",
    cutting=Cutting(records="blank line", end="."),
    layouts=Layouts(
        record=("HEADWORD{ or VARIANTS}, POS{ [STYLE]} SENSES", "HEADWORD, see SEE"),
        sense=("{[STYLE] }GLOSS: EQUIVALENTS", "[STYLE] EQUIVALENTS", "EQUIVALENTS"),
        equivalent=_LABELLED_EQUIVALENT,
    ),
    marks=POCKET_LIST.marks,
    labels=POCKET_LIST.labels,
    ditto=_DITTO,
    breaks=_PRINT,
    furniture=_PAGE,
)

BARE_PAIRS = LinePattern(
    name="bare pairs",
    description="One record per line: headword, a dash, equals sign or colon, equivalents. No labels.",
    cutting=Cutting(records="each line", end="."),
    layouts=Layouts(
        record=(
            "HEADWORD – SENSES",
            "HEADWORD — SENSES",
            "HEADWORD - SENSES",
            "HEADWORD = SENSES",
            "HEADWORD: SENSES",
        )
    ),
    marks=Marks("1.", (";",), (",",), ("see",)),
    breaks=_PRINT,
    furniture=_PAGE,
)

TWO_COLUMNS = LinePattern(
    name="two columns",
    description=(
        "One record per line: headword, a tab or a wide gap, equivalents; optionally a third column."
    ),
    cutting=Cutting(records="each line"),
    layouts=Layouts(
        record=("HEADWORD{, POS} GAP SENSES GAP NOTE", "HEADWORD{, POS} GAP SENSES"),
        equivalent=_LABELLED_EQUIVALENT,
    ),
    marks=Marks("1.", (";",), (",",), ("see",)),
    labels=POCKET_LIST.labels,
    ditto=_DITTO,
    furniture=_PAGE,
)

TWO_LINES = LinePattern(
    name="two lines",
    description="Headword on its own line, equivalents on the next; no labels.",
    cutting=Cutting(records="headword line", indent=2),
    layouts=Layouts(record=("HEADWORD\nSENSES",), equivalent=("TEXT{ (NOTE)}",)),
    marks=Marks("1.", (), (",", ";"), ()),
)

ANGLE_LABELS = LinePattern(
    name="two lines, labels in angle brackets",
    description="Headword, sound and <label> on one line; one equivalent with <labels> on the next.",
    cutting=Cutting(records="headword line", indent=2),
    layouts=Layouts(
        record=("HEADWORD{ (NOTE)} /SOUND/ <POS>\nSENSES",),
        equivalent=("TEXT <LABELS>",),
    ),
    marks=Marks("", (), (), ()),
    labels=Labels(
        part_of_speech=_table(
            "n = noun",
            "v = verb",
            "a = adjective",
            "b = adverb",
            "p = preposition",
            "h = phrase",
            "c = conjunction",
            "r = pronoun",
            "i = other (interrogative)",
            "e = interjection",
            "pn = noun (proper noun)",
            "np = noun (proper noun)",
            "am = adjective",
            "ac = adjective",
            "ao = adjective",
            "ap = adjective",
            "t = other (article)",
            "q = other (suffix)",
        ),
        gender=_table("m = masculine", "f = feminine", "mf = masculine or feminine"),
        number=_table("s = singular", "p = plural"),
    ),
    furniture=Furniture(front_matter_ends="freedict dictionary", back_matter_begins="unknown"),
)

SOUNDED_PAIRS = LinePattern(
    name="two lines, with sound",
    description=(
        "Headword and its sound on one line; numbered senses, separated by commas, on the next lines."
    ),
    cutting=Cutting(records="headword line", indent=2),
    layouts=Layouts(record=("HEADWORD{ (NOTE)} /SOUND/\nSENSES",), equivalent=("TEXT{ (NOTE)}",)),
    marks=Marks("1.", (), (",", ";"), ()),
    furniture=Furniture(front_matter_ends="freedict dictionary", back_matter_begins="unknown"),
)

QUOTED_PHRASES = LinePattern(
    name="two lines, phrases below",
    description=(
        "Headword, <label> and (plural) on one line; numbered senses below, with indented “phrases”."
    ),
    cutting=Cutting(records="headword line", indent=2, headword_sign="<"),
    layouts=Layouts(
        record=(
            "HEADWORD{ [NOTE]}{ <LABELS>}{ (FORMS)}\nSENSES",
            "(NOTE) HEADWORD{ <LABELS>}{ (FORMS)}\nSENSES",
            "(NOTE) (NOTE) HEADWORD{ <LABELS>}{ (FORMS)}\nSENSES",
        ),
        sense=("PHRASE - EQUIVALENTS", "[STYLE] EQUIVALENTS", "EQUIVALENTS"),
        equivalent=(
            "TEXT{ (NOTE)}{ (NOTE)}{ LABELS}{ [STYLE]}",
            "TEXT{ [STYLE]}{ (NOTE)}",
            "TEXT{ LABELS}{ (NOTE)}",
        ),
        phrase=(
            '"PHRASE"{ (NOTE)}{ LABELS} - EQUIVALENTS',
            '"PHRASE"{ (NOTE)}',
        ),
    ),
    marks=Marks("1.", (), (",", ";"), ()),
    labels=Labels(
        part_of_speech=_table(
            "adv. = adverb",
            "v = verb",
            "n = noun",
            "adj. = adjective",
        ),
        gender=_table("m = masculine", "f = feminine"),
        number=_table("plur. = plural"),
        plain_form="plural or singulative",
    ),
    furniture=Furniture(front_matter_ends="freedict dictionary", back_matter_begins="unknown"),
)

STOCK: Mapping[str, LinePattern] = MappingProxyType(
    {
        pattern.name: pattern
        for pattern in (
            POCKET_LIST,
            HANGING_LIST,
            PARAGRAPHS,
            BARE_PAIRS,
            TWO_COLUMNS,
            TWO_LINES,
            SOUNDED_PAIRS,
            ANGLE_LABELS,
            QUOTED_PHRASES,
        )
    }
)
"""The starting patterns by name; each says in its description what books it suits."""
