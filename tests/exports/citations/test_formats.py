"""Sources exported and imported again, in every format."""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exports.citations.bibtex import bibtex_pieces
from exports.citations.csl import csl_date, csl_item, edtf_of
from exports.citations.formats import FORMATS, FormatName, read_works, write_citations, write_sources
from exports.citations.styles import styled
from exports.citations.works import Work, names_in, names_text
from termbase.errors import BadInput
from termbase.overviews.articles import Library
from termbase.record.sources import Source, SourceKind
from termbase.store.engine import Store
from tests.exports.citations.anysource import DATES, SOURCES


def written(sources: list[Source], format_name: FormatName) -> str:
    return "".join(FORMATS[format_name].pieces(sources))


def read_back(text: str, format_name: FormatName, like: Source) -> list[Source]:
    works = read_works(text.encode(), "file", format_name)
    for work in works:
        assert isinstance(work, Work), work
    blank = Source(id=like.id, label="", kind=SourceKind.OTHER, title="")
    return [
        replace(blank, **work.fields, kind=work.kind, styles=work.styles or ())  # type: ignore[arg-type, union-attr]
        for work in works
    ]


@pytest.mark.parametrize("format_name", FORMATS)
@settings(max_examples=150, deadline=None)
@given(source=SOURCES)
def test_a_source_round_trips_unchanged(format_name: FormatName, source: Source) -> None:
    result = read_back(written([source, replace(source, id="s2")], format_name), format_name, source)
    assert result == [source, source]


def test_only_csl_json_includes_the_line_pattern() -> None:
    source = Source("s1", "L", SourceKind.WORD_LIST, "T", pattern='[layout]\nrecord = "{HEAD}"\n')
    assert read_back(written([source], "csl-json"), "csl-json", source) == [source]
    for format_name in ("bibtex", "ris"):
        assert "layout" not in written([source], format_name)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("edtf", "date"),
    [
        # CSL 1.0.2 appendix and the schema of its data: date-parts, circa, season, literal, edtf
        ("1898", {"date-parts": [[1898]]}),
        ("1898-06-04", {"date-parts": [[1898, 6, 4]]}),
        ("1898~", {"date-parts": [[1898]], "circa": True}),
        ("1866/1909", {"date-parts": [[1866], [1909]]}),
        ("1931-22", {"date-parts": [[1931]], "season": 2}),
        ("1898?", {"date-parts": [[1898]], "circa": True, "edtf": "1898?"}),
        ("189X", {"literal": "between 1890 and 1899", "edtf": "189X"}),
    ],
)
def test_dates_use_numbers_where_numbers_can_express_them(edtf: str, date: dict[str, object]) -> None:
    assert csl_date(edtf) == date
    assert edtf_of(date, "") == edtf


@settings(deadline=None)
@given(edtf=DATES.filter(bool))
def test_every_date_round_trips_exactly(edtf: str) -> None:
    assert edtf_of(json.loads(json.dumps(csl_date(edtf))), "") == edtf


@pytest.mark.parametrize(
    ("given_", "edtf"),
    [
        ({"date-parts": [["1898", "6"]]}, "1898-06"),
        ({"date-parts": [[1898, 0, 0]]}, "1898"),
        ({"raw": "1898-06-04"}, "1898-06-04"),
        ("189X~", "189X~"),
        ({}, ""),
    ],
)
def test_dates_from_other_programs_are_read(given_: object, edtf: str) -> None:
    assert edtf_of(given_, "") == edtf


def test_an_invalid_date_is_rejected_with_its_place() -> None:
    works = read_works(b'[{"id": "x", "type": "book", "issued": {"raw": "last summer"}}]', "a.json")
    assert isinstance(works[0], BadInput)
    assert "a.json, item 1" in works[0].where


FOREIGN_BIB = """% a comment
@string{press = "Vale Press"}
@Article{walker98,
  author = {Walker, Ann and {The Society} and de la Mare, W.},
  title = "A {T}est of {\\^w}yn \\& {\\"u}ber",
  journal = {The Advertiser}, publisher = press,
  year = 1898, month = jun
}
@book{other, title={Two}, date={189X~}, keywords={a, b}}
"""


def test_bibtex_from_other_programs_is_read() -> None:
    first, second = read_works(FOREIGN_BIB.encode(), "a.bib")
    assert isinstance(first, Work)
    assert isinstance(second, Work)
    assert first.fields == {
        "title": "A Test of ŵyn & über",
        "container": "The Advertiser",
        "author": "Walker, Ann; The Society; de la Mare, W.",
        "publisher": "Vale Press",
        "issued": "1898-06",
    }
    assert first.kind is SourceKind.NEWSPAPER
    assert "line 3" in first.place
    assert second.fields["issued"] == "189X~"
    assert second.styles is None


