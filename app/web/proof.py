"""The Proof section: what is wrong or missing, check by check, each finding with a link to fix it.

Findings are cached until the record changes, so that no page waits for known results. A small termbase is
checked while the page is built; a large one by a job, whose findings are cached in a file that every process
reads.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from gzip import compress, decompress

from flask import Blueprint, Flask, Response, current_app, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from app.web import context, lists
from app.web.jobs import speakers
from app.web.language import LANGUAGES, interface_language, translated
from app.web.language import gettext as _
from app.web.progress import Finished, Job, start, to_job
from app.web.workspace import Workspace, workspace
from termbase.errors import BadInput, NotFound
from termbase.messages import message, message_of_number
from termbase.overviews.articles import Library
from termbase.proofing.checks import CHECKS, Finding, proof
from termbase.record.entries import Entry
from termbase.store.entry_lists import EntryFilter, count_entries
from termbase.store.plaindata import from_json, to_json
from termbase.store.reading import Reader

__all__ = ["LARGE", "Checked", "Narrowed", "blueprint", "check", "init_app", "keep", "known"]


EXTENSION = "wordhold_findings"
FILE_KIND = "findings"
MOST_ANSWERS = 60
"""Number of queries cached until the next check."""
LARGE = 400
"""Number of entries from which a check runs as a job: about a second on an old laptop."""


blueprint = Blueprint("proof", __name__, url_prefix="/proof")
SHOWN = 10
"""Findings per check on the first page; the rest are paged under the check's own address."""
TITLES = {check.code: check.title for check in CHECKS}
KINDS = ("entry", "slip", "source", "page", "code", "termbase")


@dataclass(frozen=True)
class Checked:
    """The findings of one run: its last act in the history, and the number of entries.

    Counts and groups are computed once: a run covers one state of the record and never changes.
    `ready` counts the entries with both readings signed; `touched` those with a finding.
    """

    act_id: int
    entries: int
    ready: int
    findings: tuple[Finding, ...]

    @cached_property
    def by_entry(self) -> Counter[str]:
        """The number of findings of each entry, by id."""
        return Counter(f.record_id for f in self.findings if f.kind == "entry")

    @cached_property
    def by_check(self) -> dict[str, int]:
        """The number of findings of each check, in order; including zero."""
        result = Counter(f.check for f in self.findings)
        return {check.code: result[check.code] for check in CHECKS}

    @property
    def touched(self) -> int:
        """Number of entries with at least one finding."""
        return len(self.by_entry)

    def narrowed(self, check: str, kind: str, words: str) -> "Narrowed":
        """Return the findings of a check and a record type (empty: any) that contain all these words.

        Cached, since the query is repeated for every page of its results.
        """
        query = (check, kind, " ".join(words.casefold().split()), interface_language())
        return self._answers(*query)

    @cached_property
    def _answers(self) -> Callable[[str, str, str, str], "Narrowed"]:
        return lru_cache(maxsize=MOST_ANSWERS)(self._filtered)

    def _filtered(self, check: str, kind: str, words: str, language: str) -> "Narrowed":
        result: Sequence[int] = range(len(self.findings))
        if check or kind:
            result = [
                n for n in result
                if check in ("", self.findings[n].check) and kind in ("", self.findings[n].kind)
            ]  # fmt: skip
        if words:
            texts = self._texts(language)
            for word in words.split():
                result = [n for n in result if word in texts[n]]
        return Narrowed(tuple(self.findings[n] for n in result))

    @cached_property
    def _texts(self) -> Callable[[str], tuple[str, ...]]:
        """Return the text of each finding, folded, in the reader's language."""

        def texts(_language: str) -> tuple[str, ...]:
            return tuple(
                f"{f.record_id} {translated(f.name)} {translated(f.what)}".casefold() for f in self.findings
            )

        return lru_cache(maxsize=len(LANGUAGES))(texts)


@dataclass(frozen=True)
class Narrowed:
    """The findings for one query, in the order of the checks."""

    findings: tuple[Finding, ...]

    @cached_property
    def by_check(self) -> dict[str, tuple[Finding, ...]]:
        """The findings of each check that has any."""
        result: dict[str, list[Finding]] = {}
        for finding in self.findings:
            result.setdefault(finding.check, []).append(finding)
        return {check: tuple(findings) for check, findings in result.items()}


@dataclass(frozen=True)
class _StoredRun:
    """The findings of a run as stored; see `Checked`."""

    act_id: int
    entries: int
    ready: int
    findings: tuple[Finding, ...]


class _NewestRun:
    """The newest run that this process knows, and the file it was read from; empty if it ran here.

    Safe with several processes: the newest file and the newest act are read from the database each time.
    """

    def __init__(self) -> None:
        self.checked: Checked | None = None
        self.file_id = ""


def init_app(app: Flask) -> None:
    """Register the cache of findings in the app."""
    app.extensions[EXTENSION] = _NewestRun()


