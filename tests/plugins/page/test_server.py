"""Dropping, changing, cancelling, making files: what the page is answered."""

from __future__ import annotations

import asyncio
import io
import json
import signal
import socket
import subprocess
import sys
import time
import zipfile
from pathlib import Path
from urllib.parse import quote, urlsplit

import pytest
from starlette.types import Message

from prep_page.desk import Desk, End, together
from prep_page.edits import Change
from prep_page.server import make_app

from .conftest import FISH, Client

PATH = [["garment", 0, "colour"], ["ink", "reserve"], ["print", 0, "width"]]


def test_a_dropped_artwork_is_reckoned(page: Client, fish: str) -> None:
    """An SVG alone becomes an order with screens, findings, sections and forms."""
    result = page.result(fish)
    assert result["whole"]
    (setup,) = result["setups"]
    assert {screen["colour"] for screen in setup["screens"]} == {"#1f5a3c", "#c0392b"}
    small = [f for f in setup["findings"] if f["screen"] == "#c0392b" and f["severity"] != "note"]
    assert any(abs(f["at_mm"][0] - 16) < 0.5 and abs(f["at_mm"][1] - 18) < 0.5 for f in small)
    assert {s["step"] for s in setup["sections"]} >= {
        "judge",
        "screens",
        "film",
        "ink",
        "run",
        "cure",
    }
    assert {g["of"] for g in result["groups"]} >= {
        "order",
        "print",
        "garment",
        "colour",
        "shop",
        "ink",
    }


def test_a_change_is_reckoned_and_a_wrong_one_refused(page: Client, fish: str) -> None:
    """A wrong value is told in one line that names the setting; all stays as it was."""
    before = page.result(fish)["setups"][0]
    page.post(f"/orders/{fish}/changes", [{"path": PATH[2], "kind": "text", "text": "120 mm"}])
    assert page.idle(fish)["ended"] == ""
    after = page.result(fish)["setups"][0]
    assert after["size_mm"] == pytest.approx([120, 80])
    assert after["colours"][0]["area_mm2"] == pytest.approx(
        4 * before["colours"][0]["area_mm2"], 1e-3
    )
    page.post(f"/orders/{fish}/changes", [{"path": PATH[2], "kind": "text", "text": "120 reams"}])
    state = page.idle(fish)
    assert state["ended"] == "refused"
    assert state["trouble"] == [
        'order.toml: print[1].width: "120 reams" has an unknown unit; write it like "280 mm" (in mm, cm,'
        " m, um, in, ft, yd, mil or pt)"
    ]
    assert page.result(fish)["setups"][0] == after
    assert b'width = "120 mm"' in page.ask(f"/orders/{fish}/order.toml").body
    page.post(f"/orders/{fish}/changes", [{"path": PATH[2], "kind": "text", "text": None}])
    assert page.idle(fish)["ended"] == ""
    assert page.result(fish)["setups"][0]["size_mm"] == before["size_mm"]


def test_of_several_changes_only_the_wrong_one_is_left_out(page: Client, fish: str) -> None:
    """What was typed in two fields at once: the one is told, the other holds."""
    page.post(
        f"/orders/{fish}/changes",
        [
            {"path": ["garment", 0, "name"], "kind": "text", "text": "night tee"},
            {"path": PATH[2], "kind": "text", "text": "wide"},
            {"path": PATH[0], "kind": "text", "text": "#eeeeee"},
        ],
    )
    state = page.idle(fish)
    assert state["ended"] == "refused"
    (line,) = state["trouble"]
    assert "print[1].width" in line
    (garment,) = page.result(fish)["setups"][0]["garments"]
    assert (garment["name"], garment["colour"]) == ("night tee", "#eeeeee")
    assert b"wide" not in page.ask(f"/orders/{fish}/order.toml").body


