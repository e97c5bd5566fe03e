"""Nothing in any valid file of another system is lost: concepts, language sections, terms, quotations,
definitions, and every other word are in the record.

The files are generated at random after the structure of both standards: TBX of 2019 (ISO 30042:2019) in DCA
and DCT style, and TBX of 2008 (from memory).
"""

import unicodedata
from collections import Counter
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from xml.sax.saxutils import escape

import msgspec
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from exports.tbx.reader import read_tbx
from exports.tbx.reports import ReadReport
from termbase.importing.planning import plan
from termbase.importing.taking import import_file
from termbase.languages import tags
from termbase.record.entries import Entry, Origin
from termbase.record.people import Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.store.engine import Store

LANGUAGES = ("en", "cy", "ga-Latg", "gv", "x-quay")
CORE = "urn:iso:std:iso:30042:ed-2"
MODULES = (
    'xmlns:min="http://www.tbxinfo.net/ns/min" xmlns:basic="http://www.tbxinfo.net/ns/basic" '
    'xmlns:ling="http://www.tbxinfo.net/ns/linguist"'
)
OF_MODULE = {
    "subjectField": "min", "customerSubset": "min", "partOfSpeech": "min", "administrativeStatus": "min",
    "externalCrossReference": "min", "definition": "basic", "context": "basic", "source": "basic",
    "projectSubset": "basic", "crossReference": "basic", "xGraphic": "basic", "responsibility": "basic",
    "transactionType": "basic", "termType": "basic", "grammaticalGender": "basic", "termLocation": "basic",
    "geographicalUsage": "basic", "register": "ling", "usageNote": "ling", "explanation": "ling",
    "reading": "ling", "grammaticalNumber": "ling",
}  # fmt: skip
PICKED = {
    "partOfSpeech": ("noun", "verb", "other"),
    "administrativeStatus": ("preferredTerm-admn-sts", "admittedTerm-admn-sts", "deprecatedTerm-admn-sts"),
    "termType": ("fullForm", "acronym", "variant"),
    "grammaticalGender": ("masculine", "other"),
    "register": ("colloquialRegister", "vulgarRegister"),
}


@dataclass
class Made:
    """A file and its contents; every text is a unique word.

    Attributes:
        terms: language and text, with repetitions.
        quotations, definitions, words: texts that must be found again.
        named: number of concepts with a term.
        nameless: number of concepts without one.
    """

    text: str = ""
    terms: list[tuple[str, str]] = field(default_factory=list)
    sections: set[str] = field(default_factory=set)
    quotations: set[str] = field(default_factory=set)
    definitions: set[str] = field(default_factory=set)
    words: set[str] = field(default_factory=set)
    named: int = 0
    nameless: int = 0


