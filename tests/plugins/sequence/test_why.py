"""How the order and the drying of a shirt are worked out, held against the steps that the sheet tells."""

from __future__ import annotations

import pytest

from prep.job import Job
from prep.shop import Ink, Press, Shop
from prep.testing import make_ask
from prep.worked import Worked
from prep_sequence import prep_sections
from prep_sequence.answers import PrintSteps
from prep_sequence.settings import Sequence
from prep_sequence.steps import steps_of
from prep_sequence.why import worked_of
from tests.plugins.sequence.test_sequence import CREAM, in_order, job_of, with_base
from tests.worked_again import check


def _found(job: Job) -> dict[tuple[str, str], Worked]:
    steps = steps_of(job)
    sections = prep_sections(job, make_ask({PrintSteps: steps}))
    return {(w.name, w.of): w for w in check(worked_of(job, steps), sections)}


def test_drying_worked_by_hand() -> None:
    """Three flashes of 30 s with 15 s to cool: 2.25 min a shirt."""
    drying = _found(in_order(with_base(job_of())))["Drying a shirt", ""]
    assert drying.value == pytest.approx(3 * 45 / 60)
    assert drying.given["flash_0"].status == "usual"
    assert drying.given["cool"].status == "common practice"


def test_an_inks_own_flash_is_told_as_stated() -> None:
    ink = Ink.model_validate({"name": CREAM, "flash": "20 s"})
    shop = Shop(press=Press(kind="simple press"), inks=(ink,))
    job = in_order(with_base(job_of(shop=shop, tables=[Sequence.model_validate({"cool": "5 s"})])))
    drying = _found(job)["Drying a shirt", ""]
    own = [g for key, g in drying.given.items() if key.startswith("flash") and g.value == 20.0]
    assert [given.status for given in own] == ["stated"]
    assert drying.given["cool"].status == "stated"


def test_each_screen_has_a_place() -> None:
    found = _found(in_order(job_of()))
    assert sorted(w.value for (name, _), w in found.items() if name == "Place in the order") == [
        1,
        2,
        3,
    ]


def test_one_screen_printed_once_needs_no_words() -> None:
    job = in_order(job_of({CREAM: job_of().screens[0].region}))
    assert not list(worked_of(job, steps_of(job)))
