"""Where the page of a record is, by its kind and id: what findings, hits and slips link to."""

from flask import url_for

__all__ = ["address_of"]


def address_of(kind: str, record_id: str) -> str:
    """The address at which a record is looked at and mended; the first page for a kind that has none."""
    match kind:
        case "entry":
            return f"{url_for('entries.index')}/{record_id}"
        case "source":
            return url_for("sources.show", source_id=record_id)
        case "slip":
            return url_for("sources.edit_slip", slip_id=record_id)
        case "page":
            return f"{url_for('pages.index')}/{record_id}"
        case "code":
            return f"{url_for('rules.index')}/{record_id}"
        case "termbase":
            return url_for("publish.termbase")
        case "trial":
            return f"{url_for('trials.index')}/{record_id}"
    return "/"