def test_an_invalid_bibtex_record_is_reported_with_its_line() -> None:
    works = read_works(
        b"@book{a, title={One}}\n@book{b, title={never closed\n@book{c, title={Three}}\n", "a.bib"
    )
    bad = [work for work in works if isinstance(work, BadInput)]
    assert [error.where for error in bad] == ["a.bib, line 2"]
    assert all(error.what.strip(". ") for error in bad)


def test_a_truncated_bibtex_record_is_reported_with_the_reason(capfd: pytest.CaptureFixture[str]) -> None:
    (error,) = read_works(b"@book{a, title={T, year=}\n", "a.bib")
    assert isinstance(error, BadInput)
    assert "end of file" in error.what
    assert capfd.readouterr().err == ""  # the parser's own log would appear beside our message


FOREIGN_RIS = """TY  - JOUR\r\nAU  - Walker, Ann\r\nA1  - The Society\r\nT1  - On wrestling
JO  - The Advertiser
PY  - 1898/06/04/\r\nSP  - 3\r\nEP  - 5\r\nKW  - not a style\r\nXX  - unknown\r\nER  - \r\n"""


def test_ris_from_other_programs_is_read() -> None:
    (work,) = read_works(FOREIGN_RIS.encode(), "a.ris")
    assert isinstance(work, Work)
    assert work.fields == {
        "author": "Walker, Ann; The Society",
        "title": "On wrestling",
        "container": "The Advertiser",
        "issued": "1898-06-04",
        "pages": "3-5",
    }
    assert work.styles is None


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (b"TY  - BOOK\nTI  - cut off\n", "a.ris"),
        (b"no ris at all\n", "a.ris"),
        (b"{]", "a.json"),
        (b'"text"', "a.json"),
        (b"anything", "a.txt"),
    ],
)
def test_a_file_in_another_format_is_rejected(content: bytes, name: str) -> None:
    with pytest.raises(BadInput) as raised:
        read_works(content, name)
    assert raised.value.where.startswith(name)
    assert raised.value.fix


@pytest.mark.parametrize(
    ("content", "name", "where"),
    [
        (
            b'[{"id": "a", "type": "book", "title": "T", "issued": {"date-parts": [["x"]]}}]',
            "a.json",
            "issued",
        ),
        (
            b"@book{a, title={T}}\n@book{b, title={" + b"{" * 3000 + b"x" + b"}" * 3000 + b"}}",
            "a.bib",
            "line 2",
        ),
        (b"{" * 50_000, "a.bib", "a.bib"),
        (b"words only", "a.bib", "a.bib"),
    ],
)
def test_an_unreadable_work_is_reported(content: bytes, name: str, where: str) -> None:
    errors = [work for work in read_works(content, name) if isinstance(work, BadInput)]
    assert [where in error.where for error in errors] == [True]
    assert errors[0].fix


def test_noncharacters_in_the_record_survive_bibtex() -> None:
    source = Source("s1", "\ufdd0^", SourceKind.OTHER, "a \ufdd1 {b} \ufdd2 ^")
    (work,) = read_works("".join(bibtex_pieces([source])).encode(), "a.bib")
    assert isinstance(work, Work)
    assert (work.fields["label"], work.fields["title"]) == (source.label, source.title)


@pytest.mark.parametrize("parts", ["[]", "[[]]", "[[null]]", '[[""]]', "null"])
def test_an_open_date_is_not_an_error(parts: str) -> None:
    content = f'[{{"id": "a", "type": "book", "title": "T", "issued": {{"date-parts": {parts}}}}}]'
    (work,) = read_works(content.encode(), "a.json")
    assert isinstance(work, Work)
    assert not work.fields.get("issued")


@given(text=st.text(max_size=60))
@settings(max_examples=150, deadline=None)
@pytest.mark.parametrize("format_name", FORMATS)
def test_any_text_is_read_or_rejected(format_name: FormatName, text: str) -> None:
    try:
        works = read_works(text.encode("utf-8", "surrogatepass"), "file", format_name)
    except BadInput:
        return
    assert all(isinstance(work, Work | BadInput) for work in works)


@pytest.mark.parametrize("text", ["Walker, Ann; The Society", "someone, name not known", "A, B, C", ""])
def test_names_are_split_and_joined_without_loss(text: str) -> None:
    assert names_text(names_in(text)) == text


