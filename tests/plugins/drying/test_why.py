"""How drying is worked out, held against its figures."""

from __future__ import annotations

from typing import Any

import pytest
from shapely import box

from prep.plugins import find_plugins
from prep.session import Session
from prep.shop import Room, Shop
from prep.tables import Table
from prep.testing import make_job, reckoned
from prep_drying.answers import Drying
from prep_drying.settings import DryingOrder
from prep_drying.why import TITLE, why_section, worked_of

COLOURS = {"#1f3a5f": box(0, 0, 90, 40), "#d9472f": box(10, 45, 90, 45.6)}


def _found(shop: Shop | None = None, *tables: Table) -> tuple[Drying, dict[str, Any]]:
    job = make_job(COLOURS, shirts=24, shop=shop, tables=tables)
    ask = Session(find_plugins()).ask_for(job)
    worked = tuple(worked_of(job, ask))
    assert why_section(job, ask).title == TITLE
    return ask(Drying), {f"{one.name}, {one.of}".removesuffix(", "): one for one in worked}


@pytest.mark.parametrize(
    ("shop", "tables"),
    [
        (None, ()),
        (Shop(room=Room(temperature="18 C", humidity=0.7)), ()),
        (
            None,
            (DryingOrder.model_validate({"climate": ["fan on the screens"], "retarder": True}),),
        ),
    ],
)
def test_all_is_worked_again(shop: Shop | None, tables: tuple[Table, ...]) -> None:
    """Evaporation and idle times by arithmetic, what is simulated by its inputs and its share of runs."""
    drying, found = _found(shop, *tables)
    assert len(found) == 1 + 3 * 2
    for one in found.values():
        if not one.counted:
            assert reckoned(one) == pytest.approx(one.value, rel=2e-3), one.with_values
    assert found["Water that leaves the ink"].value == drying.air.flux_kg_m2_h.value
    for key, name in (("#1f3a5f", "1"), ("#d9472f", "2")):
        of = f"screen {name}, {key}"
        finest = drying.idle[key].finest
        assert found[f"Idle, cleared, {of}"].value == finest.cleared_s.value
        assert found[f"Idle, flooded, {of}"].value == finest.flooded_s.value
        stays = found[f"Stays open, {of}"]
        assert stays.with_values.startswith(f"in {100 * drying.run[key].fits:.0f} % of the runs: ")
