"""All outputs of the program in one table: name, options, writer.

The commands, the forms and jobs of the Publish page and the columns of the documentation are built from this
table. It names modules (`exports.tbx.writer:write_tbx`), which are imported only when an output is written.

A writer is called as `write(library, path, **arguments)`: one argument for each option given, by its name;
`on_progress`, called with the number done and the total; and, depending on its row, `selection`, `ids` (the
entries to write) or `as_of` (ISO date). It returns a report: a frozen dataclass of plain values, with
`readable` for its sentences (messages).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from importlib import import_module
from types import MappingProxyType
from typing import Final, Literal

from exports.losses import Reasons
from exports.options import Choice, Flag, Folders, Line, Lines, OneOf, Option, OptionValues, SomeOf
from termbase.judging.verdict import VERDICT_WORDS
from termbase.messages import message
from termbase.record.entries import Origin, Topic

__all__ = [
    "CITATION_FORMAT",
    "FONTS",
    "OUTPUTS",
    "SELECTION",
    "FieldColumn",
    "Offer",
    "Output",
    "object_named",
    "of_group",
    "reasons_named",
]  # fmt: skip

Group = Literal["export", "publish", ""]


@dataclass(frozen=True, kw_only=True)
class Offer:
    """How the Publish page offers an output.

    Attributes:
        address: where its form is posted, below /publish; one below `files/` is on the Other files page.
        button: the label of its button, a message.
        heading: the heading of its own form, a message; empty if it shares a form with others.
        hint: text below its fields, a message.
        key: keyboard shortcut of the button.
    """

    address: str
    button: str
    heading: str = ""
    hint: str = ""
    key: str = ""


@dataclass(frozen=True)
class FieldColumn:
    """What an output leaves out, as a column of the table of fields (`exports/FIELDS.md`).

    Attributes:
        heading: the column's heading; outputs with the same heading share it.
        left_out: the name of the table of reasons (`exports.losses.Reasons`); empty if it contains
            everything.
        values: the values of the option that distinguishes the files of the output; empty for all.
    """

    heading: str
    left_out: str = ""
    values: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Output:
    """One output.

    Attributes:
        name: its unique name.
        group: the group of its command; empty if it has its own separate command.
        summary: the first sentence of its help, English.
        example: what follows the command in the example of its help.
        write: the name of its writer.
        options: its options, in the order of the help and of its form.
        check: the name of a function that rejects values before any work is done (`check(library,
            **arguments)`), for errors that the value alone does not show.
        file: the file name on the Publish page, without extension; `%(paper)s` is the value of an option,
            `%(as_of)s` the date.
        suffix: its file extension; empty if it depends on a choice.
        folder: the name of the folder that it writes; the Publish page packs it into one zip.
        title: the name of its job, a message; or a function that returns it, given one that returns an
            option's label.
        offer: how the Publish page offers it.
        columns: its columns in the table of fields.
        apart: the name of the option that distinguishes its files.
        selects: whether it is made from a `Selection`; Proof checks that first.
        dated: whether the writer gets the date.
        counted: what the progress bar on a terminal counts.
        stages: what the Publish page shows while entries are processed, and after that.
        path_help: the command line's help for the path.
        exact: whether a name with another extension is rejected, since the extension determines the format.
    """

    name: str
    group: Group
    write: str
    title: str | Callable[[Callable[[str], str]], str]
    offer: Offer
    columns: tuple[FieldColumn, ...]
    summary: str = ""
    example: str = ""
    options: tuple[Option, ...] = ()
    check: str = ""
    file: str = "glossary"
    suffix: str = ""
    folder: str = ""
    apart: str = ""
    selects: bool = False
    dated: bool = False
    counted: str = "entries"
    stages: tuple[str, str] = ("", "")
    path_help: str = "File to write."
    exact: bool = False

    def option(self, name: str) -> Option:
        """Return the option with this name.

        Raises:
            KeyError: there is none.
        """
        option = next((each for each in self.options if each.name == name), None)
        if option is None:
            raise KeyError(name)
        return option

    @property
    def kinds(self) -> tuple[str, ...]:
        """The values of the option that distinguishes its files; one empty text if they are all alike."""
        option = self.option(self.apart) if self.apart else None
        return tuple(each.value for each in option.choices) if isinstance(option, OneOf) else ("",)

    def column(self, kind: str = "") -> FieldColumn:
        """Return what a file of this kind leaves out."""
        return next(each for each in self.columns if kind in each.values or not each.values)

    def left_out(self, kind: str = "") -> Reasons:
        """Return why fields are not in a file of this kind."""
        column = self.column(kind)
        return reasons_named(column.left_out)

    def label(self, name: str, asked: OptionValues) -> str:
        """Return the form's label for the value of an option that has choices."""
        option, value = self.option(name), asked.get(name)
        return option.choice(str(value)).label if isinstance(option, OneOf) else str(value)

    def title_of(self, asked: OptionValues) -> str:
        """Return the name of a job that writes this."""
        return self.title if isinstance(self.title, str) else self.title(lambda name: self.label(name, asked))

    def file_name(self, asked: OptionValues, day: str) -> str:
        """Return the name of a file that we name; for a folder, the name of its zip."""
        values: dict[str, object] = {**asked, "as_of": day}
        endings = (
            each.endings.get(str(asked.get(each.name))) for each in self.options if isinstance(each, OneOf)
        )
        suffix = next((each[0] for each in endings if each), self.suffix)
        return f"{self.file % values}{suffix}"


