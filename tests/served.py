"""Serves an app with waitress in a thread of this process."""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event, Thread

from flask import Flask
from waitress import create_server, wasyncore

__all__ = ["served"]


@contextmanager
def served(app: Flask, threads: int = 6) -> Iterator[int]:
    """Yield the local port where the app is served, until the block ends."""
    sockets: dict[int, object] = {}
    server = create_server(app, map=sockets, host="127.0.0.1", port=0, threads=threads)
    ended = Event()

    def run() -> None:
        # not server.run(), which waits for browsers to let go of their connections
        while not ended.is_set():
            wasyncore.loop(timeout=0.05, map=sockets, count=1)

    thread = Thread(target=run, daemon=True)
    thread.start()
    yield int(server.effective_port)
    ended.set()
    thread.join(5)
    server.task_dispatcher.shutdown()
    wasyncore.close_all(sockets, ignore_all=True)