def test_the_set_up_that_is_looked_at_comes_first(page: Client) -> None:
    """Two places: the second is told alone before the first is; both are there in the end."""
    order = (
        b'[[print]]\nplace = "front"\nartwork = "fish.svg"\nwidth = "60 mm"\n'
        b'[[print]]\nplace = "back"\nartwork = "fish.svg"\nwidth = "90 mm"\n'
        b"[[garment]]\nsizes = { M = 3 }\n"
    )
    key = page.drop(("order.toml", order), ("fish.svg", FISH)).json["key"]
    assert page.ask(f"/orders/{key}/shown", method="POST", body=b"-1").status == 400
    assert page.post(f"/orders/{key}/shown", 1).status == 204
    page.idle(key)
    seen: list[list[int]] = []
    for width in range(91, 99):  # the worker may be done between two looks
        change = [{"path": ["print", 1, "width"], "kind": "text", "text": f"{width} mm"}]
        page.post(f"/orders/{key}/changes", change)
        seen = []
        while True:
            state = page.ask(f"/orders/{key}").json
            told = [setup["at"] for setup in page.result(key)["setups"] if setup["done"]]
            seen += [] if not told or (seen and seen[-1] == told) else [told]
            if not state["doing"]:
                break
            time.sleep(0.002)
        assert seen in ([[0, 1], [1], [0, 1]], [[1], [0, 1]], [[0, 1]])
        if [1] in seen:
            break
    assert [1] in seen
    sizes = [round(s["size_mm"][0]) for s in page.result(key)["setups"]]
    assert sizes == [60, width]
    page.ask(f"/orders/{key}", method="DELETE")


def test_files_are_made_and_open_again(page: Client, fish: str) -> None:
    """The archive holds sheet, films, and an order that can be dropped again with its artwork."""
    page.post(f"/orders/{fish}/files")
    state = page.idle(fish)
    names = {one["name"] for one in state["files"]}
    assert {"everything.zip", "job.json", "order.toml", "prep-sheet.pdf"} <= names
    sheet = page.ask(f"/orders/{fish}/files/prep-sheet.pdf")
    assert sheet.body.startswith(b"%PDF")
    assert sheet.headers["content-disposition"] == "attachment; filename*=UTF-8''prep-sheet.pdf"
    packed = zipfile.ZipFile(io.BytesIO(page.ask(f"/orders/{fish}/files/everything.zip").body))
    assert {"fish.svg", "order.toml", "prep-sheet.pdf"} <= set(packed.namelist())
    assert packed.read("fish.svg") == FISH
    again = page.drop(("order.toml", packed.read("order.toml")), ("fish.svg", FISH)).json["key"]
    assert page.idle(again)["ended"] == ""
    for part in ("screens", "findings"):  # what was assumed of the first is stated in the second
        one, other = (page.result(key)["setups"][0][part] for key in (again, fish))
        assert one == other
    page.ask(f"/orders/{again}", method="DELETE")
    # a change makes them old
    page.post(f"/orders/{fish}/changes", [{"path": PATH[1], "kind": "text", "text": "12 %"}])
    assert page.idle(fish)["files"] == []


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ([("notes.txt", b"x")], "notes.txt: is neither an SVG nor an order"),
        ([("a.svg", FISH), ("b.svg", FISH)], "2 artworks were dropped"),
        (
            [("order.toml", b'name = "x"\n[[print]]\nartwork = "c.svg"\n')],
            "names c.svg, which isn't",
        ),
        ([("order.toml", b"name = ")], "is not TOML"),
        ([("order.toml", b"\xff")], "is not UTF-8"),
        ([("order.toml", b""), ("other.toml", b"")], "2 orders"),
    ],
)
def test_files_that_make_no_order_are_refused(
    page: Client, files: list[tuple[str, bytes]], said: str
) -> None:
    """One line says what is missing; nothing is left open."""
    before = page.ask("/orders").json
    answer = page.drop(*files)
    assert answer.status == 422
    assert said in answer.json["lines"][0]
    assert page.ask("/orders").json == before


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("not.svg", b"this is a photo", "not.svg"),
        (
            "doc.svg",
            b'<!DOCTYPE svg [<!ENTITY a "b">]><svg xmlns="http://www.w3.org/2000/svg"/>',
            "doc.svg",
        ),
        ("empty.svg", b"", "empty"),
        ("cut-off.svg", FISH[:150], "export it again"),
    ],
)
def test_artwork_that_cant_be_read_is_told(page: Client, name: str, data: bytes, said: str) -> None:
    """A refused artwork leaves its order open, with what to do; nothing is shown as a result."""
    key = page.drop((name, data)).json["key"]
    state = page.idle(key)
    assert state["ended"] == "refused"
    assert said in state["trouble"][0]
    assert "/" not in state["trouble"][0].split(":")[0]  # no path that nobody chose
    assert page.ask(f"/orders/{key}/result").status == 404
    page.ask(f"/orders/{key}", method="DELETE")


