"""Writing a termbase as TBX: streamed, checked, and only then given its name."""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from exports.placing import placed
from exports.tbx.conceptentry import ConceptEntries
from exports.tbx.context import Context
from exports.tbx.dialect.writing import WholeWriter
from exports.tbx.frame import back, header
from exports.tbx.grammar import Which
from exports.tbx.loss import LossReport
from exports.tbx.markup import DIALECTS, DialectName
from exports.tbx.validating import check_file
from termbase.articles import Library
from termbase.pages import Page
from termbase.redirects import Redirect
from termbase.sources import Slip

__all__ = ["render", "write_tbx"]

_BATCH = 400


def write_tbx(
    library: Library,
    path: Path,
    *,
    dialect: DialectName = "basic-dca",
    ids: Sequence[str] | None = None,
    on_progress: Callable[[int], None] | None = None,
) -> LossReport:
    """Write entries as a TBX file.

    The same record gives the same bytes. The file is made beside its place, checked as a whole, and only
    then put there; if anything fails, whatever stood there before is untouched and nothing else remains.

    Args:
        library: the articles, with the sources, people and rule codes they point at.
        path: where the file shall be.
        dialect: dialect and style, see `exports.tbx.markup.DIALECTS`.
        ids: the entries to write, in this order; all of them in order of making if None.
        on_progress: told from time to time how many entries are done.

    Returns:
        what was kept and what was lost.

    Raises:
        NotValid: the file would have broken the standard.
        BadInput: a database stands there.
        OSError: it cannot be written there.
    """
    chosen = None if ids is None else tuple(dict.fromkeys(ids))
    if dialect == "wordhold":
        writer = WholeWriter(library.reader, chosen, on_progress)
        _write_checked(path, writer.render(), "wordhold")
        return writer.report()
    context = Context(library, DIALECTS[dialect], None if chosen is None else frozenset(chosen))
    _write_checked(path, render(context, chosen, on_progress), context.dialect.style)
    return context.tally.report(context.dialect.title, context.escaper.replaced)


def _write_checked(path: Path, pieces: Iterator[str], which: Which) -> None:
    """Write the pieces beside the place, check the file, and only then put it there."""
    with placed(path) as unfinished:
        with unfinished.open("x", encoding="utf-8", newline="\n", buffering=1 << 20) as file:
            file.writelines(pieces)
        check_file(unfinished, which)


def render(
    context: Context, ids: tuple[str, ...] | None = None, on_progress: Callable[[int], None] | None = None
) -> Iterator[str]:
    """The file in pieces, one for each entry, unchecked; the tally is complete when the last one is out."""
    yield header(context)
    entries = ConceptEntries(context)
    body, number = False, 0
    for number, article in enumerate(context.library.articles(ids), start=1):
        piece = entries.render(article)
        if piece and not body:
            body = True
            yield "<body>\n"
        yield piece
        if on_progress and number % _BATCH == 0:
            on_progress(number)
    if body:
        yield "</body>\n"
    entries.term_sections.finish()
    yield from back(context)
    if ids is None:
        _count_the_rest(context)
    if on_progress:
        on_progress(number)


def _count_the_rest(context: Context) -> None:
    """What hangs on no entry: pages, slips that wait for a term, and what merged entries were."""
    left_out, reader = context.tally.left_out, context.library.reader
    told = context.tally.carried["slip.id"] + left_out["slip.text"]
    for path, number in (
        ("page", reader.count(Page)),
        ("slip.unsorted", reader.count(Slip) - told),
        ("redirect", reader.count(Redirect)),
    ):
        if number:
            left_out[path] += number
