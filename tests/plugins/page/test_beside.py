"""What lies beside the orders: pages, forms that are taken once, pictures and files."""

from __future__ import annotations

import asyncio
import threading
from pathlib import Path
from typing import Any

import pytest

from prep.errors import WorkStopped
from prep_page.beside import Asked, Beside, Sent
from prep_page.desk import Desk

from .conftest import FISH, Client

LOAD: dict[str, list[Any]] = {
    "load": [[["shirts"], "12"], [["water"], "30 g"], [["rail"], ""], [["fan"], "true"]],
    "pegs": [[["row"], [["left", "8", "true"], ["right", "", ""], ["", "", ""]]]],
}


def sent(key: str, typed: Any = LOAD, form: str = "hang", **more: Any) -> dict[str, Any]:
    """A form as the page sends it."""
    return {"at": [], "of": None, "form": form, "key": f"{key}-{'0' * 16}", "typed": typed, **more}


def loads(page: Client) -> list[list[str]]:
    """What is in the book."""
    section = page.ask("/views/rack").json["sections"][0]
    found: list[list[str]] = section["blocks"][0]["rows"]
    return found


def test_views_are_listed(page: Client) -> None:
    """Each with its name, and with the pages that are about an order."""
    told = page.ask("/views").json
    assert told["trouble"] == []
    (rack,) = [one for one in told["views"] if one["name"] == "rack"]
    assert rack["title"] == "Rack book"
    assert rack["of_order"] == [{"words": "Write down what hangs", "address": ["hang"]}]


def test_a_page_comes_with_fields_and_pictures(page: Client) -> None:
    """Fields are blank but for what is given; a picture may do nothing but be looked at."""
    told = page.ask("/views/rack").json
    assert told["title"] == "Rack book"
    (hang, again, _) = told["forms"]
    assert again["parts"] == []
    load, pegs = hang["parts"]
    fields = {one["label"]: one for one in load["fields"]}
    assert [one["value"] for one in fields.values()] == [""] * 6
    assert not fields["shirts"]["optional"]
    assert fields["notes"]["long"]
    assert not fields["water"]["long"]
    assert (fields["taken down"]["tick"], fields["fan"]["tick"]) == (True, False)
    assert pegs["fields"][0]["rows"] == [["left", "", ""], ["right", "", ""]]
    drawing = told["sections"][1]["blocks"][0]
    picture = page.ask(f"/view-pictures/{drawing['picture']}")
    assert b"#1f5a3c" in picture.body
    assert "sandbox" in picture.headers["content-security-policy"]
    assert page.ask("/view-pictures/..%2Frack").status == 404


def test_a_form_is_taken_once(page: Client) -> None:
    """Numbers are numbers, what is empty is left out; sent twice at once, it is entered once."""
    before = loads(page)
    slow = sent("once", {**LOAD, "load": [*LOAD["load"], [["notes"], "slowly"]]})
    came: list[Any] = []
    both = [
        threading.Thread(target=lambda: came.append(page.post("/views/rack", slow).json))
        for _ in range(2)
    ]
    for one in both:
        one.start()
    for one in both:
        one.join()
    number = str(len(before) + 1)
    assert [one["go"] for one in came] == [["load", number]] * 2
    assert sorted(one.get("again", False) for one in came) == [False, True]
    assert loads(page) == [*before, [number, "12"]]
    other = page.post("/views/rack", sent("once")).json
    assert (other["again"], other["same"]) == (True, False)
    told = page.ask(f"/views/rack?at=load&at={number}").json
    (section,) = told["sections"]
    assert section["blocks"][0]["text"] == (
        '{"shirts": 12, "water": "30 g", "fan": true, "notes": "slowly"}'
    )
    assert section["by"] == "rack"


@pytest.mark.parametrize(
    ("load", "row", "said"),
    [
        ("twelve", "8", 'load.shirts = "twelve": is not a number; write it like 12 or 0.5'),
        ("0", "8", "load.shirts: input should be greater than or equal to 1; mend it"),
        ("3", "-8", "pegs.row[2].after = -8: is before it hung"),
        ("3", "late", 'pegs.row[2].after = "late": is not a number; write it like 12 or 0.5'),
    ],
)
def test_what_cant_be_used_is_told_by_its_field(
    page: Client, load: str, row: str, said: str
) -> None:
    """Nothing is entered, and the line names the field."""
    before = loads(page)
    typed = {"load": [[["shirts"], load]], "pegs": [[["row"], [["left", "", ""], ["a", row, ""]]]]}
    answer = page.post("/views/rack", sent(f"wrong{load}{row}".replace("-", ""), typed))
    assert answer.json == {"lines": [said]}
    assert loads(page) == before


def test_a_form_of_before_is_refused(page: Client) -> None:
    """Fields that the form hasn't, or a form that the page hasn't."""
    for key, typed, form in (("old1", {"load": [[["socks"], "1"]]}, "hang"), ("old2", {}, "sock")):
        answer = page.post("/views/rack", sent(key, typed, form))
        assert answer.json["lines"][0].startswith("this form has changed since it was opened")