def test_names_in_any_script_are_taken(page: Client) -> None:
    """Name, ink and garment in scripts that the sheet's font lacks: all files are made and fetched."""
    order = (
        'name = "藍の魚 🐟"\n[[print]]\nplace = "front"\nartwork = "魚.svg"\n'
        '[[print.colour]]\nhex = "#1f5a3c"\nink = "ཨོཾ"\n'
        '[[garment]]\nname = "قميص"\nsizes = { M = 3 }\n'
    )
    state = page.drop(("order.toml", order.encode()), ("魚.svg", FISH)).json
    key = state["key"]
    assert page.idle(key)["name"] == "藍の魚 🐟"
    assert "ཨོཾ" in {screen["ink"] for screen in page.result(key)["setups"][0]["screens"]}
    page.post(f"/orders/{key}/files")
    state = page.idle(key)
    assert (state["ended"], state["trouble"]) == ("", [])
    names = [one["name"] for one in state["files"]]
    assert "prep-sheet.pdf" in names
    own = next(name for name in names if "ཨོཾ" in name)
    answer = page.ask(f"/orders/{key}/files/{quote(own)}")
    assert answer.status == 200
    assert quote(own.rpartition("/")[2]) in answer.headers["content-disposition"]
    page.ask(f"/orders/{key}", method="DELETE")


def test_a_body_over_the_limit_is_cut_off(page: Client) -> None:
    """It is counted while it comes, whatever length it claims."""
    claimed = page.ask(
        "/orders", method="POST", body=b"x", headers={"Content-Length": "99999999999"}
    )
    assert claimed.status == 413
    with socket.create_connection(("127.0.0.1", page.port)) as sent:
        head = (
            f"POST /orders HTTP/1.1\r\nHost: 127.0.0.1:{page.port}\r\nOrigin: {page.origin}\r\n"
            f"X-Firstpull: 1\r\nCookie: firstpull-{page.port}={page.key}\r\n"
            "Transfer-Encoding: chunked\r\n\r\n"
        )
        sent.sendall(head.encode())
        piece = b"100000\r\n" + b"x" * 0x100000 + b"\r\n"
        try:
            for _ in range(40):
                sent.sendall(piece)
        except OSError:
            pass  # closed on us, as it should be
        sent.settimeout(10)
        try:
            got = sent.recv(64)
        except OSError:
            got = b""
    assert got == b"" or b" 413 " in got
    assert page.ask("/orders").status == 200


def test_a_body_that_lies_about_its_parts_is_refused(page: Client) -> None:
    """Sizes that don't add up, no sizes, and no JSON."""
    for body in (
        b'[["a.svg", 10]]\nshort',
        b'[["a.svg", 1]]\nlong',
        b'[["a.svg", -1]]\n',
        b'[["a.svg", 1e3]]\n',
        b"[]\n",
        b"{}\n",
        b"no line",
        b"\xff\n",
    ):
        assert page.ask("/orders", method="POST", body=body).status == 400


def test_a_broken_connection_leaves_nothing(page: Client) -> None:
    """A drop that stops half-way opens no order."""
    before = page.ask("/orders").json
    with socket.create_connection(("127.0.0.1", page.port)) as sent:
        sent.sendall(
            f"POST /orders HTTP/1.1\r\nHost: 127.0.0.1:{page.port}\r\nOrigin: {page.origin}\r\n"
            f"X-Firstpull: 1\r\nCookie: firstpull-{page.port}={page.key}\r\n"
            "Content-Length: 1000\r\n\r\nhalf".encode()
        )
    time.sleep(0.2)
    assert page.ask("/orders").json == before


@pytest.mark.parametrize(
    "changes",
    [
        {},
        [{}],
        [{"path": [], "kind": "text", "text": "x"}],
        [{"path": ["name"], "kind": "shell", "text": "x"}],
        [{"path": ["name", True], "kind": "text", "text": "x"}],
        [{"path": ["name"], "kind": "text", "text": 3}],
        [{"path": [["name"]], "kind": "text", "text": "x"}],
        [{"path": ["name"], "kind": "text", "text": "\ud800"}],
        [{"path": ["name", "\udfff"], "kind": "text", "text": "x"}],
    ],
)
def test_a_change_must_have_its_form(page: Client, fish: str, changes: object) -> None:
    """What isn't a list of changes is refused before it reaches the order."""
    assert page.post(f"/orders/{fish}/changes", changes).status == 400
    assert page.ask(f"/orders/{fish}").status == page.ask("/orders").status == 200


