"""The form for readings and what was learnt, as the page has them; predicted against weighed."""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError
from prep.sections import Drawing
from prep.sections import Table as Shown
from prep.tables import Table
from prep.views import EntryForm, Place, ViewPage
from prep_drying.settings import MeasuredIn
from prep_log import prep_learnt
from prep_log.entries import USED_UP, InkSeen, Seen
from prep_log.reading_fields import Head
from prep_log.readings_form import read_readings
from prep_log.store import Figure, New, reading, writing
from prep_test_piece import prep_views as piece_views
from prep_test_piece.form import Printed
from prep_test_piece.form import form as toml_form
from prep_test_piece.geometry import piece
from tests.plugins.log.made import made_run
from tests.plugins.log.shown import form, log_of, page, refused, said, take

PIECE = ("piece", "43-80", "white")
HELD_FROM = 1.0
"""An invented truth: what is at least as wide holds."""


def shown(shop: Path) -> ViewPage:
    return page(shop, *PIECE, of="readings")


def filled(shop: Path) -> dict[str, dict[str, Any]]:
    """Give what is typed into all fields: what stands there, and what was counted by one rule."""
    parts = {part.key: part for part in form(shown(shop), "readings").parts}
    typed = {key: deepcopy(dict(part.given)) for key, part in parts.items()}
    typed["head"] |= {"day": "2026-03-04", "climate": ["still room"], "readability": "0.1 g"}
    for key in ("lines", "strips", "islands", "corners"):
        row = parts[key].model.model_fields["step"].annotation.__args__[0]  # type: ignore[union-attr]  # a tuple of rows
        columns = [name for name in row.model_fields if name not in ("size", "tried")]
        for step in typed[key]["step"]:
            held = float(step["size"].split()[0]) >= HELD_FROM
            step |= dict.fromkeys(columns, step["tried"] if held else 0)
    for dot in typed["waits"]["dots"]:
        dot["printed"] = dot["tried"] if int(dot["wait"].split()[0]) <= 4 else 0
    typed["screen"] |= {"area": "400 cm2"}
    for one, grams in zip(typed["screen"]["readings"], (1412.0, 1411.5, 1411.2), strict=True):
        one["grams"] = grams
    typed["shirts"] |= {"before": "430 g", "after": "432.1 g", "at_full": "0.64 g"}
    return typed


def told_no(one: EntryForm, typed: Mapping[str, Mapping[str, Any]]) -> str:
    with pytest.raises(InputError) as error:
        one.take(typed)
    return "\n".join(error.value.lines())


def test_nothing_was_read_yet(shop: Path) -> None:
    first = page(shop, of="readings")
    assert said(first) == "Nothing was read yet: every limit and figure is the usual one."
    assert [link.address for link in first.links] == [("register",)]
    assert "Nothing was read yet" in said(page(shop, "learnt", of="readings"))
    assert "Nothing was both predicted and weighed" in said(page(shop, of="agreement"))
    assert "piece.mesh: no mesh is named; choose one" in refused(first, "piece", ink="white")
    taken = take(first, "piece", mesh="43-80", ink="white")
    assert taken.go == PIECE


def test_what_isnt_understood_is_told(shop: Path) -> None:
    with writing(log_of(shop)) as store:
        store.add(New("reading", date(2026, 3, 4), "piece", {"of": "shirts weighed"}))
    told = said(page(shop, "learnt", of="readings"))
    assert "Nothing was read yet" in told
    assert "entry 1 of the log isn't understood, and isn't used: lacks 'shirts'." in told
    assert "isn't understood, and isn't used" in said(page(shop, "entry", "1"))
    assert page(shop, "entry", "1").forms == ()


@pytest.mark.parametrize("typed", [5, {"row": 5}, {"moon": {}}, {"screen_weighed": {}}])
def test_a_reading_typed_otherwise_is_shown_without_a_form(shop: Path, typed: Any) -> None:
    body = {"of": "shirts weighed", "shirts": 3, "gain_g": 5.0, "at_full_g": 4.0, "typed": typed}
    with writing(log_of(shop)) as store:
        store.add(New("reading", date(2026, 3, 4), "piece", body))
    shown = page(shop, "entry", "1")
    assert "gain g: 5" in said(shown)
    assert shown.forms == ()


