"""Serving the web face, on every system, until it is interrupted."""

import socket
from collections.abc import Callable

from waitress.server import BaseWSGIServer, MultiSocketServer, create_server

from app.web import Settings, create_app

__all__ = ["address", "serve"]

THREADS = 8
SLACK = (
    1024 * 1024
)  # the server's limit is a little above the app's, so that the app itself refuses, in words


def serve(
    settings: Settings, host: str = "127.0.0.1", port: int = 8765, *, ready: Callable[[str], None]
) -> None:
    """Serve until interrupted (Ctrl+C).

    Args:
        settings: the termbase and who may ask for it.
        host: network address to listen on.
        port: port; 0 takes a free one.
        ready: called once with the address to open, as soon as it answers.

    Raises:
        OSError: the port is taken.
    """
    _must_be_free(host, port)
    server = create_server(
        create_app(settings),
        host=host,
        port=port,
        threads=THREADS,
        max_request_body_size=settings.max_upload + SLACK,
        ident=None,
    )
    try:
        ready(address(host, _port_of(server)))
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()


def _port_of(server: MultiSocketServer | BaseWSGIServer) -> int:
    """The port in use; a host name of several addresses gives several sockets with one port."""
    if isinstance(server, MultiSocketServer):
        return int(server.effective_listen[0][1])
    return int(server.socket.getsockname()[1]) if server.socket is not None else 0


def _must_be_free(host: str, port: int) -> None:
    """Find a port that is taken before the server does, which would leave its half-made sockets open.

    Raises:
        OSError: the port is taken, or the address is none of this machine.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        probe.bind((host, port))


def address(host: str, port: int) -> str:
    """The address to open in a browser."""
    name = "localhost" if host in ("", "0.0.0.0", "::", "127.0.0.1", "::1") else host
    return f"http://{name}:{port}/"
