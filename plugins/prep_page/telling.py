"""What is known of a job as plain values for the page; pictures apart, by their digests."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from prep.findings import fits_all_words, too_large
from prep.records import finding_record, measures_record
from prep.sections import (
    Section,
)
from prep_page import drawn
from prep_page.sections_told import Json, Keep, picture, told
from prep_page.usual_units import lengths

if TYPE_CHECKING:
    from prep.artwork import Artwork
    from prep.findings import Finding
    from prep.job import Job, Report
    from prep.loaded import Loaded
    from prep.order import SetUp
    from prep.pictures import Bounds
    from prep.screens import DesignRegion
    from prep.separations import Separation


def read(
    loaded: Loaded, setup: SetUp, artwork: Artwork, painted: Sequence[Separation], keep: Keep
) -> Json:
    """Tell of a set-up whose artwork is read and not measured yet: how it looks, and its areas."""
    bounds = drawn.bounds_of(artwork)
    return {
        **_of_setup(setup, artwork, loaded.shop.units),
        "design": _design(artwork, painted, setup, bounds, keep),
        "colours": [
            {
                "hex": one.colour,
                "ink": "",
                "area_mm2": float(one.region.area),
                "pieces": len(one.region.geoms),
            }
            for one in painted
        ],
        "notes": [lengths(note, loaded.shop.units) for note in artwork.notes],
        "done": False,
    }


def measured(job: Job, keep: Keep) -> Json:
    """Tell of a set-up whose artwork is measured: what can be shown before all else is known."""
    return _of_job(job, drawn.bounds_of(job.artwork, job.screens), keep) | {"done": False}


def _of_job(job: Job, bounds: Bounds, keep: Keep) -> Json:
    return {
        **_of_setup(job.setup, job.artwork, job.shop.units),
        "design": _design(job.artwork, job.design, job.setup, bounds, keep),
        "colours": [
            {"hex": one.colour, "ink": _ink(job, one.colour), **measures_record(one.measures)}
            for one in job.design
        ],
        "notes": [lengths(note, job.shop.units) for note in job.notes],
    }


def _of_setup(setup: SetUp, artwork: Artwork, units: str) -> Json:
    return {
        "key": setup.key,
        "name": lengths(setup.name, units),
        "place": setup.place,
        "shirts": setup.shirts,
        "units": units,
        "size_mm": [artwork.width_mm, artwork.height_mm],
        "garments": [
            {"name": batch.garment, "colour": batch.colour, "count": batch.count}
            for batch in setup.batches
        ],
    }


def _design(
    artwork: Artwork,
    regions: Sequence[Separation | DesignRegion],
    setup: SetUp,
    bounds: Bounds,
    keep: Keep,
) -> Json:
    shown = drawn.design(artwork, regions, setup.batches[0].colour, bounds)
    return picture(shown, keep) | {"bounds_mm": list(bounds)}


def reported(report: Report, keep: Keep) -> Json:
    """Tell all that was found out of a set-up."""
    job = report.job
    bounds = drawn.bounds_of(job.artwork, job.screens, report.marks)
    too_much = too_large(report.findings)
    return {
        **_of_job(job, bounds, keep),
        "screens": [
            {
                "key": screen.key,
                "number": screen.number,
                "ink": screen.ink,
                "colour": screen.colour,
                "mesh": screen.mesh,
                "passes": screen.passes,
                "does": screen.does,
                "placed": screen.placed,
                "changes": list(screen.changes),
                "picture": picture(drawn.screen(screen, report.marks, bounds), keep),
                **measures_record(screen.measures),
            }
            for screen in job.screens
        ],
        "findings": [
            {
                **finding_record(finding, job.setup.name),
                "close": _close(report, finding, keep),
                "too_large": finding in too_much,
            }
            for finding in report.findings
        ],
        "sections": [
            told(section, keep)
            for section in in_order(report.sections)
            if section.chapter != "customer"
        ],
        "all_fit": fits_all_words(report.findings, job.shop.units),
        "lacking": [lengths(line, job.shop.units) for line in report.lacking],
        "done": True,
    }


def _close(report: Report, finding: Finding, keep: Keep) -> Json | None:
    shown = drawn.at_finding(report, finding)
    return None if shown is None else picture(shown, keep)


def in_order(sections: Iterable[Section]) -> list[Section]:
    """Give sections in the order of the work, as their ranks say; those of one rank as they came."""
    return sorted(sections, key=lambda one: one.rank)


def _ink(job: Job, colour: str) -> str:
    return next((screen.ink for screen in job.screens if screen.colour == colour), "")
