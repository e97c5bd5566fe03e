"""Serve the web interface until interrupted."""

import errno
import ipaddress
import socket
from collections.abc import Callable
from contextlib import suppress
from threading import Event, Thread

from waitress.server import BaseWSGIServer, MultiSocketServer, create_server

from app.web import Settings, create_app
from app.web.workspace import Workspace, workspace
from termbase.errors import BadInput

__all__ = ["address", "is_loopback", "own_names", "serve"]

EVERYWHERE = ("", "0.0.0.0", "::", "[::]")
PORTS = 65536
THREADS = 8
SWEEP_SECONDS = 600
SLACK = (
    1024 * 1024
)  # the server's limit is slightly above the app's, so that the app rejects it with a message


def serve(
    settings: Settings, host: str = "127.0.0.1", port: int = 8765, *, ready: Callable[[str], None]
) -> None:
    """Serve until interrupted (Ctrl+C).

    Args:
        settings: the termbase and its allowed hosts.
        host: network address to listen on.
        port: port; 0 picks a free one.
        ready: called once with the address to open, as soon as the server answers.

    Raises:
        BadInput: the port is in use, the address is not one of this machine, or no folder for files
            is set and the database is not a file.
        Unavailable: the files folder cannot be used.
    """
    _must_be_free(host, port)
    app = create_app(settings)
    with app.app_context():
        space = workspace()
    space.check()
    ended = Event()
    sweeping = Thread(target=_sweep, args=(space, ended), name="sweep", daemon=True)
    server = create_server(
        app,
        host=host,
        port=port,
        threads=THREADS,
        max_request_body_size=settings.max_upload + SLACK,
        ident=None,
    )
    try:
        sweeping.start()
        ready(address(host, _port_of(server)))
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        ended.set()
        server.close()
        sweeping.join(10)


def _sweep(space: Workspace, ended: Event) -> None:
    """Remove expired jobs and files from time to time while the server runs."""
    while not ended.is_set():
        space.sweep_if_due()
        ended.wait(SWEEP_SECONDS)


def _port_of(server: MultiSocketServer | BaseWSGIServer) -> int:
    """Return the port in use; a host name with several addresses gives several sockets on one port."""
    if isinstance(server, MultiSocketServer):
        return int(server.effective_listen[0][1])
    return int(server.socket.getsockname()[1]) if server.socket is not None else 0


def is_loopback(host: str) -> bool:
    """Return whether only this machine can reach a network address or host name."""
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host.lower() == "localhost"


def own_names(host: str) -> tuple[str, ...]:
    """Return the names and addresses by which browsers on other machines can reach this one.

    Args:
        host: the address listened on; for 0.0.0.0 and :: all addresses of this machine are returned.
    """
    if host not in EVERYWHERE:
        return (_in_address(host),)
    name = socket.gethostname()
    addresses = [_way_out(socket.AF_INET, "192.0.2.1"), _way_out(socket.AF_INET6, "2001:db8::1")]
    with suppress(OSError):  # the name cannot be resolved, not even on this machine
        addresses += [str(info[4][0]) for info in socket.getaddrinfo(name, None)]
    outside = [each for each in dict.fromkeys(addresses) if each and not is_loopback(each)]
    return (*(_in_address(each) for each in outside), name, f"{name}.local")


def address(host: str, port: int) -> str:
    """Return the address to open in a browser, on other machines too if they are allowed."""
    name = "localhost" if is_loopback(host) else own_names(host)[0]
    return f"http://{name}:{port}/"


def _way_out(family: socket.AddressFamily, towards: str) -> str:
    """Return the address that this machine would send from; nothing is sent.

    The target addresses are reserved for documentation (RFC 5737, RFC 3849).
    """
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((towards, 9))
            return str(probe.getsockname()[0])
    except OSError:  # no network of that kind
        return ""


def _in_address(host: str) -> str:
    """Put an IPv6 address in brackets for a URL (RFC 3986, section 3.2.2)."""
    return f"[{host.strip('[]')}]" if ":" in host else host


def _must_be_free(host: str, port: int) -> None:
    """Check for a port in use before the server does, since that would leave sockets open.

    Raises:
        BadInput: the port is in use, or the address is not one of this machine.
    """
    error = _refusal(host, port)
    if error is None:
        return
    place = f"{_in_address(host)}:{port}"
    if error.errno == errno.EADDRINUSE:
        free = next((p for p in range(port + 1, port + 100) if p < PORTS and _refusal(host, p) is None), 0)
        raise BadInput(
            f"Port {port} is in use by another program.",
            where=place,
            fix=f"Stop that program, or use a free port: --port {free}",
        ) from error
    if error.errno == errno.EACCES:
        raise BadInput(
            f"Port {port} is reserved for the administrator.", where=place, fix="Use port 1024 or higher."
        ) from error
    raise BadInput(
        f"This machine has no address {host}: {error.strerror or error}.",
        where=place,
        fix="Use 127.0.0.1 for this machine only, or 0.0.0.0 for the whole network.",
    ) from error


def _refusal(host: str, port: int) -> OSError | None:
    """Return why the system does not let us listen there, or None."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((host.strip("[]"), port))
    except OSError as error:
        return error
    return None
