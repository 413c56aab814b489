"""Nobody but the page's own script in this computer's browser gets anything or changes anything."""

from __future__ import annotations

import re
import socket
from pathlib import Path

import pytest

from .conftest import FISH, Client


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "127.0.0.1",
        "localhost",
        "127.0.0.1:1",
        "[::1]:{port}",
        "127.0.0.1.:{port}",
        None,
    ],
)
def test_a_host_that_is_not_ours_is_refused(page: Client, host: str | None) -> None:
    """A name of another site that was made to point here gets nothing (DNS rebinding)."""
    named = None if host is None else host.format(port=page.port)
    assert page.ask("/orders", headers={"Host": named}).status in (400, 421)
    assert page.ask("/orders", headers={"Host": f"localhost:{page.port}"}).status == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": None},
        {"Origin": "null"},
        {"Origin": "http://evil.example"},
        {"Origin": "http://127.0.0.1:1"},
        {"Origin": "https://127.0.0.1:{port}"},
        {"X-Firstpull": None},
        {"X-Firstpull": "2"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Cookie": None},
        {"Cookie": "firstpull-{port}=wrong"},
    ],
)
@pytest.mark.parametrize(("method", "path"), [("POST", "/orders"), ("DELETE", "/orders/x")])
def test_another_site_changes_nothing(
    page: Client, method: str, path: str, headers: dict[str, str | None]
) -> None:
    """Own origin, own header and the key are all needed, whichever of them another site gets right."""
    before = page.ask("/orders").json
    given = {k: None if v is None else v.format(port=page.port) for k, v in headers.items()}
    assert page.ask(path, method=method, body=b"x", headers=given).status == 403
    assert page.ask("/orders").json == before


def test_without_the_key_nothing_is_shown(page: Client, fish: str) -> None:
    """Other people at this computer can reach the port, and get nothing."""
    for path in ("/", "/page.js", "/orders", f"/orders/{fish}", f"/orders/{fish}/result"):
        answer = page.ask(path, headers={"Cookie": None})
        assert answer.status == 403
        assert b"fish" not in answer.body
    opened = page.ask(f"/?key={page.key}", headers={"Cookie": None})
    assert opened.status == 303
    assert opened.headers["location"] == "/"
    cookie = opened.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert page.ask("/?key=wrong", headers={"Cookie": None}).status == 403


@pytest.mark.parametrize(
    "others",
    ['prefs={"a":1}; ', "a b=c d; ", 'q="; ', "=; ;;", "firstpull-1=x; ", "firstpull-{port}0=x; "],
)
def test_cookies_of_other_programs_dont_hide_the_key(page: Client, others: str) -> None:
    """Every port of this computer gets the cookies of all; some are of no standard form."""
    own = f"firstpull-{page.port}={page.key}"
    foreign = others.replace("{port}", str(page.port))
    for sent in (foreign + own, f"{own}; {foreign}"):
        assert page.ask("/orders", headers={"Cookie": sent}).status == 200
    assert page.ask("/orders", headers={"Cookie": foreign}).status == 403


def test_every_answer_carries_the_policy(page: Client, fish: str) -> None:
    """No inline script, no outside resource, no frame; also with refusals."""
    picture = page.result(fish)["setups"][0]["design"]["picture"]
    asked = {
        "/": 200,
        "/orders": 200,
        "/nothing": 404,
        f"/orders/{fish}/result": 200,
        f"/orders/{fish}/pictures/{picture}": 200,
    }
    for path, status in asked.items():
        answer = page.ask(path)
        assert answer.status == status
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'")
        assert "unsafe-inline" not in policy or "sandbox" in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"
    assert "sandbox" in policy  # the picture's, which can be opened by itself


@pytest.mark.parametrize(
    "path",
    [
        "/../pyproject.toml",
        "/static/../desk.py",
        "/%2e%2e/desk.py",
        "/page.js/../../desk.py",
        "/orders/{fish}/files/../order.toml",
        "/orders/{fish}/files/%2e%2e/order.toml",
        "/orders/{fish}/files/..%2forder.toml",
        "/orders/{fish}/files//etc/passwd",
        "/orders/{fish}/pictures/../result.json",
        "/orders/{fish}/pictures/..%2fresult",
        "/orders/{fish}/pictures/%00",
        "/orders/../orders/nobody",
        "/orders/%2e%2e/result",
    ],
)
def test_no_path_leads_out(page: Client, fish: str, path: str) -> None:
    """Files are found in a list, never by a path that was sent."""
    assert page.ask(path.format(fish=fish)).status == 404


def test_it_listens_on_this_computer_only(page: Client) -> None:
    """No other address of this computer answers at its port."""
    others = {str(found[4][0]) for found in socket.getaddrinfo(socket.gethostname(), None)}
    for address in sorted(others - {"127.0.0.1"}):
        family = socket.AF_INET6 if ":" in address else socket.AF_INET
        with socket.socket(family) as tried:
            tried.settimeout(1)
            assert tried.connect_ex((address, page.port)) != 0
    # where the computer has no other address, what Linux lists decides
    listed = Path("/proc/net/tcp")
    if listed.exists():
        port = rf"^ *\d+: ([0-9A-F]{{8}}):{page.port:04X} 00000000:0000 0A"
        assert re.findall(port, listed.read_text(), re.MULTILINE) == ["0100007F"]


def test_an_upload_is_never_given_back(page: Client) -> None:
    """Pictures are drawn from what was read: no script, no link and no name of the file is in them."""
    hostile = FISH.replace(
        b"<path",
        b'<script>alert(1)</script><metadata>secret</metadata><path onclick="alert(2)"',
    )
    key = page.drop(("<b>x</b>.svg", hostile)).json["key"]
    assert page.idle(key)["ended"] == ""
    result = page.result(key)
    setup = result["setups"][0]
    digests = [setup["design"]["picture"], *(s["picture"]["picture"] for s in setup["screens"])]
    for digest in digests:
        svg = page.ask(f"/orders/{key}/pictures/{digest}").body
        assert b"<path" in svg
        for word in (b"script", b"alert", b"onclick", b"secret", b"href"):
            assert word not in svg
    page.ask(f"/orders/{key}", method="DELETE")