def test_a_whole_piece_says_what_its_toml_form_says(shop: Path, tmp_path: Path) -> None:
    """The same counts, typed into either, give the same readings in the log."""
    taken = form(shown(shop), "readings").take(filled(shop))
    assert taken.said[0] == "Entered 16 readings: test piece 43-80, 2026-03-04."
    assert taken.go == ("learnt",)
    printed = Printed("43-80", "white", 0.1, 0.64, 40_000.0)
    file = tmp_path / "readings.toml"
    file.write_text(_by_hand(toml_form(piece(), printed, "test piece 43-80")))
    read = [one.body for one in read_readings(file, date(2026, 3, 11))]
    with reading(log_of(shop)) as store:
        stand = [one.body for one in reversed(store.readings())]

    def bare(bodies: list[Any]) -> list[Any]:
        plain = [{k: v for k, v in body.items() if k != "typed"} for body in bodies]
        return sorted(plain, key=lambda body: (body["of"], body.get("after_pulls", 0)))

    assert bare(stand) == bare(read)


def _by_hand(text: str) -> str:
    """Fill the form in by the same rule: lines not lifted out were not tried on the cloth."""
    of, lines = "", []
    grams = iter(("1412.0", "1411.5", "1411.2"))
    for line in text.splitlines():
        if not line.startswith("# "):
            lines.append(line)
            continue
        line = line.removeprefix("# ")
        if line.startswith("of = "):
            of = line.split('"')[1]
        if "size =" in line:
            size = float(line.split('"')[1].split()[0])
            holds = size >= HELD_FROM
            if of == "stroke" and not holds:
                continue
            line = line.replace("?", "2" if holds else "0")
        elif "wait =" in line:
            line = line.replace("?", "2" if int(line.split('"')[1].split()[0]) <= 4 else "0")
        for key, answer in (
            ("day", "2026-03-04"),
            ("measured_in", '{ climate = "still room" }'),
            ("grams", f"[{', '.join(grams)}]" if line.startswith("grams") else ""),
            ("before", '"430 g"'),
            ("after", '"432.1 g"'),
        ):
            if line.startswith(f"{key} = "):
                line = f"{key} = {answer}"
        lines.append(line)
    return "\n".join(lines)


def test_what_was_learnt_is_told_with_its_interval(shop: Path) -> None:
    form(shown(shop), "readings").take(filled(shop))
    rows = learnt_rows(shop)
    assert "| at risk below 1.5 mm, fails below 1 mm | at risk below" in rows["fill_in.strip"]
    assert " min (" in rows["drying.open_cleared"]
    _, usual, here, rests = rows["ink.transfer"].split(" | ")
    assert usual == "0.9 (0.5 to 1.4)"
    assert "(" in here
    assert rests == "measured here on 2026-03-04, n = 3"
    low, value, high = _range(rows["fill_in.stroke"].split("fails below ")[-1])
    # lines lift out from 1 mm on, and no smaller one was tried on the cloth: all six of 1 mm and more held
    assert low < value < high < 1.0
    assert set(rows) >= {"fill_in.weeding", "fill_in.gap", "drying.weighed", "drying.open_cleared"}
    assert "isn't in stock" not in said(page(shop, "learnt", of="readings"))
    whole = shop.read_text()
    shop.write_text(f'{whole}[[mesh]]\nname = "77-55"\ncount = "77/cm"\nthread = "55 um"\n')
    told = said(page(shop, "learnt", of="readings"))
    assert 'ink.transfer was measured with mesh "43-80", which isn\'t in stock' in told
    shop.write_text(whole)
    # the same in a shop that has inches
    shop.write_text('units = "inch"\n' + shop.read_text())
    stroke = learnt_rows(shop)["fill_in.stroke"]
    assert stroke.startswith("printed line that stays whole (fill_in.stroke) | ")
    inches = [25.4 * one for one in _range(stroke.split("fails below ")[-1])]
    assert inches == pytest.approx((low, value, high), rel=0.1)
    assert " mm" not in stroke
    assert "16 readings stand in the log" in said(page(shop, of="readings"))


def learnt_rows(shop: Path) -> dict[str, str]:
    """Give what was learnt by the key of each figure."""
    told = said(page(shop, "learnt", of="readings")).splitlines()
    return {row.split(" | ")[0].split("(")[-1].rstrip(")"): row for row in told}


