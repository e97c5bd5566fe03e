"""Serving other machines requires a key; a port in use and a foreign address are reported."""

import socket
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

import pytest

from app import serving
from app.web import Settings
from termbase.errors import BadInput
from termbase.store.engine import Store

Shell = Any


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.7", "words.example"])
def test_without_a_key_other_machines_are_not_served(shell: Shell, host: str) -> None:
    ran = shell("serve", "--host", host)

    assert ran.code == 2
    assert "--key-file FILE" in ran.err


def test_a_port_in_use_is_reported_with_a_free_one(shell: Shell) -> None:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        port = listener.getsockname()[1]

        ran = shell("serve", "--port", str(port))

    assert ran.code == 2
    assert f"Port {port} is in use" in ran.err
    free = int(ran.err.rpartition("--port ")[2])
    assert free != port
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", free))


def test_an_address_of_another_machine_is_rejected(shell: Shell, tmp_path: Path) -> None:
    ran = shell("serve", "--host", "192.0.2.7", "--key-file", str(tmp_path / "key"))

    assert ran.code == 2
    assert "This machine has no address 192.0.2.7" in ran.err


@pytest.mark.parametrize(
    ("host", "loopback"),
    [
        ("127.0.0.1", True), ("127.8.8.8", True), ("::1", True), ("[::1]", True), ("localhost", True),
        ("0.0.0.0", False), ("::", False), ("", False), ("192.168.1.5", False), ("words.example", False),
        ("localhost.example", False),
    ],
)  # fmt: skip
def test_only_this_machine_reaches_a_loopback_address(host: str, loopback: bool) -> None:
    assert serving.is_loopback(host) is loopback


@pytest.mark.parametrize(
    ("host", "address"),
    [
        ("127.0.0.1", "http://localhost:80/"),
        ("192.168.1.5", "http://192.168.1.5:80/"),
        ("fd00::5", "http://[fd00::5]:80/"),
    ],
)
def test_the_printed_address_opens_in_a_browser(host: str, address: str) -> None:
    assert serving.address(host, 80) == address


@pytest.mark.parametrize("host", ["0.0.0.0", "::", ""])
def test_listening_on_all_addresses_prints_one_that_others_can_use(host: str) -> None:
    name = serving.address(host, 80).removeprefix("http://").removesuffix(":80/")

    assert name not in ("0.0.0.0", "[::]", "localhost", "127.0.0.1", "")
    assert name in serving.own_names(host)


RUN = "import sys; sys.argv[0] = 'wordhold'; from app.cli import main; main()"


def test_other_machines_are_answered_under_the_printed_address(shell: Shell, tmp_path: Path) -> None:
    """The guard accepts the printed address, and the key is required there."""
    key_file = tmp_path / "key"
    where = ["--host", "0.0.0.0", "--port", "0", "--db", str(shell.db)]
    with subprocess.Popen(
        [sys.executable, "-u", "-c", RUN, "serve", *where, "--key-file", str(key_file)],
        cwd=Path(__file__).parents[3], stdout=subprocess.PIPE, text=True,
    ) as process:  # fmt: skip
        try:
            assert process.stdout is not None
            output = ""
            while "Wordhold is running at" not in output:
                line = process.stdout.readline()
                assert line, f"it ended: {output}"
                output += line
            address = output.partition("Wordhold is running at ")[2].split()[0]
            with pytest.raises(urllib.error.HTTPError) as refused:
                urllib.request.urlopen(address, timeout=60)
            page = refused.value.read().decode()
            refused.value.close()
        finally:
            process.terminate()  # not Ctrl+C, which background processes ignore

    assert "This termbase needs its access key" in page
    assert key_file.read_text().strip() in output
    assert "0.0.0.0" not in address


def test_a_second_server_reports_a_port_in_use(shell: Shell) -> None:
    store = Store.open(str(shell.db))
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        with pytest.raises(BadInput, match="in use"):
            serving.serve(Settings(store), port=listener.getsockname()[1], ready=lambda _: None)
    store.close()
