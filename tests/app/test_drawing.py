"""Marks and the timeline of witnesses."""

from collections import Counter
from xml.etree import ElementTree

import pytest

from app.web.drawing import MARKS, Span, Witnessed, mark, span_of, timeline
from termbase.evidence.scales import MechanicScale, NameScale, PracticeScale
from termbase.judging.verdict import VERDICT_WORDS
from termbase.record.entries import Origin

SVG = "{http://www.w3.org/2000/svg}"


def drawn(*rows: Witnessed) -> ElementTree.Element:
    # inside HTML the namespace is implied
    return ElementTree.fromstring(
        str(timeline(rows)).replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
    )


def of_class(drawing: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [e for e in drawing.iter() if name in e.get("class", "").split()]


@pytest.mark.parametrize(
    "scale",
    [VERDICT_WORDS, tuple(NameScale), tuple(MechanicScale), tuple(PracticeScale), tuple(Origin)],
    ids=["verdict", "name", "mechanic", "practice", "origin"],
)
def test_the_marks_of_one_scale_differ_in_shape(scale: tuple[str, ...]) -> None:
    shapes = Counter(MARKS[str(word)] for word in scale)

    assert max(shapes.values()) == 1


def test_a_mark_is_hidden_from_screen_readers_since_its_word_is_beside_it() -> None:
    assert 'aria-hidden="true"' in mark("fits")


def test_an_unknown_word_gets_the_plain_mark() -> None:
    assert "<path" in mark("a word of tomorrow")


@pytest.mark.parametrize(
    ("edtf", "span"),
    [
        ("1871-06-24", Span(1871, 1871, True, "24 June 1871")),
        ("1898~", Span(1898, 1898, False, "about 1898")),
        ("1898?", Span(1898, 1898, False, "perhaps 1898")),
        ("189X", Span(1890, 1899, False, "between 1890 and 1899")),
        ("1866/1909", Span(1866, 1909, True, "1866 to 1909")),
        ("[1890..1899]", Span(1890, 1899, False, "between 1890 and 1899")),
        ("1866/..", Span(1866, 1866, False, "1866 or later")),
        ("-0043", Span(-43, -43, True, "44 BC")),
        ("", None),
        ("last summer", None),
    ],
)
def test_a_date_becomes_the_years_it_may_mean(edtf: str, span: Span | None) -> None:
    assert span_of(edtf) == span


def test_sure_dates_are_filled_uncertain_ones_open_and_ranges_bars() -> None:
    drawing = drawn(Witnessed("strap-hold", "en", ("1866", "1871", "1898~", "1902/1909", "189X")))

    assert len(of_class(drawing, "dot")) == 3
    assert len(of_class(drawing, "bar")) == 2
    assert sorted(e.tag.removeprefix(SVG) for e in of_class(drawing, "unsure")) == ["circle", "rect"]


def test_a_long_gap_is_drawn_broken_and_described() -> None:
    drawing = drawn(Witnessed("strap-hold", "en", ("1866", "1871", "1898")))

    assert len(of_class(drawing, "hair")) == 1
    assert len(of_class(drawing, "gap")) == 1
    assert "No witness between 1871 and 1898." in (drawing.findtext(f"{SVG}desc") or "")


def test_the_drawing_is_described_in_words() -> None:
    drawing = drawn(Witnessed("ymafael strap", "cy", ("1884?",)), Witnessed("gafael", "cy", ()))

    assert drawing.findtext(f"{SVG}title") == "Witnesses from 1884 to 1884"
    assert (
        drawing.findtext(f"{SVG}desc") == "ymafael strap: 1 witness, perhaps 1884. gafael: no dated witness."
    )
    assert drawing.get("role") == "img"


def test_names_keep_their_language_and_cannot_break_the_page() -> None:
    drawing = drawn(Witnessed("<b>&", "cy", ("1884",)))

    name = of_class(drawing, "name")[0]
    assert (name.text, name.get("lang")) == ("<b>&", "cy")


def test_marks_lie_within_the_drawing() -> None:
    drawing = drawn(Witnessed("a", "en", ("1801", "1850/1899", "1993")))

    first, last = (float(dot.get("cx", "").rstrip("%")) for dot in of_class(drawing, "dot"))
    bar = of_class(drawing, "bar")[0]
    start, width = (float(bar.get(side, "").rstrip("%")) for side in ("x", "width"))
    assert 0 < first < start < start + width < last < 100


def test_without_a_date_nothing_is_drawn() -> None:
    assert timeline([Witnessed("a", "en", ()), Witnessed("b", "en", ("last summer",))]) == ""
