"""The Proof section: what is wrong or missing, check by check, each finding with a link to fix it."""

from dataclasses import dataclass

from flask import Blueprint, Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from app.web import context, findings, lists
from app.web.findings import Checked, Narrowed
from app.web.language import gettext as _
from app.web.progress import Finished, Job, start, to_job
from app.web.workspace import workspace
from termbase.errors import BadInput
from termbase.messages import message, message_of_number
from termbase.proofing.checks import CHECKS, Finding

__all__ = ["blueprint"]

blueprint = Blueprint("proof", __name__, url_prefix="/proof")

SHOWN = 10
"""Findings per check on the first page; the rest are paged under the check's own address."""
TITLES = {check.code: check.title for check in CHECKS}
KINDS = ("entry", "slip", "source", "page", "code", "termbase")


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
    checked, fresh = findings.known()
    if checked is None:
        return render_template("proof/begin.html")
    result = _narrowed(checked)
    only = request.args.get("check", "")
    part = lists.part_of(len(result.findings) if only else 1)
    whole = _grouped(result, part.offset if only else 0, part.limit if only else SHOWN)
    template = "proof/groups.html" if lists.is_part() else "proof/index.html"
    return render_template(
        template,
        checked=checked,
        fresh=fresh,
        groups=whole,
        counts=_counted(checked),
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
    checked, _fresh = findings.known()
    if checked is None:
        raise BadInput(_("The checks have not been run yet."), where="/proof", fix=_("Run them first."))
    head = ("check", "what it finds", "kind", "record", "name", "what is wrong", "how to mend it")
    cells = (
        (f.check, TITLES[f.check], f.kind, f.record_id, f.name, f.what, f.fix)
        for f in _narrowed(checked).findings
    )
    return lists.as_csv("findings.csv", head, cells)


@blueprint.post("/run")
def run() -> AnyResponse:
    """Run every check in a job, which leads back here."""
    store, back, space = context.store(), url_for("proof.index"), workspace()
    looking = message("Comparing the entries")

    def work(job: Job) -> Finished:
        with store.read() as reader:
            checked = findings.check(reader, lambda done, total: job.tell(done, total, looking))
        findings.keep(checked, space)
        result = message_of_number("%(n)s finding.", "%(n)s findings.", len(checked.findings))
        return Finished(result, url=back)

    return to_job(start(message("Proof"), work, back))


def _narrowed(checked: Checked) -> Narrowed:
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


def _grouped(found: Narrowed, offset: int, limit: int) -> list[Group]:
    return [
        Group(code, TITLES[code], these[offset : offset + limit], len(these))
        for code, these in found.by_check.items()
    ]


def _counted(checked: Checked) -> list[tuple[str, str, int]]:
    """Return every check with its code, title and number of findings."""
    return [(code, TITLES[code], number) for code, number in checked.by_check.items()]