class Maker:
    """Generates one file from what hypothesis draws."""

    def __init__(self, draw: st.DrawFn, style: str) -> None:
        self.draw, self.style = draw, style
        self.old = style == "martif"
        self.made = Made()
        self.number = self.marks = 0
        self.entries = draw(st.integers(1, 4))

    def file(self) -> Made:
        """Return the whole file."""
        body = "".join(self.entry(n) for n in range(self.entries))
        back = self.back()
        if self.old:
            self.made.text = (
                '<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE martif SYSTEM "TBXcoreStructV02.dtd">\n'
                '<martif type="TBX-Basic" xml:lang="en"><martifHeader><fileDesc><sourceDesc><p>Made.</p>'
                "</sourceDesc></fileDesc><encodingDesc><p>XCS</p></encodingDesc><revisionDesc><change><p>One"
                f"</p></change></revisionDesc></martifHeader><text><body>{body}</body>{back}</text></martif>"
            )
        else:
            self.made.text = (
                f'<?xml version="1.0" encoding="UTF-8"?>\n<?xml-model href="x.sch"?>\n<tbx xmlns="{CORE}" '
                f'{MODULES} type="TBX-Basic" style="{self.style}" xml:lang="en"><tbxHeader><fileDesc>'
                "<sourceDesc><p>Made.</p></sourceDesc></fileDesc><revisionDesc><change><p>One</p></change>"
                f"</revisionDesc></tbxHeader><text><body>{body}</body>{back}</text></tbx>"
            )
        return self.made

    def some(self, most: int = 2) -> range:
        return range(self.draw(st.integers(0, most)))

    def choose(self, *among: str) -> str:
        return self.draw(st.sampled_from(among))

    def word(self) -> str:
        """Return a unique text."""
        self.number += 1
        more = self.draw(st.sampled_from(("", " & co", " <b>", " ﬁ", " é", "\u0301x", "’s", " 𝔱")))
        return f"w{self.number}{more}q"

    def noted(self) -> str:
        """Return a text that must be kept; it may contain markup."""
        text = self.word()
        self.made.words.add(text)
        return self.marked(text)

    def marked(self, text: str) -> str:
        hidden = escape(text)
        kind = self.draw(st.integers(0, 5))
        if kind == 0:
            return f'<hi type="italics">{hidden}</hi>'
        if kind == 1:
            return f'<foreign xml:lang="la">{hidden}</foreign>'
        if kind == 2:
            return f'<!-- a remark --><ph type="image">{hidden}</ph><?pi x?>'
        if kind == 3 and not self.old:
            self.marks += 1
            return f'<sc id="k{self.marks}" type="bold"/>{hidden}<ec startRef="k{self.marks}"/>'
        if kind == 4:
            return f'<hi type="entailedTerm" target="{self.target()}">{hidden}</hi>'
        return hidden

    def target(self) -> str:
        return f"c{self.draw(st.integers(0, self.entries - 1))}x"

    def meta(self, element: str, kind: str, content: str, more: str = "") -> str:
        """Return a data category in the style of the file."""
        if self.style == "dct":
            tag = f"{OF_MODULE[kind]}:{kind}"
            return f"<{tag}{more}>{content}</{tag}>"
        return f'<{element} type="{kind}"{more}>{content}</{element}>'

    def admin(self) -> str:
        kind = self.choose("projectSubset", "customerSubset", "source")
        pointer = ' target="book"' if kind == "source" and self.draw(st.booleans()) else ""
        return self.meta("admin", kind, self.noted(), pointer)

    def note(self) -> str:
        more = self.choose("", ' xml:lang="fr"')
        return f"<note{more}>{self.noted()}</note>"

    def ref(self) -> str:
        if self.draw(st.booleans()):
            return self.meta("ref", "crossReference", self.noted(), f' target="{self.target()}"')
        return self.meta("xref", "xGraphic", self.noted(), ' target="https://quay.example/a.png"')

    def aux(self) -> str:
        """Return anything else that is allowed at any level."""
        kind = self.draw(st.integers(0, 6))
        if kind == 0:
            return self.note()
        if kind == 1:
            return self.admin()
        if kind == 2:
            return f"<adminGrp>{self.admin()}{self.note()}{self.ref()}</adminGrp>"
        if kind == 3:
            return self.ref()
        if kind == 4:
            return self.transaction()
        if kind == 5:
            return self.quotation()
        return self.definition()

    def transaction(self) -> str:
        what = self.choose("origination", "modification")
        date = self.choose("2019-05-01", "2019-05-01T10:00:00Z")
        self.made.words.add(date)
        pointer = self.choose("", ' target="somebody"')
        who = self.meta("transacNote", "responsibility", self.noted(), pointer)
        kind = self.meta("transac", "transactionType", what)
        return f"<transacGrp>{kind}<date>{date}</date>{who}{self.note()}</transacGrp>"

    def quotation(self) -> str:
        text = self.word()
        self.made.quotations.add(text)
        return self.descrip("context", text)

    def definition(self) -> str:
        text = self.word()
        self.made.definitions.add(text)
        return self.descrip("definition", text)

    def descrip(self, kind: str, text: str) -> str:
        one = self.meta("descrip", kind, self.marked(text))
        if self.draw(st.booleans()):
            return one
        beside = "".join(self.draw(st.sampled_from((self.note, self.admin, self.ref)))() for _ in self.some())
        return f"<descripGrp>{one}{beside}</descripGrp>"

    def entry(self, number: int) -> str:
        tag = "termEntry" if self.old else "conceptEntry"
        before = len(self.made.terms)
        field_of = self.meta("descrip", "subjectField", self.noted()) if self.draw(st.booleans()) else ""
        beside = "".join(self.aux() for _ in self.some())
        sections = "".join(self.section() for _ in range(self.draw(st.integers(1, 3))))
        if len(self.made.terms) > before:
            self.made.named += 1
        else:
            self.made.nameless += 1
        return f'\n<{tag} id="c{number}x">\n{field_of}{beside}{sections}</{tag}>'

    def section(self) -> str:
        tag = "langSet" if self.old else "langSec"
        language = self.choose(*LANGUAGES)
        self.made.sections.add(language)
        beside = "".join(self.aux() for _ in self.some())
        terms = "".join(self.term(language) for _ in self.some(3))
        return f'<{tag} xml:lang="{language}">{beside}{terms}</{tag}>'

    def term(self, language: str) -> str:
        if self.made.terms and self.draw(st.integers(0, 4)) == 0:
            text = self.made.terms[-1][1]  # the same again
        else:
            text = self.word()
        self.made.terms.append((language, text))
        named = f"<term>{self.marked(text)}</term>"
        of_term = "".join(self.term_note() for _ in self.some(3))
        beside = "".join(self.aux() for _ in self.some())
        if not self.old:
            return f"<termSec>{named}{of_term}{beside}</termSec>"
        if self.draw(st.booleans()):
            return f"<tig>{named}{of_term}{beside}</tig>"
        parts = f'<termCompList type="hyphenation"><termComp>{self.noted()}</termComp>' + (
            f"<termCompGrp><termComp>{self.noted()}</termComp>{self.note()}{self.quotation()}</termCompGrp>"
            "</termCompList>"
        )
        return f"<ntig><termGrp>{named}{of_term}{parts}</termGrp>{beside}</ntig>"

    def term_note(self) -> str:
        kind = self.choose(*PICKED, "geographicalUsage", "usageNote", "termLocation")
        content = self.choose(*PICKED[kind]) if kind in PICKED else self.noted()
        one = self.meta("termNote", kind, content)
        return f"<termNoteGrp>{one}{self.note()}</termNoteGrp>" if self.draw(st.booleans()) else one

    def back(self) -> str:
        tag = "refObjectList" if self.old else "refObjectSec"
        work, author = self.word(), self.word()
        self.made.words |= {work, author}
        return (
            f'<back><{tag} type="bibl"><refObject id="book"><itemSet><item type="title">{escape(work)}</item>'
            f'<item type="keeper">{escape(author)}</item></itemSet></refObject></{tag}>'
            f'<{tag} type="respPerson"><refObject id="somebody"><item type="fn">Mari</item></refObject>'
            f"</{tag}></back>"
        )


