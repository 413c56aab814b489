"""``prep price`` as it is typed: words, JSON, changes, exit statuses, and the pages it stands on."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from prep.cli import run
from prep.line import open_line
from prep.request import Request
from prep_sheet.documents import customer_page_of, sheet_of

ART = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 80 40" width="80mm" height="40mm">'
    '<path fill="#1f3a5f" d="M0 0H80V20H0z"/>{more}</svg>'
)
RED = '<path fill="#d9472f" d="M0 25H40V38H0z"/>'
ORDER = """
name = "Tide tables"
[[print]]
artwork = "art.svg"
width = "80 mm"
[[print.colour]]
hex = "#d9472f"
ink = "signal red"
[[garment]]
name = "tee"
sizes = { S = 4, M = 12 }
[[garment]]
name = "bag"
sizes = { "one size" = 8 }
"""
ALL = """
[price]
currency = "EUR"
hour = 20
garments = 3
ink_per_kg = 30
film_per_m = 5
screen = 1.5
wear_per_pull = 0.01
"""


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two colours, two garments of three sizes, and a shop with prices."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "art.svg").write_text(ART.format(more=RED))
    (tmp_path / "one.svg").write_text(ART.format(more=""))
    (tmp_path / "order.toml").write_text(ORDER)
    (tmp_path / "all.toml").write_text(ALL)
    (tmp_path / "screens.toml").write_text("[price]\nscreen = 10\n")
    return tmp_path


def made(capsys: pytest.CaptureFixture[str], *typed: str) -> dict[str, Any]:
    assert run(["price", *typed, "--json"]) == 0
    document: dict[str, Any] = json.loads(capsys.readouterr().out)
    return document


def test_only_screens_are_priced(capsys: pytest.CaptureFixture[str]) -> None:
    """Two at 10: 20 for 24 shirts. 24 more don't change it, so each is half as dear; one less is 10."""
    told = made(capsys, "order.toml", "--shop", "screens.toml", "--more", "24")
    assert (told["total"], told["good_shirts"], told["complete"]) == (20.0, 24, False)
    assert told["per_shirt"] == pytest.approx(20 / 24, abs=1e-4)
    more, less = told["changes"]
    assert (more["total"], more["difference"], more["good_shirts"]) == (20.0, 0.0, 48)
    assert more["per_shirt_difference"] == pytest.approx(20 / 48 - 20 / 24, abs=1e-4)
    assert (less["total"], less["difference"], less["good_shirts"]) == (10.0, -10.0, 24)
    assert (less["difference_low"], less["difference_high"]) == (-10.0, -10.0)
    assert "#d9472f, which prints least, is printed as #1f3a5f" in less["what"]
    assert {one["set"] for one in told["not_priced"]} >= {"price.hour", "price.film_per_m"}


def test_changes_are_what_the_changed_orders_cost(capsys: pytest.CaptureFixture[str]) -> None:
    """30 more, and one colour less, are told as these orders are by themselves; each is cheaper a shirt."""
    typed = ("art.svg", "--shop", "all.toml", "--garment", "#ffffff", "--width", "80 mm")
    told = made(capsys, *typed, "--shirts", "20", "--more", "30")
    more, less = told["changes"]
    keys = ("total", "total_low", "total_high", "per_shirt", "good_shirts")
    fifty = made(capsys, *typed, "--shirts", "50")
    assert [more[key] for key in keys] == [fifty[key] for key in keys]
    joined = made(capsys, *typed, "--shirts", "20", "--set", "colour.#d9472f.print_as=#1f3a5f")
    assert [less[key] for key in keys] == [joined[key] for key in keys]
    assert more["per_shirt_difference_high"] < 0
    assert more["difference_low"] > 0
    assert less["difference_high"] < 0
    assert joined["changes"][1]["why_not"] == "There is none to spare: it prints a single colour."
    assert joined["changes"][1]["total"] is None


def test_the_document_has_its_keys(capsys: pytest.CaptureFixture[str]) -> None:
    told = made(capsys, "order.toml", "--shop", "all.toml")
    assert told["schema"] == "firstpull.price/1"
    assert list(told) == [
        *("schema", "order", "setups", "currency", "good_shirts"),
        *("total", "total_low", "total_high", "per_shirt", "per_shirt_low", "per_shirt_high"),
        *("complete", "parts", "items", "not_priced", "notes", "changes"),
    ]
    assert (told["order"], told["currency"], told["complete"]) == ("Tide tables", "EUR", True)
    assert [part["part"] for part in told["parts"]] == [
        "garments", "ink", "film", "screens", "wear", "work",
    ]  # fmt: skip
    assert sum(part["cost"] for part in told["parts"]) == pytest.approx(told["total"], abs=1e-3)
    assert sum(part["share"] for part in told["parts"]) == pytest.approx(1.0, abs=1e-3)
    assert all(one["cost_low"] <= one["cost"] <= one["cost_high"] for one in told["parts"])
    assert sum(item["cost"] for item in told["items"]) == pytest.approx(told["total"], abs=1e-3)
    assert {item["what"] for item in told["items"]} >= {"tee", "tee, spoilt", "bag", "signal red"}
    assert told["total_low"] < told["total"] < told["total_high"]
    assert [change["good_shirts"] for change in told["changes"]] == [74, 24]


