"""Any possible source, for property tests of what is written about it."""

from hypothesis import strategies as st

from termbase.record.sources import Source, SourceKind
from termbase.record.validation import clean_source

__all__ = ["DATES", "SOURCES"]

PIECES = st.sampled_from(
    [
        "a",
        "Ŵ",
        "é",
        "{",
        "}",
        "\\",
        "%",
        "&",
        "#",
        "$",
        "_",
        "~",
        "^",
        "--",
        "''",
        "``",
        "?`",
        "and",
        " and ",
        "@",
        '"',
        "'",
        ",",
        ";",
        ":",
        "=",
        "TY  - ",
        "ER  - ",
        "<i>",
        "\\alpha",
        "textbackslash",
        "ˆ",
        "œ",
        "1898",
    ]
)
LINE = st.lists(PIECES, max_size=6).map("".join).map(lambda text: " ".join(text.split()))
BLOCK = st.lists(LINE, max_size=3).map("\n".join).map(str.strip)
NEEDED = LINE.map(lambda text: text or "x")
DATES = st.sampled_from(
    [
        "",
        "1898",
        "1898-06",
        "1898-06-04",
        "189X",
        "189X~",
        "1898?",
        "1898~",
        "1866/1909",
        "1866-01/1909~",
        "1898/..",
        "[1890..1899]",
        "{1890,1892}",
        "1898-22",
        "1898-XX-04",
        "-0044",
        "Y170000",
        "1950S2",
        "../1898",
        "1898-35",
    ]
)
NAME = st.lists(
    st.sampled_from(["Walker", "Ann", "and", "Ŵyn", "&", "de", "{", "O'Neill"]), min_size=1, max_size=2
)
NAMES = st.lists(
    st.one_of(NAME.map(" ".join), st.just("Walker, Ann"), st.just("someone, not known")), max_size=3
).map("; ".join)
SOURCES = st.builds(
    Source,
    id=st.just("s1"),
    label=NEEDED,
    kind=st.sampled_from(SourceKind),
    title=NEEDED,
    author=NAMES,
    editor=NAMES,
    container=LINE,
    publisher=LINE,
    place=LINE,
    issued=DATES,
    pages=LINE,
    archive=LINE,
    shelfmark=LINE,
    url=st.sampled_from(["", "https://vale.example/a_b?c=1&d=~%20#e"]),
    language=st.sampled_from(["", "cy", "ga-Latg"]),
    styles=st.lists(st.sampled_from(["strap-hold", "open & shut", "100%"]), unique=True, max_size=2).map(
        tuple
    ),
    rights=BLOCK,
    note=BLOCK,
).map(clean_source)
