"""Style sheets, scripts and fonts: where they are, and how long a browser may cache them.

In a checkout they are in `static/` at its root, in an installed package in `app/static`. Every address names
the state of the whole folder (`/static/v-1f2e3d4c5b/js/keys.js`). A script imports another, and a style sheet
a font, by a relative address, so they get the same state, and each file has one address on a page: a module
is never loaded twice. A browser may keep such an address for a year and still has the newest at once.
"""

from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from flask import Flask, Response, g, has_request_context, request, send_from_directory

__all__ = ["init_app", "static_folder", "static_state"]

APP = Path(__file__).parents[1]
FOREVER = "public, max-age=31536000, immutable"
ASK_FIRST = "no-cache"
MARK = "v-"
SUFFIXES = frozenset({".css", ".js", ".svg", ".woff2", ".webp"})


def static_folder() -> Path:
    """Return the folder of static files: the installed one, else the one in the checkout."""
    installed = APP / "static"
    return installed if installed.is_dir() else APP.parent / "static"


def static_state() -> str:
    """Return ten hex digits that change with any static file; computed once per request."""
    if not has_request_context():
        return _state_of(static_folder())
    if "static_state" not in g:
        g.static_state = _state_of(static_folder())
    state: str = g.static_state
    return state


def init_app(app: Flask) -> None:
    """Serve the static files, and add their state to their addresses."""

    @app.url_defaults
    def add_state(endpoint: str, values: dict[str, object]) -> None:
        if endpoint == "static" and not str(values["filename"]).startswith(MARK):
            values["filename"] = f"{MARK}{static_state()}/{values['filename']}"

    @app.get("/static/<path:filename>", endpoint="static")
    def static(filename: str) -> Response:
        first, _slash, rest = filename.partition("/")
        stated = first.startswith(MARK)
        response = send_from_directory(static_folder(), rest if stated else filename)
        fresh = stated and first == MARK + static_state() and not request.args
        response.headers["Cache-Control"] = FOREVER if fresh else ASK_FIRST
        return response


def _state_of(folder: Path) -> str:
    stamps = []
    for path in sorted(folder.rglob("*")):
        if path.suffix in SUFFIXES:
            stamp = path.stat()
            stamps.append((path, stamp.st_mtime_ns, stamp.st_size))
    return _hash(tuple(stamps))


@lru_cache(maxsize=8)
def _hash(stamps: tuple[tuple[Path, int, int], ...]) -> str:
    contents = sha256()
    for path, _changed, _size in stamps:
        contents.update(path.name.encode() + b"\0" + sha256(path.read_bytes()).digest())
    return contents.hexdigest()[:10]