def test_it_is_told_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["price", "order.toml", "--shop", "all.toml", "--more", "1"]) == 0
    text = capsys.readouterr().out
    for words in (
        "WHAT IT COSTS",
        "Each of 24 good shirts",
        "Amounts are in EUR",
        "1 shirt more",
        "One colour less: #d9472f",
        "taxes, law",
    ):
        assert words in text
    assert "Not priced" not in text
    assert "not reckoned" not in text


def test_nothing_priced_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """What goes in is told all the same, with the keys; no change is worked through."""
    assert run(["price", "one.svg", "--shirts", "20"]) == 0
    text = capsys.readouterr().out
    assert "nothing is assumed in its place" in text
    assert "Not priced: hours of work. State price.hour in shop.toml." in text
    assert "50 shirts more: not reckoned. No price is stated." in text
    told = made(capsys, "one.svg", "--shirts", "20")
    assert (told["total"], told["per_shirt"], told["currency"]) == (None, None, None)
    assert [change["why_not"] for change in told["changes"]] == ["No price is stated."] * 2


def test_a_change_that_can_not_be_worked_says_why(capsys: pytest.CaptureFixture[str]) -> None:
    """More than a garment can be ordered of; and an order that names the colour it would do without."""
    Path("order.toml").write_text(
        '[[print]]\nartwork = "art.svg"\n[[garment]]\nsizes = { M = 20 }\n'
        '[sequence]\norder = ["#d9472f"]\n'
    )
    typed = ("order.toml", "--shop", "screens.toml", "--more", "1000000")
    more, less = made(capsys, *typed)["changes"]
    assert more["why_not"] == (
        "That order can't be worked: size M: 1000020: must be at most 1000000."
    )
    assert less["why_not"].startswith("That order can't be worked: ")
    assert "#d9472f" in less["why_not"]
    assert (more["total"], less["total"]) == (None, None)
    assert run(["price", *typed]) == 0
    assert "One colour less: not reckoned. That order" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("--more", "0"), '"0" is no count of shirts from 1 to 1000000'),
        (("--more", "many"), '"many" is no count of shirts'),
        (("--set", "price.hour=-3"), "must be at least 0"),
        (("--set", "price.hours=3"), "did you mean price.hour?"),
        (("--shop", "both.toml"), "say each (for each shirt ordered) or once"),
    ],
)
def test_bad_input_is_refused_in_one_line(
    typed: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("both.toml").write_text('[[price.other]]\nwhat = "label"\neach = 1\nonce = 2\n')
    assert run(["price", "order.toml", *typed]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert said in line


def test_prices_in_force_are_read_again(capsys: pytest.CaptureFixture[str]) -> None:
    """The order with every setting in force costs the same."""
    (Path("all.toml")).write_text(
        ALL + '[price.garment]\n"bag" = 2.5\n[[price.other]]\nwhat = "carton"\nonce = 6\n'
    )
    told = made(capsys, "order.toml", "--shop", "all.toml")
    with open_line(Request(Path("order.toml"), shop=Path("all.toml"))) as line:
        Path("again.toml").write_text(line.loaded.in_force(), encoding="utf-8")
    again = made(capsys, "again.toml")
    assert again["items"] == told["items"]
    assert {"what": "carton", "cost": 6.0}.items() <= told["items"][-1].items()


def test_customers_never_see_it() -> None:
    """It stands on the job page, and on no page for the customer; without prices nowhere."""
    with open_line(Request(Path("order.toml"), shop=Path("all.toml"))) as line:
        (report,) = line.reports()
    told = [section for section in report.sections if section.by == "price"]
    assert [section.chapter for section in told] == ["job", "why"]
    assert "What it costs" in _words(sheet_of((report,)).data)
    assert "cost" not in _words(customer_page_of((report,)).data).lower()
    with open_line(Request(Path("order.toml"))) as line:
        (report,) = line.reports()
    told = [section for section in report.sections if section.by == "price"]
    assert [section.chapter for section in told] == ["why"]
    assert "What it costs" not in _words(sheet_of((report,)).data)


def _words(pdf: bytes) -> str:
    with pdfplumber.open(io.BytesIO(pdf)) as pages:
        return "\n".join(page.extract_text() for page in pages.pages)
