"""The command ``prep check``: words, JSON, exit status."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
import shapely
from shapely import box

from prep.cli import run
from prep.findings import Finding, worst_first
from prep.job import Report
from prep.records import findings_document
from prep.testing import make_ask, make_job
from prep_fill_in import check, prep_answers
from prep_fill_in.answers import IslandLimits
from prep_fill_in.asked import Asked
from prep_fill_in.settings import FillIn
from tests.plugins.fill_in.asking import prep_findings
from tests.plugins.fill_in.dried import Drying, stays_open

KEYS = {
    "severity",
    "setup",
    "screen",
    "colour",
    "kind",
    "at_mm",
    "size_mm",
    "what",
    "why",
    "do",
    "fits_up_to_mm",
    "on_prints",
}
ART = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">
<rect x="10" y="10" width="80" height="{width}" fill="#1f3a5f"/></svg>"""


def _report(width: float, *more: Finding) -> Report:
    slots = shapely.union_all([box(10, 10, 90, 10 + width), box(10, 30, 90, 60)])
    job = make_job({"#1f3a5f": slots, "#cc2222": box(10, 70, 90, 90)}, shirts=20)
    found = (*prep_findings(job=job, marks=(), ask=make_ask({Drying: stays_open(job)})), *more)
    return Report(job, (), worst_first(found), ())


def test_json_has_the_promised_keys() -> None:
    """Each finding carries severity, set-up, screen, colour, kind, place, size and three sentences."""
    document = findings_document([_report(0.4)])
    assert document["schema"] == "firstpull.findings/1"
    first = document["findings"][0]
    assert [set(finding) - {"count", "by", "also_at_mm"} for finding in document["findings"]] == [
        KEYS
    ] * 3
    assert first["severity"] == "will fail"
    assert (first["setup"], first["screen"], first["colour"]) == (
        "front, 90 mm",
        "#1f3a5f",
        "#1f3a5f",
    )
    assert first["size_mm"] == pytest.approx(0.4)
    assert 10.0 < first["at_mm"][0] < 90.0
    assert first["at_mm"][1] == pytest.approx(10.2)
    assert json.loads(json.dumps(document)) == document


def test_what_has_no_place_says_null() -> None:
    """A note on the whole set-up: no screen, no colour, no place, no size."""
    note = findings_document([_report(0.4)])["findings"][-1]
    assert (note["screen"], note["colour"], note["at_mm"], note["size_mm"]) == (None,) * 4


@pytest.mark.parametrize(("width", "status"), [(0.4, 1), (0.6, 0), (2.5, 0)])
def test_status_is_one_only_when_something_will_fail(width: float, status: int) -> None:
    assert check.status([_report(2.5), _report(width)]) == status


def test_words_stand_under_their_set_up_and_screen_worst_first() -> None:
    other = Finding("at risk", "ink runs short", "a.", "b.", "c.", screen="#cc2222", by="else")
    lines = list(check.in_words([_report(0.4, other)], columns=80))
    assert lines[0] == "front, 90 mm (test.svg)"
    places = [
        lines.index("  screen 1, #1f3a5f (mesh 43-80)"),
        lines.index("    WILL FAIL: opening too narrow to weed"),
        lines.index("  screen 2, #cc2222 (mesh 43-80)"),
        lines.index("    AT RISK: ink runs short"),
        lines.index("  the whole set-up"),
        lines.index("    NOTE: not judged: mesh"),
    ]
    assert places == sorted(places)
    assert lines[-2] == "  1 will fail, 1 at risk; 2 worth knowing."


def test_words_keep_within_the_terminal() -> None:
    for columns in (40, 60, 100):
        wrapped = [
            line for line in check.in_words([_report(0.4)], columns=columns) if line[:6] == " " * 6
        ]
        assert max(map(len, wrapped)) <= columns


def test_a_clean_job_says_so() -> None:
    assert check.counted(()) == "Nothing will fail, nothing is at risk."


