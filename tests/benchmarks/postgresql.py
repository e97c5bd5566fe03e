"""A temporary PostgreSQL server for benchmarks."""

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["server", "why_none"]

SETTINGS = "-c listen_addresses= -c fsync=off -c shared_buffers=256MB"


def why_none() -> str:
    """Return why no server can be started here; empty if one can."""
    if _programs() is None:
        return "there are no server programs (initdb, postgres)"
    if os.geteuid() == 0 and not (_servant() and shutil.which("setpriv")):
        return "it does not run as root, and there is nobody else to run it"
    return ""


@contextmanager
def server() -> Iterator[str]:
    """The address of an empty database on a unix socket; all of it is removed afterwards.

    The server ends with this process, even when that is killed.
    """
    programs, servant = _programs(), _servant()
    with tempfile.TemporaryDirectory(prefix="wordhold-pg-", ignore_cleanup_errors=True) as folder:
        become: list[str] = []
        if os.geteuid() == 0:
            shutil.chown(folder, servant)
            become = [f"--reuid={servant}", "--clear-groups"]

        def run(*command: str) -> None:
            as_servant = ["setpriv", *become, "--"] if become else []
            subprocess.run([*as_servant, *command], check=True, cwd=folder, capture_output=True)

        data = f"{folder}/data"
        run(f"{programs}/initdb", "-D", data, "-U", "wordhold", "-A", "trust", "-E", "UTF8", "--no-sync")
        with_us = ["setpriv", *become, "--pdeathsig=QUIT", "--"] if shutil.which("setpriv") else []
        command = [*with_us, f"{programs}/postgres", "-D", data, "-k", folder, *SETTINGS.split()]
        with Path(folder, "log").open("wb") as log:
            running = subprocess.Popen(command, cwd=folder, stdout=log, stderr=log)
        try:
            _wait(run, programs, folder)
            run(f"{programs}/createdb", "-h", folder, "-U", "wordhold", "names")
            yield f"postgresql://wordhold@/names?host={folder}"
        finally:
            running.send_signal(signal.SIGQUIT)
            running.wait(60)


def _wait(run: Callable[..., None], programs: Path | None, folder: str) -> None:
    """Wait until the server answers.

    Raises:
        CalledProcessError: it does not, for a minute.
    """
    for _ in range(600):
        try:
            run(f"{programs}/pg_isready", "-q", "-h", folder)
        except subprocess.CalledProcessError:
            time.sleep(0.1)
        else:
            return
    run(f"{programs}/pg_isready", "-h", folder)


def _programs() -> Path | None:
    result = shutil.which("postgres")
    folders = [Path(result).resolve().parent] if result else []
    folders += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((f for f in folders if (f / "postgres").exists() and (f / "initdb").exists()), None)


def _servant() -> str:
    """Return a user that can run the server when we are root."""
    known = {user.pw_name for user in pwd.getpwall()}
    return next((name for name in ("postgres", "nobody") if name in known), "")