def answered(desk: Desk, method: str, path: str, sent: bytes = b"") -> tuple[int, bytes]:
    """Ask a desk without a server around it; give status and body."""
    messages: list[Message] = []
    heads = {
        "host": "127.0.0.1:1",
        "cookie": "firstpull-1=k",
        "origin": "http://127.0.0.1:1",
        "x-firstpull": "1",
    }
    scope = {
        "type": "http",
        "method": method,
        "path": path,
        "query_string": b"",
        "headers": [(name.encode(), value.encode()) for name, value in heads.items()],
    }

    async def receive() -> Message:
        return {"type": "http.request", "body": sent}

    async def send(message: Message) -> None:
        messages.append(message)

    asyncio.run(make_app(desk, 1, "k")(scope, receive, send))
    return messages[0]["status"], messages[1]["body"]


def test_half_a_sign_can_be_told(tmp_path: Path) -> None:
    """However it came there, nobody is kept from seeing the orders by it."""
    desk = Desk(tmp_path, None, seconds=60.0, memory_mb=2000)
    order = desk.open([("one.svg", FISH)])
    order.trouble = ("\ud800",)
    for path in ("/orders", f"/orders/{order.key}"):
        status, body = answered(desk, "GET", path)
        assert status == 200
        assert b'"trouble":["\\ud800"]' in body


def test_files_that_cant_be_kept_are_told(tmp_path: Path) -> None:
    """A full disk is no fault of the files."""
    desk = Desk(tmp_path / "gone", None, seconds=60.0, memory_mb=2000)
    status, body = answered(desk, "POST", "/orders", b'[["a.svg", 1]]\n<')
    assert status == 507
    assert json.loads(body)["lines"][0].startswith("The files can't be kept: No such file")
    assert answered(desk, "GET", "/orders") == (200, b"[]")


def test_cancelling_keeps_the_last_result(page: Client, fish: str) -> None:
    """The worker ends, what was shown stays, and the next change is reckoned as ever."""
    before = page.ask(f"/orders/{fish}/result").body
    order = page.ask(f"/orders/{fish}/order.toml").body
    page.post(f"/orders/{fish}/changes", [{"path": PATH[2], "kind": "text", "text": "300 mm"}])
    state = page.post(f"/orders/{fish}/cancel").json
    state = page.idle(fish)
    assert (state["ended"], state["trouble"]) == ("cancelled", [])
    assert page.ask(f"/orders/{fish}/result").body == before
    assert page.ask(f"/orders/{fish}/order.toml").body == order
    page.post(f"/orders/{fish}/changes", [{"path": PATH[0], "kind": "text", "text": "#eeeeee"}])
    assert page.idle(fish)["ended"] == ""
    assert page.result(fish)["setups"][0]["garments"][0]["colour"] == "#eeeeee"


def test_what_a_cancelled_change_had_written_is_put_back(page: Client, fish: str) -> None:
    """Cancelled after the order's file was changed: file and result are as they were."""
    before = page.ask(f"/orders/{fish}/result").body
    order = page.ask(f"/orders/{fish}/order.toml").body
    for width in range(200, 240):
        page.post(
            f"/orders/{fish}/changes", [{"path": PATH[2], "kind": "text", "text": f"{width} mm"}]
        )
        until = time.monotonic() + 30.0
        while page.ask(f"/orders/{fish}/order.toml").body == order:
            assert time.monotonic() < until, f"{width} mm is never written into the order"
            time.sleep(0.002)
        page.post(f"/orders/{fish}/cancel")
        if page.idle(fish)["ended"] == "cancelled":
            break
        before = page.ask(f"/orders/{fish}/result").body  # it was faster
        order = page.ask(f"/orders/{fish}/order.toml").body
    else:
        pytest.fail("never cancelled in time")
    assert page.ask(f"/orders/{fish}/order.toml").body == order
    assert page.ask(f"/orders/{fish}/result").body == before


def test_events_tell_the_state_first_and_then_each_change(page: Client, fish: str) -> None:
    """Whoever comes late, or back, knows at once where things stand."""
    with socket.create_connection(("127.0.0.1", page.port)) as follows:
        follows.settimeout(20)
        follows.sendall(
            f"GET /orders/{fish}/events HTTP/1.1\r\nHost: 127.0.0.1:{page.port}\r\n"
            f"Cookie: firstpull-{page.port}={page.key}\r\n\r\n".encode()
        )

        got = b""

        def until(word: bytes) -> list[dict[str, object]]:
            nonlocal got
            while word not in got:
                part = follows.recv(65536)
                assert part, got
                got += part
            return [
                json.loads(line[6:])
                for line in got.decode().split("\r\n")
                if line.startswith("data: {")
                for line in line.strip().split("\n")
                if line.startswith("data: {")
            ]

        first = until(b"data: {")
        assert first[0]["key"] == fish
        page.post(f"/orders/{fish}/changes", [{"path": PATH[1], "kind": "text", "text": "13 %"}])
        until(b'"doing": "working"')
        page.idle(fish)
        assert until(b'"doing": ""')