@st.composite
def files(draw: st.DrawFn) -> Made:
    """Draw any valid file in any of the styles."""
    return Maker(draw, draw(st.sampled_from(("dca", "dct", "martif")))).file()


def nfc(text: str) -> str:
    return unicodedata.normalize("NFC", text)


@cache
def empty() -> bytes:
    """Return an empty termbase, created once since that takes longer than everything else."""
    with TemporaryDirectory() as folder:
        Store.create(f"{folder}/empty.db", Termbase("Empty"), by="Nia").close()
        return Path(folder, "empty.db").read_bytes()


def taken(text: str) -> tuple[list[Entry], list[Slip], str, ReadReport]:
    """Return entries, slips, everything imported as one text, and the report."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "any.tbx"
        path.write_text(text, encoding="utf-8")
        Path(folder, "empty.db").write_bytes(empty())
        store = Store.open(f"{folder}/empty.db")
        with store.read() as reader:
            planned = plan(reader, read_tbx(path))
        file = read_tbx(path, origin=Origin.WORD_LIST)
        with store.act("Nia", "took it in") as act:
            done = import_file(act, file)
        with store.read() as reader:
            entries, slips = list(reader.all(Entry)), list(reader.all(Slip))
            others = [*reader.all(Source), *reader.all(Person)]
        store.close()
    assert {k: v["new"] for k, v in planned.counts.items()} == done.new
    whole = msgspec.json.decode(msgspec.json.encode((entries, slips, others)))
    return entries, slips, "\n".join(texts(whole)), file.report()


def texts(value: object) -> list[str]:
    if isinstance(value, dict):
        return [t for v in value.values() for t in texts(v)]
    if isinstance(value, list):
        return [t for v in value for t in texts(v)]
    return [str(value)]


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(files())
def test_nothing_in_any_file_is_lost(made: Made) -> None:
    entries, slips, everything, report = taken(made.text)
    assert len(entries) == made.named == report.entries
    assert (
        report.kept.get("concept without a term", 0) + report.dropped.get("empty concept", 0) == made.nameless
    )
    found = Counter((t.language, t.text) for e in entries for t in e.terms)
    assert found == Counter((tags.canonical(tag), nfc(text)) for tag, text in made.terms)
    quoted = Counter(s.text for s in slips)
    assert all(quoted[nfc(text)] >= 1 for text in made.quotations)
    assert report.quotations == len(made.quotations)
    defined = {d.text for e in entries for d in e.definitions} | set(quoted)
    assert {nfc(text) for text in made.definitions} <= defined
    for word in made.words:
        assert nfc(word) in everything
    if not report.dropped.get("empty concept"):
        for language in made.sections:
            assert tags.canonical(language) in everything or language in everything