def _range(text: str) -> tuple[float, float, float]:
    value, low, high = (float(number) for number in re.findall(r"[\d.]+", text)[:3])
    return low, value, high


def test_what_is_left_empty_isnt_entered(shop: Path) -> None:
    typed = filled(shop)
    bare = {part.key: dict(part.given) for part in form(shown(shop), "readings").parts}
    assert "nothing is filled in; type what was read" in told_no(
        form(shown(shop), "readings"), bare
    )
    bare["head"] |= {"day": "2026-03-04"}
    bare["lines"] = typed["lines"]
    assert form(shown(shop), "readings").take(bare).said[0].startswith("Entered 2 readings")


def test_refusals_name_the_field(shop: Path) -> None:
    whole = filled(shop)
    one = form(shown(shop), "readings")

    def no(part: str, rows: str | None = None, number: int = 0, **fields: Any) -> str:
        typed = deepcopy(whole)
        (typed[part] if rows is None else typed[part][rows][number]).update(fields)
        return told_no(one, typed)

    assert no("strips", "step", 1, flat_after_25=3).startswith(
        "strips.step[2].flat_after_25: held = 3 of 2 tried"
    )
    assert no("lines", "step", 0, whole_on_cloth=1).startswith(
        "lines.step[1].whole_on_cloth = 1: none of that size was lifted out; count again"
    )
    assert no("waits", "dots", 2, printed=1.5).startswith(
        "waits.dots[3].printed = 1.5: must be a whole number"
    )
    assert no("screen", "readings", 2, grams=1500.0).startswith(
        "screen.readings: the screen got no lighter"
    )
    assert no("shirts", after="-1 g").startswith("shirts.after: ")
    assert no("shirts", after="420 g").startswith("shirts.after: the shirts")
    ahead = (date.today() + timedelta(1)).isoformat()
    assert no("head", day=ahead).startswith(f"head.day = {ahead}: lies ahead")
    assert no("head", humidity="5 kg").startswith("head.humidity")
    del whole["head"]["climate"]
    assert "say above which climate held" in told_no(one, whole)
    with reading(log_of(shop)) as store:
        assert store.readings() == ()


def test_what_contradicts_itself_is_asked_about_and_kept_if_so(shop: Path) -> None:
    typed = filled(shop)
    typed["strips"]["step"][0]["open_on_cloth"] = 2
    told = told_no(form(shown(shop), "readings"), typed)
    assert "0.3 mm held and 0.5 mm didn't" in told
    assert 'where it is so, tick "looked at again" above' in told
    typed["head"]["looked_again"] = True
    assert form(shown(shop), "readings").take(typed).said[0].startswith("Entered 16 readings")


