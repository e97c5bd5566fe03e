"""A throw-away PostgreSQL server for benchmarks."""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["server", "why_none"]

SETTINGS = "-c listen_addresses= -c fsync=off -c shared_buffers=256MB"


def why_none() -> str:
    """Why no server can be started here; empty where one can."""
    if _programs() is None:
        return "there are no server programs (initdb, postgres)"
    if os.geteuid() == 0 and not (_servant() and shutil.which("setpriv")):
        return "it does not run as root, and there is nobody else to run it"
    return ""


@contextmanager
def server() -> Iterator[str]:
    """Address of an empty database on a unix socket; all of it is gone afterwards."""
    programs, servant = _programs(), _servant()
    with tempfile.TemporaryDirectory(prefix="wordhold-pg-", ignore_cleanup_errors=True) as folder:
        become: list[str] = []
        if os.geteuid() == 0:
            shutil.chown(folder, servant)
            become = ["setpriv", f"--reuid={servant}", "--clear-groups", "--"]

        def run(*command: str) -> None:
            subprocess.run([*become, *command], check=True, cwd=folder, capture_output=True)

        data = f"{folder}/data"
        run(f"{programs}/initdb", "-D", data, "-U", "wordhold", "-A", "trust", "-E", "UTF8", "--no-sync")
        options = f"-k {folder} {SETTINGS}"
        run(f"{programs}/pg_ctl", "-D", data, "-l", f"{folder}/log", "-w", "-o", options, "start")
        try:
            run(f"{programs}/createdb", "-h", folder, "-U", "wordhold", "names")
            yield f"postgresql://wordhold@/names?host={folder}"
        finally:
            run(f"{programs}/pg_ctl", "-D", data, "-m", "immediate", "-w", "stop")


def _programs() -> Path | None:
    found = shutil.which("postgres")
    folders = [Path(found).resolve().parent] if found else []
    folders += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((f for f in folders if (f / "postgres").exists() and (f / "initdb").exists()), None)


def _servant() -> str:
    """A user that a server may run as when we are root."""
    known = {user.pw_name for user in pwd.getpwall()}
    return next((name for name in ("postgres", "nobody") if name in known), "")
