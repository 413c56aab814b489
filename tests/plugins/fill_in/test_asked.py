"""What is read of others' answers, by their own types."""

from __future__ import annotations

import pytest
from shapely import box

from prep.findings import Finding
from prep.plugins import find_plugins
from prep.session import Session
from prep.testing import make_job
from prep_drying.answers import Drying, Lost
from prep_fill_in import asked, prep_findings, wording
from prep_fill_in.drying import dries_on

question = asked.drying_question


def test_the_plugins_own_answer_is_asked_for_and_judged_by(monkeypatch: pytest.MonkeyPatch) -> None:
    """Strokes and drying of a plain job come from the plugins that know them; nothing stays unknown."""
    monkeypatch.setattr("prep_fill_in.asked.drying_question", question)
    job = make_job({"#1f3a5f": box(10, 10, 60, 60)}, shirts=12, size_mm=(100.0, 100.0))
    ask = Session(find_plugins()).ask_for(job)
    known = asked.ask_all(job, ask)
    lost = ask(Drying).run.by_screen["#1f3a5f"].lost
    on = known.dries["#1f3a5f"]
    assert on.wide == lost(40.0)
    assert known.strokes == {"#1f3a5f": 2}
    assert (known.no_meshes, known.no_drying) == ("", "")
    found: list[Finding] = list(prep_findings(job=job, marks=(), ask=ask))
    assert wording.DRYING_UNKNOWN not in {finding.kind for finding in found}


def test_a_table_of_chances_is_read_between_its_widths() -> None:
    """60 % at 0.5 mm, none from 2 mm on; straight over the logarithm of the width: 10 % at 1.587 mm."""
    lost = Lost((0.5, 2.0), (0.6, 0.0), (None, None))
    on = dries_on(lost, 0.1, 0.5, 2.0)
    assert on.at_risk_below_mm == pytest.approx(0.5 * 4 ** (0.5 / 0.6), abs=1e-3)
    assert on.fails_below_mm == pytest.approx(0.5 * 4 ** (0.1 / 0.6), abs=1e-3)
