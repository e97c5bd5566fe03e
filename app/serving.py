"""Serving the web face, on every system, until it is interrupted."""

from collections.abc import Callable

from waitress import create_server  # type: ignore[import-untyped]

from app.web import Settings, create_app

__all__ = ["address", "serve"]

THREADS = 8


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
    server = create_server(
        create_app(settings),
        host=host,
        port=port,
        threads=THREADS,
        max_request_body_size=settings.max_upload
        + 1024 * 1024,  # a little above, so that the app itself refuses
        ident=None,
    )
    try:
        ready(address(host, int(server.effective_port)))
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()


def address(host: str, port: int) -> str:
    """The address to open in a browser."""
    name = "localhost" if host in ("", "0.0.0.0", "::", "127.0.0.1", "::1") else host
    return f"http://{name}:{port}/"