def known() -> tuple[Checked | None, bool]:
    """Return the newest run, and whether the record is unchanged since; run it now if that is quick."""
    reader = context.reader()
    last = _last_act(reader)
    newest: _NewestRun = current_app.extensions[EXTENSION]
    if newest.checked is not None and newest.checked.act_id == last:
        return newest.checked, True
    if reader.count(Entry) < LARGE:
        newest.checked, newest.file_id = check(reader), ""
        return newest.checked, True
    _read_newest(newest)
    return newest.checked, newest.checked is not None and newest.checked.act_id == last


def keep(checked: Checked, space: Workspace) -> None:
    """Store a run made by a job, replacing the previous one."""
    previous = space.rows.files(FILE_KIND)
    run = _StoredRun(checked.act_id, checked.entries, checked.ready, checked.findings)
    content = compress(to_json(run, speakers()).encode(), 1)
    row = space.store_file(FILE_KIND, FILE_KIND, content)
    space.rows.patiently(lambda connection: space.put(row, connection))
    for old in previous:
        space.drop(old)


def check(reader: Reader, on_progress: Callable[[int, int], None] | None = None) -> Checked:
    """Run every check on the record as this reader sees it."""
    library = Library(reader)
    return Checked(
        _last_act(reader),
        reader.count(Entry),
        count_entries(reader, EntryFilter(stage="ready")),
        proof(library, on_progress),
    )


def _read_newest(newest: _NewestRun) -> None:
    """Read the newest run stored by any process, unless it is already known."""
    space = workspace()
    row = next(iter(space.rows.files(FILE_KIND)), None)
    if row is None or row.id == newest.file_id:
        return
    try:
        content = space.content(row).read_bytes()
        run = from_json(_StoredRun, decompress(content))
    except (BadInput, NotFound, OSError):  # removed, or from another version of the program: it is run again
        return
    newest.checked = Checked(run.act_id, run.entries, run.ready, run.findings)
    newest.file_id = row.id


def _last_act(reader: Reader) -> int:
    newest = reader.last_acts(1)
    return newest[0].id if newest else 0


@dataclass(frozen=True)
class Group:
    """The findings of one check: those shown, and their total number."""

    code: str
    title: str
    shown: tuple[Finding, ...]
    number: int


@blueprint.get("")
def index() -> str:
    """Show the findings by check, filtered by the address; or how to run the checks."""
    checked, fresh = known()
    if checked is None:
        return render_template("proof/begin.html")
    result = _requested(checked)
    only = request.args.get("check", "")
    part = lists.part_of(len(result.findings) if only else 1)
    groups = _groups(result, part.offset if only else 0, part.limit if only else SHOWN)
    template = "proof/groups.html" if lists.is_part() else "proof/index.html"
    return render_template(
        template,
        checked=checked,
        fresh=fresh,
        groups=groups,
        counts=_check_counts(checked),
        part=part,
        only=only,
        kinds=KINDS,
        typed=lists.typed(),
        number=len(result.findings),
        address=lists.address,
    )


@blueprint.get("/findings.csv")
def export() -> Response:
    """Return the findings, filtered as on the page, as CSV.

    Raises:
        BadInput: the checks have not been run over a large termbase yet.
    """
    checked, _fresh = known()
    if checked is None:
        raise BadInput(_("The checks have not been run yet."), where="/proof", fix=_("Run them first."))
    head = ("check", "what it finds", "kind", "record", "name", "what is wrong", "how to mend it")
    cells = (
        (f.check, TITLES[f.check], f.kind, f.record_id, f.name, f.what, f.fix)
        for f in _requested(checked).findings
    )
    return lists.as_csv("findings.csv", head, cells)


@blueprint.post("/run")
def run() -> AnyResponse:
    """Run every check in a job, which leads back here."""
    store, address, space = context.store(), url_for("proof.index"), workspace()
    stage = message("Comparing the entries")

    def work(job: Job) -> Finished:
        with store.read() as reader:
            checked = check(reader, lambda done, total: job.tell(done, total, stage))
        keep(checked, space)
        result = message_of_number("%(n)s finding.", "%(n)s findings.", len(checked.findings))
        return Finished(result, url=address)

    return to_job(start(message("Proof"), work, address))


def _requested(checked: Checked) -> Narrowed:
    """Return the findings requested in the address.

    Raises:
        BadInput: the check or record type does not exist.
    """
    check, kind, words = request.args.get("check", ""), request.args.get("kind", ""), lists.typed()
    if check and check not in TITLES:
        raise BadInput(
            _("There is no check called “%(code)s”.", code=check),
            where="check",
            fix=_("Choose one from the list."),
        )
    if kind and kind not in KINDS:
        raise BadInput(
            _("“%(kind)s” has no findings.", kind=kind), where="kind", fix=_("Choose one from the list.")
        )
    return checked.narrowed(check, kind, words)


def _groups(findings: Narrowed, offset: int, limit: int) -> list[Group]:
    return [
        Group(code, TITLES[code], group[offset : offset + limit], len(group))
        for code, group in findings.by_check.items()
    ]


def _check_counts(checked: Checked) -> list[tuple[str, str, int]]:
    """Return every check with its code, title and number of findings."""
    return [(code, TITLES[code], number) for code, number in checked.by_check.items()]