def object_named(name: str) -> object:
    """Return the object with a name: `module:NAME`, or `module:NAME[key]`. Its module is imported now.

    Raises:
        ModuleNotFoundError, AttributeError, KeyError: it does not exist.
    """
    module, _, rest = name.partition(":")
    attribute, _, key = rest.removesuffix("]").partition("[")
    member: object = getattr(import_module(module), attribute)
    if not key:
        return member
    if not isinstance(member, Mapping):
        raise KeyError(name)
    value: object = member[key]
    return value


def reasons_named(name: str) -> Reasons:
    """Return the table of what an output leaves out; empty if the name is empty."""
    reasons = object_named(name) if name else {}
    if not isinstance(reasons, Mapping):
        raise TypeError(f"{name} is not a table")
    return reasons


def of_group(group: Group) -> tuple[Output, ...]:
    """Return the outputs whose commands are in one group."""
    return tuple(each for each in OUTPUTS.values() if each.group == group)


_ALL: Final = Choice("all", message("all"))
_READY_ONES: Final = Choice("ready", message("only those that are ready"))
_READY: Final = Flag(
    name="ready_only", word="--ready-only", help="Leave drafts out.", field="entries",
    label=message("Entries"), ways=(_ALL, _READY_ONES), goes="ids",
)  # fmt: skip
_DRAFTS_MARKED: Final = replace(
    _READY,
    field="drafts",
    ways=(Choice("all", message("all, with drafts marked")), _READY_ONES),
    goes="selection",
)
SELECTION: Final[tuple[Option, ...]] = (
    _DRAFTS_MARKED,
    OneOf(name="topic", word="--topic", help="Only entries of this topic.", field="topic",
          label=message("Only this topic"), unset=message("any topic"), goes="narrowing",
          choices=tuple(Choice(each.value, message(each.value)) for each in Topic)),
    OneOf(name="origin", word="--origin", help="Only entries with a name of this origin.", goes="narrowing",
          choices=tuple(Choice(each.value) for each in Origin)),
    Line(name="source", word="--source", metavar="LABEL", help="Only entries quoted from this source.",
         goes="narrowing"),
    OneOf(name="verdict", word="--verdict", field="verdict", label=message("Only with this verdict"),
          help="Only entries with this verdict, under the first --code, or else under the first rule code.",
          hint=message("Uses the first rule code chosen below."), unset=message("any verdict"),
          goes="narrowing", choices=tuple(Choice(str(each), message(str(each))) for each in VERDICT_WORDS)),
    SomeOf(name="codes", word="--code", metavar="CODE", field="code", label=message("Verdicts under"),
           help="Only verdicts under this rule code (id or name); can be repeated.", supplied="codes",
           goes="selection"),
    Lines(name="vernaculars", word="--vernacular", metavar="TAG", goes="selection",
          help="Only this vernacular; can be repeated."),
    Flag(name="quotations", word="--no-quotations", help="Leave quotations out.", field="quotations",
         label=message("print quotations"), default=True, goes="selection"),
    Flag(name="figures", word="--no-figures", help="Leave figures out.", field="figures",
         label=message("draw techniques"), default=True, goes="selection"),
    Flag(name="pictures", word="--no-pictures", help="Leave pictures of entries out.", field="pictures",
         label=message("show pictures of entries"), default=True, goes="selection"),
    OneOf(name="words", word="--words", field="words", supplied="languages", goes="selection",
          label=message("Language of headings, marks and verdicts"),
          help="Language of the publication's own words: headings, marks, verdicts, dates. "
          "Defaults to the termbase's working language if it is one of these, else English."),
)  # fmt: skip
"""What goes into a publication, and the language of its own words."""
_PARTS: Final = SomeOf(
    name="directions", word="--part", field="direction", label=message("Parts"), goes="selection",
    help="Only this part: articles (working language to vernacular) or reverse.",
    choices=(Choice("articles", message("working language to vernacular, full entries")),
             Choice("reverse", message("vernacular to working language, short entries"))),
    needed=(message("The book would have no parts."), message("Choose at least one part.")),
)  # fmt: skip
_MARK_MISSING: Final = Flag(
    name="mark_missing", word="--mark-missing", field="mark_missing", goes="selection",
    label=message("print letters missing from every font as code points"),
    help="Print characters that no font has as code points.",
)  # fmt: skip
FONTS: Final = Folders(
    name="font_folders", word="--fonts", metavar="FOLDER",
    help="A folder with additional typefaces (.otf, .ttf), for letters missing from the built-in ones; "
    "can be repeated.",
)  # fmt: skip
_ROWS: Final = OneOf(
    name="rows", word="--rows", default="names", field="rows", label=message("One row for"),
    help="One row for each name, for each concept, or for each slip of a name.",
    choices=(Choice("names", message("each name")), Choice("entries", message("each concept")),
             Choice("slips", message("each slip for a name"))),
)  # fmt: skip
_COLUMNS: Final = Lines(
    name="columns", word="--column", metavar="KEY[=TITLE]", field="columns", label=message("Columns"),
    help="A column to write, in this order; can be repeated. All columns if none is given.",
    hint=message("One per line, as name or name=Your own title. Leave empty for all columns."),
)  # fmt: skip
_OF_THE_FILE: Final = "Format of the file."
_SKOS_FORMAT: Final = OneOf(
    name="format_name", word="--format", help=_OF_THE_FILE, default="turtle", field="skos_format",
    label=message("Format"),
    choices=(Choice("turtle", "Turtle", (".ttl", ".turtle")),
             Choice("json-ld", "JSON-LD", (".jsonld", ".json"))),
)  # fmt: skip
_BASE: Final = Line(
    name="base", word="--base", default="https://example.org/wordhold/", field="base",
    help="Address where the termbase will be published.", label=message("Address where it will be published"),
    hint=message("Each entry's address starts with this one; example.org is only for trying it out."),
)  # fmt: skip
CITATION_FORMAT: Final = OneOf(
    name="format_name", word="--format", help=_OF_THE_FILE, default="csl-json", field="citation_format",
    label=message("Format"),
    choices=(Choice("csl-json", "CSL-JSON", (".json",)), Choice("bibtex", "BibTeX", (".bib", ".bibtex")),
             Choice("ris", "RIS", (".ris",))),
)  # fmt: skip
_DIALECT: Final = OneOf(
    name="dialect", word="--dialect", help="Dialect of TBX.", default="basic-dca", field="dialect",
    label=message("Dialect and style"),
    choices=(Choice("basic-dca", "TBX-Basic 1.2.1, DCA style"),
             Choice("basic-dct", "TBX-Basic 1.2.1, DCT style"),
             Choice("wordhold", "TBX-Wordhold, DCT style")),
)  # fmt: skip
_PAPER: Final = OneOf(
    name="paper", word="--paper", help="Size of the paper.", default="a5", field="paper",
    label=message("Paper"), choices=(Choice("a5", "A5"), Choice("a4", "A4")),
)  # fmt: skip
_READING: Final = message("Reading the entries")
_TABLE: Final = Offer(
    address="files/table", heading=message("Spreadsheet"), button=message("Write the table")
)
_OF_TABLES: Final = tuple(
    FieldColumn(f"table of {rows}", f"exports.tables.leftout:LEFT_OUT[{rows}]", (rows,))
    for rows in ("names", "entries", "slips")
)
_BOOK: Final = FieldColumn("book, EPUB", "exports.glossary.leftout:BOOK")

