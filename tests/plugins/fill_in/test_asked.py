"""What is read of others' answers, by their own types."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import box

from prep.findings import Finding
from prep.job import Chosen
from prep.plugins import find_plugins
from prep.session import Session
from prep.testing import make_job
from prep_drying.answers import Drying, Lost
from prep_fill_in import asked, wording
from prep_fill_in.drying import dries_on
from prep_fill_in.settings import FillIn
from prep_fill_in.trouble import Judged
from prep_ink.settings import OrderInk
from tests.plugins.fill_in.asking import prep_findings

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


def test_details_are_judged_once_as_long_as_nothing_they_rest_on_changes() -> None:
    """More ink kept in reserve changes no detail; a coarser limit of the shop's own does."""
    job = make_job({"#1f5a3c": box(0, 0, 40, 0.9)})
    session = Session(find_plugins())
    first = session.ask_for(job)(Judged)
    more = replace(job, chosen=Chosen({OrderInk: OrderInk(reserve=0.4)}))
    assert session.ask_for(more)(Judged) is first
    own = FillIn.model_validate({"weeding": {"at_risk_below": "3 mm", "fails_below": "2 mm"}})
    again = session.ask_for(replace(job, chosen=Chosen({FillIn: own})))(Judged)
    levels = [j.screens[0].troubles[0].finding.severity for j in (first, again)]
    assert levels == ["at risk", "will fail"]
