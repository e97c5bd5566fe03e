"""Style sheets, scripts and fonts: where they lie, and how long a browser may keep them.

In a checkout they lie in `static/` at its root, in an installed package in `app/static`. Addresses carry a
hash of the content (`?v=`), so that a browser may keep them for a year and still has the newest at once.
"""

from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from flask import Flask, request
from werkzeug.wrappers import Response

__all__ = ["content_hash", "init_app", "static_folder"]

APP = Path(__file__).parents[1]
FOREVER = "public, max-age=31536000, immutable"
A_DAY = "public, max-age=86400"
ASK_FIRST = "no-cache"


def static_folder() -> Path:
    """The folder of static files: the installed one, else the one of the checkout."""
    installed = APP / "static"
    return installed if installed.is_dir() else APP.parent / "static"


def content_hash(path: Path) -> str:
    """First ten hex digits of the SHA-256 of a file; empty when it cannot be read."""
    try:
        stamp = path.stat()
    except OSError:
        return ""
    return _hash(path, stamp.st_mtime_ns, stamp.st_size)


def init_app(app: Flask) -> None:
    """Add the hash to the addresses of static files and say how long each may be kept."""
    folder = static_folder()

    @app.url_defaults
    def add_hash(endpoint: str, values: dict[str, object]) -> None:
        if (
            endpoint == "static"
            and "v" not in values
            and (found := content_hash(folder / str(values["filename"])))
        ):
            values["v"] = found

    @app.after_request
    def keep(response: Response) -> Response:
        if request.endpoint != "static" or response.status_code not in (200, 206, 304):
            return response
        name = str((request.view_args or {}).get("filename", ""))
        named_by_content = request.args.get("v") == content_hash(folder / name)
        # scripts import each other, and styles their fonts, without a hash
        otherwise = A_DAY if name.endswith(".woff2") else ASK_FIRST
        response.headers["Cache-Control"] = FOREVER if named_by_content else otherwise
        return response


@lru_cache(maxsize=512)
def _hash(path: Path, _changed: int, _size: int) -> str:
    return sha256(path.read_bytes()).hexdigest()[:10]