_ROWS_OF_OUTPUTS: Final = (
    Output(
        name="xlsx", group="export", write="exports.tables.writing:write_entries",
        summary="Write the entries as XLSX; every cell is text.", example="-o names.xlsx --rows entries",
        options=(_ROWS, _COLUMNS, _READY), check="exports.tables.writing:check_columns",
        file="%(rows)s", suffix=".xlsx", exact=True, title=message("Table, %(kind)s", kind="XLSX"),
        offer=_TABLE, columns=_OF_TABLES, apart="rows",
    ),
    Output(
        name="csv", group="export", write="exports.tables.writing:write_entries",
        summary="Write the entries as CSV (RFC 4180, UTF-8); cells that look like formulas are made "
        "harmless.",
        example="-o names.csv --column name=Enw --column language",
        options=(Flag(name="mark", word="--no-mark", default=True,
                      help="Write no byte order mark (some programs cannot read it)."),
                 _ROWS, _COLUMNS, _READY),
        check="exports.tables.writing:check_columns",
        file="%(rows)s", suffix=".csv", title=message("Table, %(kind)s", kind="CSV"),
        offer=_TABLE, columns=_OF_TABLES, apart="rows",
    ),
    Output(
        name="tbx", group="export", write="exports.tbx.writer:write_tbx",
        summary="Write a TBX file (ISO 30042) and report what it could not include.",
        example="--dialect basic-dca -o glossary.tbx",
        options=(_DIALECT, replace(_READY, word="")),
        file="%(dialect)s", suffix=".tbx", title=lambda label: label("dialect"),
        offer=Offer(
            address="tbx", heading=message("Term-bank file (TBX, ISO 30042)"),
            button=message("Write the file"), key="x",
            hint=message("The file is checked before you get it, and a report lists what it could not "
                "include."),
        ),
        columns=(FieldColumn("TBX-Basic", "exports.tbx.leftout:BASIC", ("basic-dca", "basic-dct")),
                 FieldColumn("TBX-Wordhold", "exports.tbx.leftout:WHOLE", ("wordhold",))),
        apart="dialect", stages=(message("Writing the entries"), message("Checking the file")),
    ),
    Output(
        name="skos", group="export", write="exports.skos.writer:write_skos",
        summary="Write the entries as linked data: SKOS with SKOS-XL labels, and PROV for quotations.",
        example="-o glossary.ttl --base https://glossary.example/terms/",
        options=(_SKOS_FORMAT, _BASE, replace(_READY, field="skos_entries")),
        check="exports.skos.writer:check_base", title=message("Linked data (SKOS)"),
        offer=Offer(address="files/skos", heading=message("Linked data (SKOS)"),
                    button=message("Write linked data")),
        columns=(FieldColumn("SKOS", "exports.skos.statements:LEFT_OUT"),), apart="format_name",
    ),
    Output(
        name="citations", group="export", write="exports.citations.formats:write_sources",
        summary="Write the sources as CSL-JSON, BibTeX or RIS; uncertain dates are kept (EDTF).",
        example="-o sources.bib", options=(CITATION_FORMAT,), file="sources",
        title=lambda label: message("Sources, %(format)s", format=label("format_name")),
        offer=Offer(address="files/citations", heading=message("Sources for other programs"),
                    button=message("Write the sources")),
        columns=(FieldColumn("CSL-JSON", "exports.citations.formats:LEFT_OUT[csl-json]", ("csl-json",)),
                 FieldColumn("BibTeX, RIS", "exports.citations.formats:LEFT_OUT[bibtex]", ("bibtex", "ris"))),
        apart="format_name", counted="sources",
    ),
    Output(
        name="pdf", group="publish", write="exports.glossary.pdf.publishing:publish_pdf",
        summary="Print the bilingual glossary as PDF.", example="-o glossary.pdf --paper a5",
        options=(_PAPER, *SELECTION, _PARTS, _MARK_MISSING, FONTS),
        file="glossary-%(paper)s", suffix=".pdf",
        title=lambda label: message("Glossary, %(paper)s", paper=label("paper")),
        offer=Offer(address="pdf", button=message("Print the glossary"), key="p"),
        columns=(_BOOK,), selects=True, dated=True, stages=(_READING, message("Laying out the pages")),
    ),
    Output(
        name="cards", group="publish", write="exports.glossary.cards.publishing:publish_cards",
        summary="Print cards for training, eight to an A4 sheet; print on both sides, flipped on the long "
        "edge.",
        example="-o cards.pdf --ready-only", options=(*SELECTION, _MARK_MISSING, FONTS),
        file="cards", suffix=".pdf", title=message("Cards for training"),
        offer=Offer(address="cards", button=message("Print cards for training")),
        columns=(FieldColumn("cards", "exports.glossary.leftout:CARDS"),),
        selects=True, dated=True, stages=(_READING, _READING),
    ),
    Output(
        name="site", group="publish", write="exports.glossary.site.publishing:publish_site",
        summary="Write the glossary as a web site that needs no server: open index.html in it.",
        example="-o glossary-site", options=SELECTION,
        path_help="Folder to write; an existing site there is replaced.",
        file="glossary-site", suffix=".zip", folder="glossary", title=message("Web site"),
        offer=Offer(address="site", button=message("Write the web site")),
        columns=(FieldColumn("site", "exports.glossary.leftout:SITE"),),
        selects=True, dated=True, counted="pages", stages=(_READING, _READING),
    ),
    Output(
        name="epub", group="publish", write="exports.glossary.epub.publishing:publish_epub",
        summary="Write the glossary as an EPUB book.", example="-o glossary.epub", options=SELECTION,
        suffix=".epub", title=message("E-book (EPUB)"),
        offer=Offer(address="epub", button=message("Write the e-book (EPUB)")),
        columns=(_BOOK,), selects=True, dated=True, stages=(_READING, _READING),
    ),
    # its command is defined beside `restore`, and takes the file as an argument
    Output(
        name="backup", group="", write="exports.backup.writing:write_record",
        summary="Write everything (records, pictures, history) to one zip file, FILE.",
        file="backup-%(as_of)s", suffix=".zip", title=message("Backup of everything"),
        offer=Offer(
            address="files/backup", heading=message("Backup of everything"),
            button=message("Write the backup"),
            hint=message("Records, pictures and history in one zip file. “wordhold restore” rebuilds the "
                "same termbase from it."),
        ),
        columns=(FieldColumn("backup"),), dated=True, counted="records",
    ),
)  # fmt: skip
OUTPUTS: Final[Mapping[str, Output]] = MappingProxyType({each.name: each for each in _ROWS_OF_OUTPUTS})
"""Every output, by name."""
