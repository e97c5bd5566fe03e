"""Runs code in a separate process with little memory."""

import resource
import subprocess
import sys
from pathlib import Path

__all__ = ["printed_within"]

ROOT = Path(__file__).parents[1]


def printed_within(memory: int, code: str, data: bytes = b"") -> str:
    """Return what Python code prints for `data` on standard input, in a process limited to `memory` bytes."""
    ended = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        input=data,
        capture_output=True,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (memory, memory)),
    )
    assert ended.returncode == 0, ended.stderr.decode()
    return ended.stdout.decode().strip()
