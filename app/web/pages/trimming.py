"""Trim a page or a whole word-list: judge its lines under a rule code, and set aside those that break it."""

from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlencode

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context, lists, progress
from app.web.addresses import whole_number
from app.web.blueprints import pages as blueprint
from app.web.language import gettext as _
from app.web.language import verdict_wording
from termbase.acts.drafting import list_languages, pattern_of
from termbase.acts.trimming import Trim, TrimReport, judge_pages, set_aside_breaches
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict, WordholdError
from termbase.fields.notes import CodedText
from termbase.messages import message, message_of_number
from termbase.record.pages import Page, page_order
from termbase.record.sources import Source
from termbase.rules.clauses import RuleCode
from termbase.store.writing import Act
from termbase.wordlists.trimming import (
    Group,
    JudgedLine,
    Standing,
    filter_lines,
    sense_link_text,
    standing_reasons,
    what_to_find_out,
)

__all__: list[str] = []

ROWS = 200
MANY = 1000  # more lines than this are set aside as a long job
LOTS = (Group.GOES, Group.OPEN, Group.STAYS)


@dataclass(frozen=True)
class Asked:
    """The pages, rule code and lines that the address requests.

    Attributes:
        source: the word-list.
        page: the page; None for all pages of the word-list.
        pages: the pages judged, in order of their numbers.
        code: the rule code; None if the record has none.
        out: style labels marked as another style.
        lot, label, holding, entries: the filters of the list.
    """

    source: Source
    page: Page | None
    pages: tuple[Page, ...]
    code: RuleCode | None
    out: tuple[str, ...] = ()
    lot: str = ""
    label: str = ""
    holding: str = ""
    entries: str = ""

    def url(self, **changes: str) -> str:
        """Return the address of this request, with some values changed."""
        if self.page is not None:
            base = url_for("pages.trim_page", page_id=self.page.id)
        else:
            base = url_for("pages.trim_list", source_id=self.source.id)
        values = {**self.state(), **changes}
        pairs = [*((name, value) for name, value in values.items() if value), *(("out", x) for x in self.out)]
        return f"{base}?{urlencode(pairs)}" if pairs else base

    def state(self) -> dict[str, str]:
        """Return the values that occur once in the address."""
        code = self.code.id if self.code is not None else ""
        return {
            "code": code,
            "lot": self.lot,
            "label": self.label,
            "holding": self.holding,
            "entries": self.entries,
        }

    def rows(self, found: Trim) -> tuple[JudgedLine, ...]:
        """Return the lines to list: those to set aside, then open ones, then those to keep."""
        rows = filter_lines(
            found.lines, lot=self.lot, label=self.label, holding=self.holding, entries=self.entries
        )
        return tuple(sorted(rows, key=_place))


def _place(line: JudgedLine) -> tuple[int, bool]:
    """Sort by group; among lines to set aside, those that can be set aside come first."""
    return LOTS.index(line.lot), line.lot is Group.GOES and line.in_entries


@blueprint.get("/<page_id>/trim")
def trim_page(page_id: str) -> str:
    """Show the lines of a page under a code."""
    return _show(_of_page(page_id))


@blueprint.get("/trim/<source_id>")
def trim_list(source_id: str) -> str:
    """Show the lines of every page of a word-list under a code."""
    return _show(_of_list(source_id))


@blueprint.post("/<page_id>/trim")
def trim_page_now(page_id: str) -> Response | tuple[str, int]:
    """Set aside the ticked lines, or every line shown that breaks the rules."""
    return _trim(_of_page(page_id))


@blueprint.post("/trim/<source_id>")
def trim_list_now(source_id: str) -> Response | tuple[str, int]:
    """Do the same for all pages of a word-list."""
    return _trim(_of_list(source_id))


def _of_page(page_id: str) -> Asked:
    reader = context.reader()
    page = reader.get(Page, page_id)
    return _asked(reader.get(Source, page.source_id), page, (page,))


def _of_list(source_id: str) -> Asked:
    reader = context.reader()
    pages = tuple(sorted(reader.all(Page, source_id=source_id), key=page_order))
    return _asked(reader.get(Source, source_id), None, pages)


def _asked(source: Source, page: Page | None, pages: tuple[Page, ...]) -> Asked:
    """Parse the address or the form; invalid values are ignored."""
    values = request.values
    codes = context.reader().all(RuleCode)
    code = next((c for c in codes if c.id == values.get("code", "")), next(iter(codes), None))
    lot, entries = values.get("lot", ""), values.get("entries", "")
    return Asked(
        source,
        page,
        pages,
        code,
        tuple(dict.fromkeys(x for x in values.getlist("out") if x)),
        lot if lot in LOTS else "",
        values.get("label", ""),
        values.get("q" if lists.is_part() else "holding", "").strip()[:80],
        entries if entries in ("yes", "no") else "",
    )


