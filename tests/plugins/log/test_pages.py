"""The log's pages: what each shows, and what its forms take and refuse."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import tomllib
from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any, get_args

import pytest

from prep.errors import InputError
from prep.line import open_line
from prep.request import Request
from prep.views import Address, Place
from prep_log.store import Figure, New, Store, reading, writing
from tests.plugins.log.made import DAY, made_run
from tests.plugins.log.shown import blocks, form, given, log_of, page, refused, said, take, view

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">'
    '<path d="M5 30Q20 2 50 20L70 8V52L50 40Q20 58 5 30Z" fill="#1f5a3c"/></svg>'
)
ORDER = """
name = "Otters"
[[print]]
artwork = "otter.svg"
[[print.colour]]
hex = "#1f5a3c"
ink = "pond green"
[[garment]]
colour = "#ffffff"
fibre = "100 % cotton"
sizes = { M = 12 }
"""


def with_run(shop: Path) -> None:
    with writing(log_of(shop)) as store:
        store.add(made_run().new())


SEEN: dict[str, Any] = {
    "day": "2026-11-02",
    "ink": [{"ink": "deep blue", "mixed": "60 g", "left": "21 g"}, {"ink": "white"}],
    "shirts_spoilt": 1,
    "filled_in": [{"screen": "base", "where": "the eye", "from_shirt": 12}, {}],
    "wash_test": "40 C, sound",
}


def test_an_empty_log(shop: Path) -> None:
    shown = page(shop)
    assert said(shown).startswith("The log has no entries.")
    assert (shown.links, shown.forms) == ((), ())
    assert not log_of(shop).exists()


def test_a_list_of_one_leads_to_the_run(shop: Path) -> None:
    with_run(shop)
    shown = page(shop)
    assert said(shown) == "1 | 2026-11-02 | run | Tide tables"
    assert [(link.words, link.address) for link in shown.links] == [
        ("1: run, Tide tables, 2026-11-02", ("entry", "1"))
    ]
    run = page(shop, "entry", "1")
    assert run.title == "1: run, Tide tables, 2026-11-02"
    told = said(run)
    assert "predicted by Firstpull 0.1.0" in told
    assert "ink per print | deep blue, front, 280 mm, on dark | 1.5 g | 1 – 2.25" in told
    assert [one.name for one in run.forms] == ["seen", "note", "again"]
    assert given(run, "seen") == {
        "day": "2026-11-02",
        "ink": [{"ink": "deep blue"}, {"ink": "white"}],
    }


def test_sixty_entries_lie_on_two_pages(shop: Path) -> None:
    with writing(log_of(shop)) as store:
        store.add_all(
            (replace(made_run(), day=DAY - timedelta(back)).new(), None) for back in range(60)
        )
    first, second = page(shop), page(shop, "older", "2")
    numbers = [[row[0] for row in b.rows] for p in (first, second) for b in blocks(p)]  # type: ignore[union-attr]  # tables
    assert numbers == [[str(n) for n in range(1, 51)], [str(n) for n in range(51, 61)]]
    assert (first.links[-1].words, first.links[-1].address) == ("Older entries", ("older", "2"))
    assert (second.links[-1].words, second.links[-1].address) == ("Newer entries", ())
    assert len(first.links) == 51


@pytest.mark.parametrize(
    "address",
    [
        ("older", "2"),
        ("older", "0"),
        ("older", "²"),
        ("entry", "7"),
        ("entry", "x"),
        ("entry", "99999999999999999999"),
        ("entry",),
        ("enter", "1"),
        ("enter",),
        ("lost",),
    ],
)
def test_pages_that_arent_there(shop: Path, address: Address) -> None:
    with_run(shop)
    with pytest.raises(InputError) as error:
        page(shop, *address)
    assert len(error.value.lines()) == 1


EVERY_PAGE: list[tuple[str, Address]] = [
    ("log", ()),
    ("log", ("entry", "1")),
    ("readings", ()),
    ("readings", ("learnt",)),
    ("agreement", ()),
]


@pytest.mark.parametrize(("of", "address"), EVERY_PAGE)
def test_a_log_of_a_newer_version(shop: Path, of: str, address: Address) -> None:
    with_run(shop)
    with closing(sqlite3.connect(log_of(shop))) as raw:
        raw.execute("PRAGMA user_version = 99")
    with pytest.raises(InputError, match="was written by a newer version of Firstpull"):
        page(shop, *address, of=of)


@pytest.mark.parametrize(("of", "address"), EVERY_PAGE)
def test_pages_of_a_log_that_is_held(
    shop: Path, monkeypatch: pytest.MonkeyPatch, of: str, address: Address
) -> None:
    with_run(shop)
    monkeypatch.setattr("prep_log.store.WAIT_S", 0.0)
    with closing(sqlite3.connect(log_of(shop), isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(InputError, match="another program has held it"):
            page(shop, *address, of=of)
    page(shop, *address, of=of)


def test_a_form_sent_while_the_log_is_held(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with_run(shop)
    shown = page(shop, "entry", "1")
    monkeypatch.setattr("prep_log.store.WAIT_S", 0.0)
    with closing(sqlite3.connect(log_of(shop), isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        assert "another program has held it" in refused(shown, "note", day="2026-11-03", text="x")
    take(shown, "note", day="2026-11-03", text="x")


def test_what_was_seen_is_entered_and_corrected(shop: Path) -> None:
    with_run(shop)
    taken = take(page(shop, "entry", "1"), "seen", **SEEN)
    assert taken.said == ("Entered as 2: what was seen in Tide tables.",)
    assert taken.go == ("entry", "1")
    told = said(page(shop, "entry", "1"))
    assert "ink mixed | deep blue | 60 g" in told
    assert "filled in on base: the eye, from shirt 12 on" in told
    shown = page(shop, "entry", "2")
    assert ("Run 1: Tide tables", ("entry", "1")) in [(x.words, x.address) for x in shown.links]
    # the form has what stands there, and taken as it is gives the same once more
    was = dict(given(shown, "seen"))
    assert was == {
        **SEEN,
        "ink": [{"ink": "deep blue", "mixed": "60.0 g", "left": "21.0 g"}, {"ink": "white"}],
        "filled_in": SEEN["filled_in"][:1],
    }
    was["shirts_spoilt"] = 2
    assert take(shown, "seen", **was).said[0].startswith("Entry 2 was corrected")
    told = said(page(shop, "entry", "2"))
    assert told.index("shirts spoilt |  | 2 shirts") < told.index("shirts spoilt |  | 1 shirts")
    assert "wash test: 40 C, sound" in told
    assert "2 | 2026-11-02 | what was seen in run 1, corrected" in said(page(shop))
    with reading(log_of(shop)) as store:
        (entry,) = store.entries("seen")
        assert (entry.number, entry.times, entry.body["spoilt"]) == (2, 2, 2)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"ink": [{"ink": "deep blue", "mixed": "-3 g"}]}, 'seen.ink[1].mixed: "-3 g" must not'),
        ({"ink": [{"ink": "deep blue", "mixed": "3 g", "left": "4 g"}]}, "4 g left of 3 g mixed"),
        ({"shirts_spoilt": 2.5}, "seen.shirts_spoilt = 2.5: must be a whole number"),
        ({"filled_in": [{"screen": "base"}]}, "seen.filled_in[1].where: is missing"),
        ({"filled_in": [{"screen": "red", "where": "x"}]}, 'screen "red": isn\'t of this run'),
        ({"day": "2.11."}, "seen.day"),
        ({"day": (date.today() + timedelta(1)).isoformat()}, "lies ahead"),
        ({"ink": [], "shirts_spoilt": None, "filled_in": [], "wash_test": ""}, "nothing is filled"),
    ],
)
def test_what_cant_have_been_seen(shop: Path, changed: dict[str, Any], told: str) -> None:
    with_run(shop)
    typed = {k: v for k, v in {**SEEN, **changed}.items() if v not in (None, "")}
    assert told in refused(page(shop, "entry", "1"), "seen", **typed)
    with reading(log_of(shop)) as store:
        assert store.count() == 1


def test_photos_that_cant_be_there_are_entered_and_told(shop: Path) -> None:
    with_run(shop)
    photos = ["~nosuchuser/p.jpg", "x" * 300, "a\0b"]
    taken = take(page(shop, "entry", "1"), "seen", day="2026-11-02", photos=photos)
    assert [line.partition(": ")[2] for line in taken.said[1:]] == [
        "no such photo is there now; its name was entered all the same."
    ] * 3
    with reading(log_of(shop)) as store:
        assert store.entry(2).body["photos"] == photos
    told = refused(page(shop, "entry", "1"), "seen", day="2026-11-02", photos=["x" * 5000])
    assert "photos[1]" in told


def test_a_weight_counts_once_though_two_enter_it_at_once(shop: Path) -> None:
    """Between holding it against the log and adding it no other program can add anything."""
    with_run(shop)
    waits: list[str] = []

    def another(store: Store, *_: object) -> None:
        with closing(sqlite3.connect(log_of(shop), isolation_level=None, timeout=0)) as other:
            try:
                other.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError as error:
                waits.append(str(error))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("prep_log.entering._check_once", another)
        take(page(shop, "entry", "1"), "seen", **SEEN)
    assert waits == ["database is locked"]


def test_a_weight_counts_once(shop: Path) -> None:
    with_run(shop)
    take(page(shop, "entry", "1"), "seen", **SEEN)
    told = refused(page(shop, "entry", "1"), "seen", **SEEN)
    assert (
        "ink mixed of deep blue stands in entry 2 already; take it out, or correct entry 2" in told
    )


def test_notes(shop: Path) -> None:
    with_run(shop)
    shown = page(shop, "entry", "1")
    assert "the note is empty" in refused(shown, "note", day="2026-11-03")
    assert "note.day: is missing" in refused(shown, "note", text="slow")
    take(shown, "note", day="2026-11-03", text="slow flash")
    shown = page(shop, "entry", "2")
    assert given(shown, "note") == {"day": "2026-11-03", "text": "slow flash"}
    take(shown, "note", day="2026-11-03", text="slow flash, cold shop")
    assert "slow flash, cold shop" in said(page(shop, "entry", "1"))
    with reading(log_of(shop)) as store:
        assert [(e.number, e.times) for e in store.entries("note")] == [(2, 2)]


def test_all_entries_to_take_along(shop: Path) -> None:
    with_run(shop)
    taken = form(page(shop), "export").take({})
    (file,) = taken.files
    assert file.name == f"log-{date.today().isoformat()}.jsonl"
    assert json.loads(file.data)["name"] == "Tide tables"


def test_print_it_again(shop: Path, tmp_path: Path) -> None:
    """Its stencils are told of, and what was entered since; what was known then isn't, whatever its day."""
    drawing = tmp_path / "tide.svg"
    drawing.write_text(DRAWING)
    run = made_run(drawing, hashlib.sha256(drawing.read_bytes()).hexdigest())
    since = {"of": "shirts weighed", "mesh": "43-80", "shirts": 3, "gain_g": 10.8, "strokes": 2}
    steps = [{"size": 0.8, "tried": 2, "held": 1}, {"size": 1.4, "tried": 2, "held": 2}]
    known = {"of": "stroke", "mesh": "43-80", "after_pulls": 50, "piece": "a", "steps": steps}
    since |= {"at_full_g": 4.0, "readability_g": 0.0}

    def reading_of(body: dict[str, Any]) -> New:
        return replace(run.new(), kind="reading", day=date(2026, 11, 3), body=body, figures=())

    with writing(log_of(shop)) as store:
        number = 2
        store.add(replace(reading_of(known), recorded_at="2026-11-02T08:00:00.000Z"))
        store.add(replace(run.new(), recorded_at="2026-11-02T09:00:00.000Z"))
        store.add(reading_of(since))
    shown = page(shop, "entry", str(number))
    taken = take(shown, "again")
    assert not any("fill_in.stroke" in line for line in taken.said)
    assert taken.opens is not None
    try:
        order = tomllib.loads((taken.opens / "order.toml").read_text())
        assert order["print"][0]["artwork"] == "tide.svg"
        assert (taken.opens / "tide.svg").read_text() == DRAWING
    finally:
        shutil.rmtree(taken.opens)
    assert taken.said[1].startswith("Stencil 01-deep-blue: 24 pulls in 1 run")
    assert taken.said[-1].startswith("Learnt since: ink.transfer, ")
    assert taken.said[-1].endswith("measured here on 2026-11-03, n = 3.")
    # changed since: asked about, and taken so if ticked
    drawing.write_text(DRAWING + " ")
    assert "was changed since" in refused(shown, "again")
    taken = take(shown, "again", changed_drawing=True)
    assert taken.opens is not None
    assert (taken.opens / "tide.svg").read_text() == DRAWING + " "
    shutil.rmtree(taken.opens)
    drawing.unlink()
    assert "isn't there any more" in refused(shown, "again", changed_drawing=True)


