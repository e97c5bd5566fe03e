"""What all lists share: state in the address, paging, and CSV download."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from flask import Response, request

from exports.tables.writing import MEDIA_TYPE, csv_lines

__all__ = ["PER_PAGE", "Part", "address", "as_csv", "is_part", "part_of", "typed"]

PER_PAGE = 50


@dataclass(frozen=True)
class Part:
    """Which page of a list is shown (from 1), of how many, and its offset (from 0)."""

    number: int
    last: int
    offset: int
    limit: int
    total: int


def part_of(total: int, limit: int = PER_PAGE) -> Part:
    """Return the page of the list that the address asks for (`page`), or the nearest existing one."""
    last = max(1, -(-total // limit))
    text = request.args.get("page", "")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 1
    number = min(max(number, 1), last)
    return Part(number, last, (number - 1) * limit, limit, total)


def address(path: str = "", **changes: object) -> str:
    """Return the address of this list with some of its state changed; "", None and False remove a part.

    Unless a page is given, the list starts at its first page again.
    """
    kept = {name: value for name, value in request.args.items() if name not in ("page", "part", "q")}
    if is_part() and "q" in request.args:
        kept["find"] = request.args["q"]
    state = {name: str(value) for name, value in (kept | changes).items() if value not in ("", None, False)}
    at = path or request.path
    return f"{at}?{urlencode(state)}" if state else at


def typed() -> str:
    """Return the text that filters the list: `find` in the address, or `q` while somebody is typing."""
    return request.args.get("q" if is_part() else "find", "").strip()


def is_part() -> bool:
    """Return whether only the rows are requested, while somebody is typing."""
    return request.args.get("part") == "1"


def as_csv(name: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> Response:
    """Return a list as a CSV download."""
    answer = Response(csv_lines(head, rows), content_type=MEDIA_TYPE)
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