@pytest.mark.parametrize(
    "wrong",
    [
        {"key": "short"},
        {"key": f"../{'0' * 20}"},
        {"at": [""]},
        {"at": ["\ud800"]},
        {"of": 3},
        {"typed": []},
        {"typed": {"load": [[["shirts"], 12]]}},
        {"typed": {"load": [[[0], "12"]]}},
        {"typed": {"pegs": [[["row"], ["left"]]]}},
    ],
)
def test_what_is_no_form_is_refused(page: Client, wrong: dict[str, Any]) -> None:
    """Before anything is asked of the plugin."""
    assert page.post("/views/rack", sent("strange") | wrong).status == 400


def test_only_the_page_itself_sends_forms(page: Client) -> None:
    """Without its header or from elsewhere nothing is entered."""
    answer = page.ask("/views/rack", method="POST", body=b"{}", headers={"X-Firstpull": None})
    assert answer.status == 403
    answer = page.ask("/views/rack", method="POST", body=b"{}", headers={"Origin": "http://a.b"})
    assert answer.status == 403
    assert page.ask("/views/rack", method="POST", body=b"x" * 1_000_001).status == 413


def test_pages_that_arent_there_are_told(page: Client) -> None:
    """A page of no view, one that the view hasn't, one of a newer version, and a plugin's fault."""
    assert page.ask("/views/rock").json["lines"][0].startswith("nothing of this name")
    newer = page.ask("/views/rack?at=newer").json
    assert newer == {"lines": ["the book is of a newer version; bring Firstpull up to date"]}
    broken = page.ask("/views/rack?at=broken")
    assert broken.status == 500
    assert "plugin rack: failed in view rack: ZeroDivisionError: no rack" in broken.json["lines"][0]


def test_files_are_there_to_save(page: Client) -> None:
    """Under the key of the form they came of, and under no other."""
    form = sent("files", {}, "list")
    came = page.post("/views/rack", form).json
    assert came["files"][0]["name"] == "rack/list.txt"
    file = page.ask(f"/view-files/{form['key']}/rack/list.txt")
    assert file.body.endswith(b" loads\n")
    assert file.headers["content-disposition"] == "attachment; filename*=UTF-8''list.txt"
    assert page.ask(f"/view-files/{'1' * 20}/rack/list.txt").status == 404
    assert page.ask(f"/view-files/{form['key']}/..%2F..%2F..%2Fprep_rack.py").status == 404


def test_an_order_is_laid_open(page: Client) -> None:
    """As if its files had been dropped."""
    came = page.post("/views/rack", sent("opens", {}, "again")).json
    state = page.idle(came["opens"])
    assert (state["name"], state["ended"]) == ("Rack fish", "")
    page.ask(f"/orders/{came['opens']}", method="DELETE")


def test_a_page_about_an_order_waits_for_it_and_others_dont(page: Client, fish: str) -> None:
    """The book answers while an order is worked out; what is about the order comes after that."""
    key = page.drop(("late.svg", FISH)).json["key"]
    assert page.ask("/views/rack").status == 200
    assert page.ask(f"/orders/{key}").json["doing"]
    told = page.ask(f"/views/rack?at=hang&of={key}").json
    assert not page.ask(f"/orders/{key}").json["doing"]
    assert told["title"] == "late on the rack"
    assert told["forms"][0]["parts"][0]["fields"][-1]["value"] == "late"
    came = page.post("/views/rack", sent("hung") | {"at": ["hang"], "of": key}).json
    assert came["said"][0].endswith("is in the book.")
    page.ask(f"/orders/{key}", method="DELETE")
    assert page.ask(f"/views/rack?at=hang&of={key}").status == 404
    # without an order it can't be shown, and no other page is handed one
    assert page.ask("/views/rack?at=hang").json["lines"][0].startswith("no order lies open")
    assert page.ask(f"/views/rack?of={fish}").json["title"] == "Rack book"


def test_orders_that_lie_open_tell_that_more_was_learnt_since(page: Client, fish: str) -> None:
    """By a large load alone; worked out again, they are up to date."""
    assert not page.ask(f"/orders/{fish}").json["learnt_since"]
    page.post("/views/rack", sent("small", {"load": [[["shirts"], "12"]]}))
    assert not page.ask(f"/orders/{fish}").json["learnt_since"]
    page.post("/views/rack", sent("large", {"load": [[["shirts"], "60"]]}))
    assert page.ask(f"/orders/{fish}").json["learnt_since"]
    page.post(f"/orders/{fish}/changes", [{"path": ["name"], "kind": "number", "text": "x"}])
    assert page.idle(fish)["learnt_since"]  # refused, it is as it was
    page.post(f"/orders/{fish}/changes", [])
    assert not page.idle(fish)["learnt_since"]


def test_a_page_that_takes_too_long_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a form it is said that nobody knows whether it was entered."""
    beside = Beside(
        Desk(tmp_path, None, seconds=9.0, memory_mb=2000), tmp_path / "b", None, memory_mb=2000
    )

    def stopped(*_: object, **__: object) -> None:
        raise WorkStopped("stopped after 120 s without a result", do="simplify the drawing")

    monkeypatch.setattr("prep_page.beside.Guard.converse", stopped)
    asked = Asked("rack", ())
    shown = asyncio.run(beside.page(asked))
    assert (shown.status, shown.told) == (
        500,
        {"lines": ["it stopped after 120 s without a result"]},
    )
    taken = asyncio.run(beside.take(Sent(asked, "hang", "k" * 20, {})))
    assert taken.told["lines"] == [
        "it stopped after 120 s without a result; whether it was entered isn't known: look for it"
        " before you send it again"
    ]
