"""Jobs to place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from shapely import MultiPolygon, box

from prep.job import Job
from prep.order import Batch
from prep.shop import Shop
from prep.testing import make_job

MakePlaced = Callable[..., Job]


def corners(x0: float, y0: float, x1: float, y1: float) -> MultiPolygon:
    """Reach over bounds with little to measure."""
    return MultiPolygon([box(x0, y0, x0 + 5, y0 + 5), box(x1 - 5, y1 - 5, x1, y1)])


@pytest.fixture
def make_placed() -> MakePlaced:
    """Give a function that makes a job: size of the print, place, garments as (name, sizes)."""

    def make(
        width: float = 280.0,
        height: float = 300.0,
        *,
        place: str = "front",
        garments: tuple[tuple[str, str], ...] = (("tee", "M"),),
        screens: int = 2,
        shop: dict[str, Any] | None = None,
        **more: Any,
    ) -> Job:
        regions = {
            f"#{6 * str(i + 1)}": corners(6.0 * i, 0, width - 6.0 * (screens - 1 - i), height)
            for i in range(screens)
        }
        job = make_job(regions, shop=Shop.model_validate(shop or {}), **more)
        batches = tuple(
            Batch(name, "#ffffff", "cotton", tuple((size, 2) for size in sizes.split("|")))
            for name, sizes in garments
        )
        return replace(job, setup=replace(job.setup, place=place, batches=batches))

    return make