def _judged(asked: Asked, code: RuleCode) -> Trim:
    """Return the lines judged under the code, cached until the next act, whatever the filters."""
    question = ("trim", asked.source.id, tuple(p.id for p in asked.pages), code.id)
    trim = context.cached(question, lambda reader: judge_pages(reader, asked.source, asked.pages, code))
    return trim.with_other_styles(asked.out)


def _show(asked: Asked, error: WordholdError | None = None) -> str:
    reader = context.reader()
    codes = reader.all(RuleCode)
    if asked.code is None:
        return render_template("pages/trim.html", asked=asked, codes=codes, found=None, error=None)
    try:
        found = _judged(asked, asked.code)
        headword = list_languages(reader, pattern_of(asked.source)).headword
    except BadInput as bad:
        return render_template("pages/trim.html", asked=asked, codes=codes, found=None, error=bad)
    rows = asked.rows(found)
    part = lists.part_of(len(rows), ROWS)
    return render_template(
        "pages/trimmed.html" if lists.is_part() else "pages/trim.html",
        asked=asked,
        codes=codes,
        found=found,
        error=error,
        counts={lot.value: found.count(lot) for lot in LOTS},
        shown_counts={lot.value: sum(1 for line in rows if line.lot is lot) for lot in LOTS},
        rows=rows[part.offset : part.offset + part.limit],
        sweep=_sweep(rows),
        part=part,
        headword=headword,
        numbers={page.id: page.number for page in asked.pages},
        standing_said=_standing_said,
        sense_said=sense_link_text,
        finds_out=what_to_find_out,
    )


def _standing_said(standing: Standing) -> tuple[str, ...]:
    return standing_reasons(standing, verdict_wording())


def _sweep(rows: tuple[JudgedLine, ...]) -> dict[str, int]:
    """Return the lines that one click sets aside, with versions: certain breaches that are in no entry."""
    return {
        row.line.id: row.line.version
        for row in rows
        if row.lot is Group.GOES and not row.in_entries and row.certain
    }


def _trim(asked: Asked) -> Response | tuple[str, int]:
    code = asked.code
    try:
        if code is None:
            raise BadInput(_("There are no rule codes yet."), where="code", fix=_("Add one first."))
        chosen = _chosen(asked, code)
        if len(chosen) > MANY:
            return _as_job(asked, code, chosen)
        with context.act(_deed(asked, code)) as act:
            report = _work(asked, code, chosen)(act, None)
    except WordholdError as error:
        return _show(asked, error), 400 if isinstance(error, BadInput) else 409
    done = report.aside or report.noted
    return context.done(act, asked.url()) if done else redirect(asked.url(), 303)


def _chosen(asked: Asked, code: RuleCode) -> dict[str, int]:
    """Return the chosen lines, with the versions that were shown."""
    if request.form.get("do") == "all":
        sweep = _sweep(asked.rows(_judged(asked, code)))
        if request.form.get("number", "") != str(len(sweep)):
            raise Conflict(
                _("The lines have changed since this page was shown; nothing was set aside."),
                where="lines",
                fix=_("Check them as they are now, and set them aside again."),
            )
        return sweep
    ticked = [value.rpartition(":") for value in request.form.getlist("line")]
    chosen = {
        line_id: number
        for line_id, _colon, version in ticked
        if (number := whole_number(version)) is not None
    }
    if not chosen:
        raise BadInput(
            _("No lines are ticked."), where="line", fix=_("Tick the lines you want to set aside.")
        )
    return chosen


def _work(
    asked: Asked, code: RuleCode, chosen: dict[str, int]
) -> Callable[[Act, Callable[[int, int], None] | None], TrimReport]:
    def work(act: Act, tell: Callable[[int, int], None] | None) -> TrimReport:
        return set_aside_breaches(
            act,
            asked.source,
            asked.pages,
            code,
            other_styles=asked.out,
            chosen=chosen,
            on_progress=tell,
        )

    return work


def _as_job(asked: Asked, code: RuleCode, chosen: dict[str, int]) -> Response:
    store, by, what, back = context.store(), context.current_person(), _deed(asked, code), asked.url()
    set_aside = _work(asked, code, chosen)

    def work(job: progress.Job) -> progress.Finished:
        job.tell(0, 0, message("Judging the lines"))
        with store.act(by, what) as act:
            report = set_aside(act, job.tell)
            job.tell(0, 0, message("Writing"))
            aside = len(report.aside)
            text = message_of_number("%(n)s line was set aside.", "%(n)s lines were set aside.", aside)
            finished = progress.Finished(text, url=back)
            job.settle(act.connection, finished)
        return finished

    return progress.to_job(progress.start(message("Set aside what breaks the rules"), work, back=back))


def _deed(asked: Asked, code: RuleCode) -> CodedText:
    label = asked.source.label
    if asked.page is None:
        return Deed.SOURCE_TRIMMED(label=label, code=code.name)
    return Deed.PAGE_TRIMMED(number=asked.page.number, label=label, code=code.name)
