"""Who may send requests, and what a page may do: all of the web interface's security in one place.

There are no tokens in forms, because a token expires and what was typed is lost with it. Instead:

- *Host.* The requested host name must be one the program was started with. A foreign page that points its own
  host name at this machine (DNS rebinding) is refused.
- *Origin.* A request that changes something must come from a page of this site. Browsers send `Origin`,
  which must name the requested host; if that header is missing, `Sec-Fetch-Site` must be `same-origin` or
  `none`. A request with neither header is refused: every browser since 2020 sends one of them on a form.
  (Fetch standard, section 3.2; W3C Fetch Metadata Request Headers.)
- *What a page may load.* Only files of this site; no script and no style inside the page
  (Content Security Policy Level 3), no framing by others, no guessing of file types.

Your own scripts must send `Origin: http://<host>` with every POST.
"""

from urllib.parse import urlsplit

from flask import Flask, request
from werkzeug.wrappers import Response

from app.web.language import gettext as _
from app.web.workspace import Settings
from termbase.errors import WordholdError

__all__ = ["CONTENT_POLICY", "HEADERS", "Refused", "init_app", "is_allowed_host", "is_own_origin"]

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "font-src 'self'",
        "connect-src 'self'",
        "media-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)

HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    # not "no-referrer": browsers then send "Origin: null" with every form
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}
"""Sent with every response; a view may make its own stricter, but never looser."""

DEFAULT_PORTS = {"http": 80, "https": 443}


class Refused(WordholdError):
    """The request does not come from a page of this site, or uses a foreign host name."""

    status = 403


def is_allowed_host(host: str, allowed: tuple[str, ...]) -> bool:
    """Return whether a Host header (with or without port) names an allowed host."""
    name, _ = _name_and_port("http://" + host)
    return bool(name) and name in {_name_and_port("http://" + a)[0] for a in allowed}


def is_own_origin(origin: str | None, fetch_site: str | None, host: str) -> bool:
    """Return whether an unsafe request comes from a page of this site.

    Args:
        origin: the Origin header, or None.
        fetch_site: the Sec-Fetch-Site header, or None.
        host: the Host header.
    """
    if origin is not None:
        scheme = urlsplit(origin).scheme
        theirs = _name_and_port(origin)
        return scheme in DEFAULT_PORTS and bool(theirs[0]) and theirs == _name_and_port(f"{scheme}://{host}")
    return fetch_site in ("same-origin", "none")


def init_app(app: Flask, settings: Settings) -> None:
    """Check every request and add the security headers to every response."""

    @app.before_request
    def check() -> None:
        host = request.headers.get("Host", "")
        if not is_allowed_host(host, settings.hosts):
            raise Refused(
                _("This termbase does not accept that host name."),
                where=host,
                fix=_(
                    "Use the address that the program printed, or start the program with that host "
                    "name allowed."
                ),
            )
        if request.method in SAFE_METHODS:
            return
        if not is_own_origin(request.headers.get("Origin"), request.headers.get("Sec-Fetch-Site"), host):
            raise Refused(
                _(
                    "The form came from another site, or did not say which site it came from. "
                    "Nothing was changed."
                ),
                where=request.path,
                fix=_("Open the page here and submit the form again."),
            )

    @app.after_request
    def send_headers(response: Response) -> Response:
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        return response


def _name_and_port(address: str) -> tuple[str, int]:
    try:
        parts = urlsplit(address)
        port = parts.port or DEFAULT_PORTS.get(parts.scheme, 0)
    except ValueError:
        return "", 0
    odd = parts.path not in ("", "/") or parts.query or parts.fragment or parts.username is not None
    return ("", 0) if odd or not parts.hostname else (parts.hostname, port)
