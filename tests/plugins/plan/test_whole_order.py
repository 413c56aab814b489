"""Hours over all set-ups of an order: the sum draw by draw, inks mixed once, on the screen and as JSON."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from prep.cli import run
from prep.estimate import DRAWS
from prep.line import open_line
from prep.request import Request
from prep.sections import Table
from prep_plan.answers import WorkPlan
from prep_plan.parameters import MIX
from prep_plan.whole_order import whole_order

ART = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 80 40" width="80mm" height="40mm">'
    '<path fill="#1f3a5f" d="M0 0H80V20H0z"/>{more}</svg>'
)
ORDER = """
name = "Two places"
[[print]]
place = "front"
artwork = "front.svg"
width = "80 mm"
[[print]]
place = "back"
artwork = "back.svg"
width = "80 mm"
[[garment]]
name = "tee"
colour = "#ffffff"
fibre = "100 % cotton"
sizes = { M = 12 }
prints = ["front", "back"]
"""


@pytest.fixture
def order(tmp_path: Path) -> Path:
    """Two prints: one ink on the front, the same and another on the back."""
    (tmp_path / "front.svg").write_text(ART.format(more=""))
    red = '<path fill="#d9472f" d="M0 25H80V38H0z"/>'
    (tmp_path / "back.svg").write_text(ART.format(more=red))
    (tmp_path / "order.toml").write_text(ORDER)
    return tmp_path / "order.toml"


def test_the_sum_is_that_of_the_draws(order: Path) -> None:
    """Three screens, two inks: one mixing less. Its bounds are those of 512 sums, not sums of bounds."""
    with open_line(Request(order)) as line:
        planned = [(job, line.ask(job)(WorkPlan)) for job in map(line.job, line.setups)]
        whole = whole_order(planned)
    assert len(planned) == 2
    assert whole.once == 1
    draws = np.sum([plan.table.whole.draws for _, plan in planned], axis=0) - MIX.draws() / 3600.0
    assert draws.shape == (DRAWS,)
    assert whole.whole.low == pytest.approx(np.quantile(draws, 0.1))
    assert whole.whole.high == pytest.approx(np.quantile(draws, 0.9))
    assert whole.whole.value == pytest.approx(
        sum(plan.table.whole.value for _, plan in planned) - MIX.default / 3600.0
    )
    assert whole.before.value + whole.press.value == pytest.approx(whole.whole.value)
    assert whole.days == pytest.approx(whole.whole.value / 8.0)
    bounds = sum(plan.table.whole.high for _, plan in planned) - MIX.high / 3600.0
    assert whole.whole.high != pytest.approx(bounds, rel=1e-3)


def test_it_is_told_once_after_all_cards(order: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", str(order)]) == 0
    text = capsys.readouterr().out
    assert text.count("HOURS OF THE WHOLE ORDER") == 1
    assert text.index("HOURS OF THE WHOLE ORDER") > text.rindex("CURE AND CLEAN UP")
    assert run(["plan", str(order), "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert made["order"]["mixings_saved"] == 1
    assert f"{made['order']['whole_h']:.1f} h" in text


def test_a_single_set_up_has_none(order: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", str(order.parent / "front.svg")]) == 0
    assert "WHOLE ORDER" not in capsys.readouterr().out


def test_the_page_over_all_set_ups_has_it(order: Path) -> None:
    with open_line(Request(order)) as line:
        reports = tuple(line.report(line.job(setup)) for setup in line.setups)
        sections = line.order_sections(tuple(report.job for report in reports))
    titles = {section.title: section for section in sections}
    assert "Hours of the whole order" in titles
    # how long each ink of each set-up may stand, as that set-up tells it
    (table,) = titles["Keeping the ink open, in all set-ups"].blocks
    assert isinstance(table, Table)
    own = [
        (str(n), *row)
        for n, report in enumerate(reports, start=1)
        for section in report.sections
        if section.title == "Keeping the ink open"
        for block in section.blocks
        if isinstance(block, Table)
        for row in block.rows
    ]
    assert list(table.rows) == own
    assert {row[0] for row in own} == {"1", "2"}