PAPER = Source(
    "s1",
    "Advertiser 1898",
    SourceKind.NEWSPAPER,
    "At the fair <& after>",
    author="Walker, Ann",
    container="The Advertiser",
    issued="1898-06-04",
    pages="3",
    place="Glanmorwen",
)


@pytest.mark.parametrize(
    ("style", "shown"),
    [
        # As the styles' own rules have it: Chicago 17, 15.49 and 14.191; New Hart's Rules 18.
        ("chicago", "Walker, Ann. 1898. ‘At the Fair <& After>’. The Advertiser, 4 June 1898."),
        ("oxford", "Walker, Ann, ‘At the Fair <& After>’, The Advertiser (4 June 1898), 3"),
    ],
)
def test_a_report_is_formatted_in_a_style(style: str, shown: str) -> None:
    assert list(styled([PAPER], style)) == [("s1", shown)]  # type: ignore[arg-type]


def test_a_report_without_an_author_shows_its_title_once() -> None:
    # CSL 1.0.2, cs:substitute: a substituted variable is empty in the rest of the output
    ((_, shown),) = styled([replace(PAPER, author="")], "chicago")
    assert shown.count("At the Fair") == 1


def test_styled_html_is_escaped() -> None:
    ((_, shown),) = styled([PAPER], "oxford", "html")
    assert "<& " not in shown
    assert "<i>The Advertiser</i>" in shown


@settings(max_examples=25, deadline=None)
@given(source=SOURCES)
def test_any_source_can_be_formatted(source: Source) -> None:
    for style in ("chicago", "harvard", "oxford"):
        assert next(styled([source], style))[0] == source.id  # type: ignore[arg-type]


def test_csl_items_carry_the_label() -> None:
    assert csl_item(PAPER)["citation-label"] == "Advertiser 1898"


@pytest.mark.parametrize("format_name", FORMATS)
def test_a_file_of_all_sources_is_written_and_read_back(
    demo_store: Store, format_name: FormatName, tmp_path: Path
) -> None:
    path = tmp_path / f"sources{FORMATS[format_name].suffixes[0]}"
    done: list[int] = []
    with demo_store.read() as reader:
        sources = reader.all(Source)
        report = write_sources(Library(reader), path, format_name=format_name, on_progress=done.append)

    assert report.sources == len(sources) > 5
    assert report.readable() == (f"{len(sources)} sources.",)
    assert done == [len(sources)]
    works = read_works(path.read_bytes(), path.name)
    assert [work.fields["title"] for work in works if isinstance(work, Work)] == [s.title for s in sources]


def test_a_failed_write_leaves_no_file(tmp_path: Path) -> None:
    def failing() -> Iterator[Source]:
        yield PAPER
        raise RuntimeError

    with pytest.raises(RuntimeError):
        write_citations(failing(), tmp_path / "a.bib", "bibtex")
    assert list(tmp_path.iterdir()) == []


CSL_OF_OTHERS = """{"items": [
    {"id": "a", "type": "book", "title": "Holds", "title-short": "Walker 1898",
     "author": [{"family": "Walker", "given": "Ann", "suffix": "Jr."},
                {"non-dropping-particle": "de la", "family": "Mare", "given": "W."}, {"family": "Society"}]}
]}"""


def test_csl_json_from_other_programs_is_read() -> None:
    (work,) = read_works(CSL_OF_OTHERS.encode(), "a.json")

    assert isinstance(work, Work)
    assert work.fields["label"] == "Walker 1898"
    assert names_in(work.fields["author"]) == names_in("Walker, Ann Jr.; de la Mare, W.; Society")


@pytest.mark.parametrize(
    ("item", "what"),
    [
        ('"a title"', "must be an object"),
        ('{"title": "T", "author": "Ann Walker"}', "list of objects"),
        ('{"title": "T", "author": ["Ann Walker"]}', "list of objects"),
        ('{"title": ["T"]}', "title is not text"),
        ('{"title": true}', "title is not text"),
        ('{"title": "T", "issued": 1898}', ""),
    ],
)
def test_an_invalid_csl_item_is_reported_and_the_others_are_read(item: str, what: str) -> None:
    works = read_works(f'[{item}, {{"title": "Good"}}]'.encode(), "a.json")

    assert isinstance(works[0], BadInput)
    assert what in works[0].what
    assert "a.json, item 1" in works[0].where
    assert works[0].fix
    assert isinstance(works[1], Work)
