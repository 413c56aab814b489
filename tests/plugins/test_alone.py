"""Plugins that ask others, where those aren't installed."""

from __future__ import annotations

import sys
from typing import Any

import pytest
from shapely import box

from prep.job import Job
from prep.testing import make_job
from prep_placing.spots import insides_of
from prep_registration import prep_findings as registration_findings
from prep_registration import prep_marks
from prep_squeegee import prep_answers
from prep_squeegee.answers import Pulls


def _job() -> Job:
    """Two screens side by side, 100 × 50 together."""
    return make_job({"#111111": box(0, 0, 48, 50), "#cc2222": box(50, 0, 100, 50)})


def _asked(question: type[Any]) -> Any:
    raise AssertionError(f"{question.__name__} of a plugin that isn't there")


def test_squeegees_without_registration_and_stencils(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither targets nor sheets: 50 + 2·13 + 2·40 + 2·25 = 206 wide, 50 + 2·40 = 130 high."""
    monkeypatch.setitem(sys.modules, "prep_registration.answers", None)
    monkeypatch.setitem(sys.modules, "prep_stencils.answers", None)
    pulls = prep_answers()[Pulls](_job(), _asked)
    assert pulls.pulls[1].needs_mm == (206.0, 130.0)


def test_targets_without_squeegees_and_placing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "prep_squeegee.answers", None)
    monkeypatch.setitem(sys.modules, "prep_placing.answers", None)
    assert [mark.name for mark in prep_marks(_job(), _asked)] == ["top target", "bottom target"]
    assert list(registration_findings(_job(), _asked)) == []


def test_a_master_without_squeegees(monkeypatch: pytest.MonkeyPatch) -> None:
    """No frame is known to draw."""
    monkeypatch.setitem(sys.modules, "prep_squeegee.answers", None)
    assert insides_of(_asked) == ()