def test_the_command_from_file_to_status(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A slot of 0.4 mm ends with 1 and JSON on standard output, one of 5 mm with 0."""
    thin, bold = tmp_path / "thin.svg", tmp_path / "bold.svg"
    thin.write_text(ART.format(width=0.4), encoding="utf-8")
    bold.write_text(ART.format(width=5), encoding="utf-8")
    assert run(["check", str(thin), "--shirts", "20", "--json"]) == 1
    found = json.loads(capsys.readouterr().out)["findings"]
    assert "opening too narrow to weed" in [finding["kind"] for finding in found]
    assert run(["check", str(bold), "--shirts", "20"]) == 0
    assert "Nothing will fail" in capsys.readouterr().out


def test_what_was_assumed_is_told_once_in_words_and_in_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not proofed, white shirts assumed, two colours hardly told apart: each note of the job, once."""
    art = tmp_path / "two.svg"
    art.write_text(
        ART.format(width=20).replace(
            "</svg>", '<rect x="10" y="60" width="80" height="20" fill="#1f3a60"/></svg>'
        ),
        encoding="utf-8",
    )
    order = tmp_path / "order.toml"
    order.write_text(
        'proof = false\n[[print]]\nartwork = "two.svg"\n'
        '[[print]]\nplace = "back"\nartwork = "two.svg"\n[[garment]]\nsizes = { M = 20 }\n',
        encoding="utf-8",
    )
    assert run(["check", str(order), "--json"]) == 0
    notes = json.loads(capsys.readouterr().out)["notes"]
    run(["check", str(order)])
    lines = capsys.readouterr().out.splitlines()
    told = " ".join(line.strip() for line in lines)
    for start in ("Not proofed: ", "Assumed white garments", "#1f3a5f and #1f3a60 can hardly"):
        (note,) = [note for note in notes if note.startswith(start)]
        assert told.count(f"- {note}") == 1


def test_the_same_words_on_several_screens_stand_once() -> None:
    """Slots of 0.40 mm on three screens: one entry that names the others; a slot of 0.30 mm its own."""
    inks = ("#111111", "#222222", "#333333", "#444444")
    slots = {
        ink: box(10, 10 + 20 * i, 50, 10 + 20 * i + (0.3 if i == 1 else 0.4))
        for i, ink in enumerate(inks)
    }
    job = make_job(slots, size_mm=(100, 100), shirts=20)
    found = tuple(prep_findings(job=job, marks=(), ask=make_ask({Drying: stays_open(job)})))
    lines = list(check.in_words([Report(job, (), worst_first(found), ())], columns=200))
    heads = [line.strip() for line in lines if "WILL FAIL" in line]
    assert heads == ["WILL FAIL: opening too narrow to weed"] * 2
    (same,) = (line.strip() for line in lines if "same on" in line)
    # of the three alike, the one narrower by a rounding error comes first
    named = {int(n) for n in re.findall(r"\d", same)}
    assert named < {1, 3, 4}
    assert len(named) == 2
    assert any(line.strip().startswith("4 will fail") for line in lines)


def test_the_limits_of_islands_are_told_with_the_shops_own() -> None:
    """3 mm and 8 mm2 beyond 25 pulls (common practice, no source) or 2 h wet, else what the shop says."""
    job = make_job({"#1f3a5f": box(0, 0, 50, 50)}, shirts=26)
    answer, nobody = prep_answers()[IslandLimits], make_ask({Asked: Asked(prints=25)})
    for asked, limits in (
        (Asked(prints=26), (3.0, 8.0)),
        (Asked(prints=25), (2.0, 4.0)),
        (Asked(prints=25, wet_s={"#1f3a5f": 7300.0}), (3.0, 8.0)),
    ):
        assert answer(job, make_ask({Asked: asked})).by_screen == {"#1f3a5f": limits}
    own = make_job(
        {"#1f3a5f": box(0, 0, 50, 50)}, tables=[FillIn.model_validate({"island": "5 mm"})]
    )
    assert answer(own, nobody).by_screen["#1f3a5f"][0] == 5.0
