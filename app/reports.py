"""What the command line and the Publish page say after an output was written, from its writer's report.

Most reports have their own sentences (`readable`). This module covers the outputs for which the command line
or the Publish page has always used other sentences.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Final, Protocol, runtime_checkable

from exports.losses import loss_sentences
from exports.options import Line
from exports.outputs import OUTPUTS, Output
from termbase.loading import lazy_module
from termbase.messages import joined, message, message_of_number

if TYPE_CHECKING:  # a module that has made a report is already imported
    from exports.backup import writing as manifest
    from exports.citations import formats as exchange
    from exports.glossary.cards import publishing as cards
    from exports.glossary.epub import publishing as epub
    from exports.glossary.pdf import publishing as pdf
    from exports.glossary.site import publishing as site
    from exports.skos import writer as skos
    from exports.tables import writing as tables
    from exports.tbx import reports as loss
else:
    manifest, exchange = lazy_module("exports.backup.writing"), lazy_module("exports.citations.formats")
    cards, epub = (
        lazy_module("exports.glossary.cards.publishing"),
        lazy_module("exports.glossary.epub.publishing"),
    )
    pdf, site = (
        lazy_module("exports.glossary.pdf.publishing"),
        lazy_module("exports.glossary.site.publishing"),
    )
    skos, tables = lazy_module("exports.skos.writer"), lazy_module("exports.tables.writing")
    loss = lazy_module("exports.tbx.reports")

__all__ = ["BESIDE_FILE", "document", "printed", "report_message"]


@runtime_checkable
class _Readable(Protocol):
    def readable(self) -> tuple[str, ...]:
        """Return what was written, in messages."""


def printed(output: Output, path: str, report: object) -> Iterable[str]:
    """Return what the command line prints about an output that was written, English, line by line."""
    sentences = _PRINTED.get(output.name)
    if sentences is not None:
        return sentences(path, report)
    return (f"Wrote {path}.", *_readable(report))


def report_message(output: Output, report: object) -> str:
    """Return what the Publish page says about an output that was written; a message."""
    if isinstance(report, loss.LossReport):
        return _checked(report)
    if isinstance(report, manifest.BackupReport):
        return joined((report.readable(), "."), "")
    words = joined(_readable(report))
    if output.folder:
        return joined((words, message("Unzip it and open index.html. It does not need a server.")))
    return words


def document(output: Output, path: str, report: object) -> Mapping[str, object]:
    """Return the fields of the JSON document that the command line prints about an output that was
    written."""
    if output.name in BESIDE_FILE and is_dataclass(report):
        return {"file": path, **{each.name: getattr(report, each.name) for each in fields(report)}}
    return {"file": path, "report": report}


BESIDE_FILE: Final = ("csv", "xlsx", "citations")
"""Outputs whose JSON has the fields of the report next to `file`, not within `report`."""


def _readable(report: object) -> tuple[str, ...]:
    if not isinstance(report, _Readable):
        raise TypeError(f"{type(report).__name__} has no readable()")
    return report.readable()


def _checked(report: "loss.LossReport") -> str:
    """Return the sentences for a TBX file; what it could not include is shown on a separate page."""
    entries = message_of_number("%(n)s entry", "%(n)s entries", report.entries)
    names = message_of_number("%(n)s name", "%(n)s names", report.terms)
    checked = message("The file was checked against the standard's schema and is valid.")
    return joined((joined((entries, names), ", "), checked), ". ")


def _pdf(path: str, report: object) -> Iterable[str]:
    assert isinstance(report, pdf.PrintReport)
    yield f"Wrote {path}: {_entries(report.entries, report.drafts)} on {report.pages} pages."


def _cards(path: str, report: object) -> Iterable[str]:
    assert isinstance(report, cards.CardReport)
    made = f"{report.cards} card{'' if report.cards == 1 else 's'}"
    yield f"Wrote {path}: {made}, {report.drafts} marked as drafts, on {report.pages // 2} sheets."


def _site(path: str, report: object) -> Iterable[str]:
    assert isinstance(report, site.SiteReport)
    entries = _entries(report.entries, report.drafts)
    yield f"Wrote {path}: {entries}, {report.names} names, {report.files} files."


def _epub(path: str, report: object) -> Iterable[str]:
    assert isinstance(report, epub.EpubReport)
    yield f"Wrote {path}: {_entries(report.entries, report.drafts)}."


def _skos(path: str, report: object) -> Iterable[str]:
    assert isinstance(report, skos.SkosReport)
    yield f"Wrote {path}: {report.concepts} concepts, {report.triples} triples."
    yield from report.warnings()
    base = OUTPUTS["skos"].option("base")
    if isinstance(base, Line) and report.base == base.default:
        fix = f"give your own with {base.word}."
        yield f"Its addresses begin with {report.base}, which is only an example: {fix}"


def _table(path: str, report: object) -> Iterable[str]:
    assert isinstance(report, tables.TableReport)
    yield f"Wrote {path}: {report.rows} rows."
    yield from loss_sentences(report.left_out)


def _sources(path: str, report: object) -> Iterable[str]:
    assert isinstance(report, exchange.SourcesReport)
    yield f"Wrote {path}: {report.sources} sources."


def _entries(number: int, drafts: int) -> str:
    marked = f", {drafts} of them marked as drafts" if drafts else ""
    return f"{number} {'entry' if number == 1 else 'entries'}{marked}"


_PRINTED: Final[Mapping[str, Callable[[str, object], Iterable[str]]]] = {
    "pdf": _pdf,
    "cards": _cards,
    "site": _site,
    "epub": _epub,
    "skos": _skos,
    "csv": _table,
    "xlsx": _table,
    "citations": _sources,
}
"""Outputs for which the command line has its own sentences."""