def test_the_order_that_lies_open_is_entered(shop: Path, tmp_path: Path) -> None:
    """With copies of its files: those on the page go when it ends."""
    opened = tmp_path / "opened"
    opened.mkdir()
    (opened / "otter.svg").write_text(DRAWING)
    (opened / "order.toml").write_text(ORDER)
    (link,) = view().of_order
    with open_line(Request(opened / "order.toml", shop=shop)) as line:
        shown = view().show(link.address, Place(shop, line))
        (part,) = form(shown, "run").parts
        (stem,) = get_args(get_args(part.model.model_fields["kept"].annotation)[0])
        assert part.about == f"The stencils of this run: {stem} prints pond green."
        assert "lies ahead" in refused(shown, "run", day="2999-01-01")
        assert "the log has no entry 5" in refused(shown, "run", day="2026-11-02", corrects=5)
        assert "isn't a stencil of this run" in refused(shown, "run", day="2026-11-02", kept=["9"])
        taken = take(shown, "run", day="2026-11-02", kept=[stem])
    assert taken.said == ("Entered as run 1: Otters, 2026-11-02.",)
    assert taken.go == ("entry", "1")
    shutil.rmtree(opened)
    assert "(kept)" in said(page(shop, "entry", "1"))
    again = take(page(shop, "entry", "1"), "again")
    assert again.opens is not None
    (drawing,) = again.opens.glob("*.svg")
    assert drawing.read_text() == DRAWING
    shutil.rmtree(again.opens)


def test_a_run_without_screens_and_figures_is_shown(shop: Path) -> None:
    (setup,) = made_run().setups
    figures = (Figure("hours", "h", 5.0), Figure("stays open", "share", 0.975))
    run = made_run(setups=(replace(setup, screens=()),), figures=figures)
    with writing(log_of(shop)) as store:
        store.add(run.new())
    told = said(page(shop, "entry", "1"))
    assert "hours |  | 5 h" in told
    assert "stays open |  | 97.5 %" in told