def test_what_isnt_typed_is_reckoned(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    def printed(mesh: str, ink: str, file: Path | None) -> Printed:
        asked.append((mesh, ink, file))
        return Printed(mesh, ink, 1.0, 0.5, 30_000.0)

    monkeypatch.setattr("prep_test_piece.views.printed", printed)
    typed = filled(shop)
    del typed["shirts"]["at_full"], typed["screen"]["area"]
    form(shown(shop), "readings").take(typed)
    assert asked == [("43-80", "white", shop)]
    with reading(log_of(shop)) as store:
        bodies = {one.body["of"]: one.body for one in store.readings()}
    assert bodies["shirts weighed"]["at_full_g"] == 0.5
    assert bodies["screen weighed"]["area_mm2"] == 30_000.0


def test_a_reading_is_corrected_in_a_form_with_what_stands_there(shop: Path) -> None:
    """Each kind of reading, taken as it stands, gives the same once more; then one is changed."""
    form(shown(shop), "readings").take(filled(shop))
    with reading(log_of(shop)) as store:
        before = {one.number: one for one in store.readings()}
    for number, entry in before.items():
        one = form(page(shop, "entry", str(number)), "reading")
        typed = {part.key: dict(part.given) for part in one.parts}
        if entry.body["of"] == "shirts weighed":
            typed["shirts"]["after"] = "433 g"
        one.take(typed)
    with reading(log_of(shop)) as store:
        after = {one.number: one for one in store.readings()}
    assert after.keys() == before.keys()
    for number, entry in before.items():
        was, now = dict(entry.body), dict(after[number].body)
        if entry.body["of"] == "shirts weighed":
            assert (was["gain_g"], now["gain_g"]) == (pytest.approx(2.1), pytest.approx(3.0))
        else:
            assert {**now, "typed": 0} == {**was, "typed": 0}
    # read with another ink; on a mesh that the shop has not; on none
    number = next(n for n, one in before.items() if one.body["of"] == "shirts weighed")
    one = form(page(shop, "entry", str(number)), "reading")
    typed = {part.key: dict(part.given) for part in one.parts}
    assert (typed["head"]["mesh"], typed["head"]["ink"]) == ("43-80", "white")
    typed["head"]["ink"] = "lemon"
    one.take(typed)
    with reading(log_of(shop)) as store:
        assert store.entry(number).body["ink"] == "lemon"
    typed["head"]["mesh"] = "90-48"
    with pytest.raises(InputError, match='the shop has no mesh "90-48"'):
        one.take(typed)
    del typed["head"]["mesh"]
    with pytest.raises(InputError, match=r"^head\.mesh: is missing"):
        one.take(typed)
    number = next(n for n, one in before.items() if one.body["of"] == "stroke")
    told = said(page(shop, "entry", str(number)))
    assert "1.4: 2 of 2" in told
    one = form(page(shop, "entry", str(number)), "reading")
    typed = {part.key: dict(part.given) for part in one.parts}
    typed["row"]["step"] = [{**typed["row"]["step"][0], "held": 5}]
    with pytest.raises(InputError, match=r"^row\.step\[1\]: held = 5 of 2 tried"):
        one.take(typed)


@pytest.mark.parametrize(
    ("of", "address"),
    [
        ("readings", ("piece", "999", "white")),
        ("readings", ("piece", "43-80")),
        ("readings", ("lost",)),
        ("agreement", ("1",)),
    ],
)
def test_pages_that_arent_there(shop: Path, of: str, address: tuple[str, ...]) -> None:
    with pytest.raises(InputError):
        page(shop, *address, of=of)


def test_readings_without_the_plugin_for_test_pieces(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "prep_test_piece", None)
    monkeypatch.setattr("prep_log.page_readings.file_of", lambda *_: log_of(shop))
    first = page(shop, of="readings")
    assert first.forms == ()
    assert "prep log readings FILE.toml" in said(first)
    with pytest.raises(InputError, match="no plugin that makes test pieces"):
        shown(shop)


REGISTER = "run,print,screen,left_x,left_y,right_x,right_y,apart\n" + "".join(
    f"{run},{number},2,{middle + off:.2f},0,{middle + off:.2f},0,200\n"
    for run, middle in ((1, 0.4), (2, -0.4), (3, 0.4))
    for number, off in enumerate((-0.2, 0.0, 0.2), start=1)
)
"""Three set-ups 0.4 mm off, prints 0.2 mm about each; nothing up, down or turned."""


def test_a_register_test_says_how_far_the_press_is_off(shop: Path) -> None:
    """By hand: prints vary by 6·0.04 over 2·6, 0.02 for two screens, 0.10 mm for one; bounds by 12 degrees
    of freedom, 21.03 and 5.23 in tables of chi-square. Means: 0.16/2 less 0.02/3, for one 0.19 mm."""
    one = form(page(shop, "register", of="readings"), "register")
    typed = {"head": {"day": "2026-03-04"}, "register": {"table": REGISTER}}
    for table, told in (
        ("", "register.table"),
        ("x", "register.table: line 1: there is no column run; put it back"),
        (REGISTER.replace("0.40,0,0.40", "9.0,0,9.0"), "is beyond the scale"),
        (REGISTER[:80], "register.table: scatter shows between prints of one set-up"),
    ):
        assert told in told_no(one, {**typed, "register": {"table": table} if table else {}})
    assert one.take(typed).said == ("Entered 1 reading: register test, 2026-03-04.",)
    rows = learnt_rows(shop)
    assert rows.keys() == {"press.set_up_error", "press.scatter"}
    assert "0.10 mm (0.08 mm to 0.15 mm, nine times in ten)" in rows["press.scatter"]
    assert rows["press.scatter"].endswith("measured here on 2026-03-04, n = 9")
    assert " | 0.19 mm (" in rows["press.set_up_error"]
    learnt = prep_learnt({"kept_in": str(log_of(shop))})
    day = date(2026, 3, 4)
    assert learnt == {
        "press": {
            "set_up_error": "0.19 mm",
            "scatter": "0.10 mm",
            "measured": {
                "set_up_error": {"measured_on": day, "n": 3},
                "scatter": {"measured_on": day, "n": 9},
            },
        }
    }
    # corrected: the last set-up is taken out, and two are too few
    one = form(page(shop, "entry", "1"), "reading")
    typed = {part.key: dict(part.given) for part in one.parts}
    typed["register"]["table"] = "".join(REGISTER.splitlines(keepends=True)[:7])
    one.take(typed)
    assert prep_learnt({"kept_in": str(log_of(shop))}) is None
    assert "prints read: 6" in said(page(shop, "entry", "1"))


def test_a_piece_is_made_from_the_page(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    printed = Printed("43-80", "white", 1.0, 0.5, 30_000.0)
    monkeypatch.setattr("prep_test_piece.making._printed", lambda *_: printed)
    (one,) = piece_views() or ()
    with pytest.raises(InputError):
        one.show(("x",), Place(shop))
    first = one.show((), Place(shop))
    assert "piece.ink: no ink is named" in refused(first, "make", mesh="43-80")
    assert "piece.mesh: no mesh is named" in refused(first, "make", ink="white")
    taken = take(first, "make", mesh="43-80", ink="white")
    assert taken.opens is not None
    assert sorted(path.name for path in taken.opens.iterdir()) == [
        "order.toml",
        "test-piece-43-80.svg",
    ]
    assert b"firstpull.readings/1" in taken.files[0].data
    for path in taken.opens.iterdir():
        path.unlink()
    taken.opens.rmdir()


def test_predicted_against_weighed(shop: Path) -> None:
    """Eight runs that took twice what was predicted: told first, counted, and drawn."""
    with writing(log_of(shop)) as store:
        for day in range(1, 9):
            figure = Figure(USED_UP, "g", 50.0, 35.0, 70.0, ink="deep blue")
            run = replace(made_run(), day=date(2026, 11, day), figures=(figure,))
            uid = store.chain(store.add(run.new()))[0].uid
            ink = InkSeen("deep blue", 150.0 + day, 50.0)
            store.add(Seen(uid, "Tide tables", date(2026, 11, 20), inks=(ink,)).new())
    told = page(shop, of="agreement")
    words = said(told)
    assert words.startswith("The model is off here")
    assert "0 of 8 lie in their range" in words
    assert "weighed in their range | 80 % | 0 % | 0 to 37 %" in words  # 1 - 0.025^(1/8) = 0.369
    assert "Tide tables, 2026-11-08: deep blue | 50 | 35 to 70 | 108 | outside" in words
    assert "Of 8 weighings in 8 runs, each run counting once" in [
        str(b.caption).partition(";")[0]
        for section in told.sections
        for b in section.blocks
        if isinstance(b, Shown)
    ]
    (drawing,) = (b for section in told.sections for b in section.blocks if isinstance(b, Drawing))
    assert drawing.picture.alt.endswith("0 lie in their band.")


def test_of_many_weighings_the_latest_are_shown_and_all_are_counted(shop: Path) -> None:
    """70 weighed as predicted; 60 in the table, the latest first."""
    entries: list[tuple[New, str | None]] = []
    for number in range(70):
        figure = Figure(USED_UP, "g", 50.0, 35.0, 70.0, ink="deep blue")
        day, uid = date(2026, 1, 1) + timedelta(number), f"{number:032x}"
        entries.append((replace(made_run(day=day, figures=(figure,)).new(), uid=uid), None))
        seen = Seen(uid, "Tide tables", day, inks=(InkSeen("deep blue", 90.0, 40.0),))
        entries.append((seen.new(), None))
    with writing(log_of(shop)) as store:
        store.add_all(entries)
    told = page(shop, of="agreement")
    assert "70 of 70 lie in their range" in said(told)
    table = told.sections[-1].blocks[0]
    assert isinstance(table, Shown)
    assert len(table.rows) == 60
    assert table.rows[0][0] == "Tide tables, 2026-03-11: deep blue"
    assert table.caption == "The latest first. 10 earlier ones aren't shown."


def test_all_that_a_climate_holds_can_be_typed() -> None:
    def keys(model: type[Table]) -> set[str]:
        return {info.alias or name for name, info in model.model_fields.items()}

    assert keys(MeasuredIn) <= keys(Head)