def test_one_order_at_a_time_is_worked_on(page: Client) -> None:
    """A second order waits for its turn, and both come to their end."""
    keys = [page.drop((f"{n}.svg", FISH)).json["key"] for n in ("one", "two")]
    doing = {page.ask(f"/orders/{key}").json["doing"] for key in keys}
    assert "waiting" in doing
    for key in keys:
        assert page.idle(key)["ended"] == ""
        page.ask(f"/orders/{key}", method="DELETE")
        assert page.ask(f"/orders/{key}").status == 404


def test_a_port_in_use_is_told(page: Client) -> None:
    """One line, and what to do."""
    ended = subprocess.run(
        [sys.executable, "-m", "prep", "page", "--no-browser", "--port", str(page.port)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 2
    assert ended.stderr.count("\n") == 1
    assert f"--port {page.port}: can't be used: " in ended.stderr
    assert "leave --port out" in ended.stderr


def test_a_refusal_is_told_though_something_else_is_taken_right_after(
    page: Client, fish: str
) -> None:
    """Both are asked for at once, one by one: the refusal stands, and what was taken holds."""
    last = page.ask(f"/orders/{fish}").json["ends"][-1]["number"]
    wrong = [{"path": PATH[2], "kind": "text", "text": "wide"}]
    page.post(f"/orders/{fish}/changes", wrong)
    while page.ask(f"/orders/{fish}").json["doing"] == "waiting":
        time.sleep(0.002)
    page.post(f"/orders/{fish}/changes", [{"path": PATH[1], "kind": "text", "text": "17 %"}])
    state = page.idle(fish)
    assert b"17 %" in page.ask(f"/orders/{fish}/order.toml").body
    told = [(one["ended"], one["changes"]) for one in state["ends"] if one["number"] > last]
    assert ("refused", [{"path": PATH[2], "text": "wide"}]) in told
    assert ("", [{"path": PATH[1], "text": "17 %"}]) in told
    # taken at last, the refusal is gone
    page.post(f"/orders/{fish}/changes", wrong)
    page.post(f"/orders/{fish}/changes", [{"path": PATH[2], "kind": "text", "text": None}])
    state = page.idle(fish)
    assert (state["ended"], state["trouble"]) == ("", [])


def test_refusals_of_one_go_stand_until_their_setting_is_taken() -> None:
    """Told together at its end; a cancelled or failed piece of work is told alone."""
    a, b = Change(("a",), "text", "1"), Change(("b",), "text", "2")
    refused = End(1, "refused", (a,), ("a: no",))
    assert together([refused, End(2, "", (b,))]) == ("refused", ("a: no",))
    assert together([refused, End(2, "refused", (b,), ("b: no",))]) == (
        "refused",
        ("a: no", "b: no"),
    )
    assert together([refused, End(2, "", (a, b))]) == ("", ())
    assert together([End(1, "cancelled"), End(2, "", (b,))]) == ("", ())
    assert together([End(1, "", (b,)), End(2, "cancelled")]) == ("cancelled", ())


def test_ending_the_program_says_nothing_more(tmp_path: Path) -> None:
    """Ctrl-C while a page follows an order: the connection ends, and no trace is printed."""
    with subprocess.Popen(
        [sys.executable, "-m", "prep", "page", "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=tmp_path,
        text=True,
    ) as ended:
        assert ended.stdout is not None
        address = urlsplit(ended.stdout.readline().strip())
        assert address.port is not None
        client = Client(address.port, address.query.removeprefix("key="))
        key = client.drop(("fish.svg", FISH)).json["key"]
        client.idle(key)
        with socket.create_connection(("127.0.0.1", client.port)) as follows:
            follows.sendall(
                f"GET /orders/{key}/events HTTP/1.1\r\nHost: 127.0.0.1:{client.port}\r\n"
                f"Cookie: firstpull-{client.port}={client.key}\r\n\r\n".encode()
            )
            follows.settimeout(20)
            assert b"200 OK" in follows.recv(65536)
            ended.send_signal(signal.SIGINT)
            while follows.recv(65536):
                pass
        _, said = ended.communicate(timeout=20)
    assert "Traceback" not in said
    assert "Error" not in said
