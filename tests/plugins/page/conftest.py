"""A page that runs, and a small client that speaks to it as its own script does."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import selectors
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

FISH = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
    b'<path d="M5 20Q20 2 40 15L55 6V34L40 25Q20 38 5 20Z" fill="#1f5a3c"/>'
    b'<circle cx="16" cy="18" r="0.4" fill="#c0392b"/></svg>'
)
"""A small fish, its eye too small to stay open."""


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def json(self) -> Any:
        return json.loads(self.body)


@dataclass(frozen=True)
class Client:
    """Speaks to a page that runs."""

    port: int
    key: str

    @property
    def origin(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def ask(
        self,
        path: str,
        *,
        method: str = "GET",
        body: bytes | None = None,
        headers: Mapping[str, str | None] | None = None,
    ) -> Answer:
        """Ask as the page itself would, but for ``headers``; ``None`` leaves one out."""
        sent: dict[str, str | None] = {
            "Host": f"127.0.0.1:{self.port}",
            "Cookie": f"firstpull-{self.port}={self.key}",
        }
        if method != "GET":
            sent |= {"Origin": self.origin, "X-Firstpull": "1"}
        sent |= headers or {}
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in sent.items():
                if value is not None:
                    connection.putheader(name, value)
            if body is not None and "Content-Length" not in sent:
                connection.putheader("Content-Length", str(len(body)))
            connection.endheaders()
            if body:
                connection.send(body)
            got = connection.getresponse()
            return Answer(got.status, dict(got.getheaders()), got.read())
        finally:
            connection.close()

    def post(self, path: str, value: Any = None) -> Answer:
        """Post JSON."""
        return self.ask(
            path, method="POST", body=b"" if value is None else json.dumps(value).encode()
        )

    def drop(self, *files: tuple[str, bytes]) -> Answer:
        """Drop files."""
        head = json.dumps([[name, len(data)] for name, data in files]).encode()
        return self.ask(
            "/orders", method="POST", body=head + b"\n" + b"".join(data for _, data in files)
        )

    def idle(self, key: str) -> dict[str, Any]:
        """Wait until nothing is done to an order any more, and give its state."""
        for _ in range(3600):
            state: dict[str, Any] = self.ask(f"/orders/{key}").json
            if not state["doing"]:
                return state
            time.sleep(0.05)
        raise AssertionError(f"still at work: {state}")

    def result(self, key: str) -> dict[str, Any]:
        """Give what is known of an order."""
        found: dict[str, Any] = self.ask(f"/orders/{key}/result").json
        return found


def with_rack(folder: Path) -> Path:
    """Install the plugin for trying what is shown beside the orders into a folder, and give that."""
    shutil.copy(Path(__file__).with_name("rack") / "prep_rack.py", folder)
    info = folder / "prep_rack-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: prep-rack\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text("[prep.plugins]\nrack = prep_rack\n")
    return folder


@contextlib.contextmanager
def running(folder: Path, *options: str, plugins: Path | None = None) -> Iterator[Client]:
    """Run ``prep page`` as a printer does, without a browser; ended, it leaves nothing behind.

    :param plugins: folder with more plugins
    """
    more = [] if plugins is None else [str(plugins)]
    process = subprocess.Popen(
        [sys.executable, "-m", "prep", "page", "--no-browser", *options],
        cwd=folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={
            **os.environ,
            "TMPDIR": str(folder),
            "PYTHONPATH": os.pathsep.join([*more, *sys.path]),
        },
        text=True,
    )
    assert process.stdout is not None
    try:
        with selectors.DefaultSelector() as ready:
            ready.register(process.stdout, selectors.EVENT_READ)
            assert ready.select(60), "it printed no address"
        address = urlsplit(process.stdout.readline().strip())
        assert address.port is not None
        yield Client(address.port, address.query.removeprefix("key="))
    finally:
        process.terminate()
        process.wait(30)
        process.stdout.close()
    left = [path.name for path in folder.iterdir()]
    assert left == [], f"left behind: {left}"


@pytest.fixture(scope="package")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Client]:
    """A page that runs, with a book of the rack beside its orders."""
    rack = with_rack(tmp_path_factory.mktemp("rack"))
    with running(tmp_path_factory.mktemp("page"), plugins=rack) as client:
        yield client


@pytest.fixture(scope="package")
def fish(page: Client) -> str:
    """The key of an order that is reckoned."""
    key: str = page.drop(("fish.svg", FISH)).json["key"]
    assert page.idle(key)["ended"] == ""
    return key
