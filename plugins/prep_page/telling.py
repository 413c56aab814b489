"""What is known of a job as plain values for the page; pictures apart, by their digests."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from prep.digest import digest_of
from prep.findings import fits_all_words, too_large
from prep.records import finding_record, measures_record
from prep.sections import (
    Block,
    Caution,
    CheckList,
    Drawing,
    Figures,
    Paragraph,
    Section,
    Step,
    Table,
)
from prep_page import drawn

if TYPE_CHECKING:
    from prep.artwork import Artwork
    from prep.findings import Finding
    from prep.job import Job, Report
    from prep.loaded import Loaded
    from prep.order import SetUp
    from prep.pictures import Bounds, Picture
    from prep.screens import DesignRegion
    from prep.separations import Separation

Json = dict[str, Any]
Keep = Callable[[str, str], None]
"""Takes a picture's digest and its SVG."""


def step_of(section: Section) -> Step:
    """Give the step of the work that a section is read in: its own word, else by its rank."""
    if section.step is not None:
        return section.step
    rank = section.rank
    if rank >= 90:
        return "rests"
    if section.chapter == "closing" or rank >= 70:
        return "cure"
    if rank >= 60:
        return "run"
    if rank >= 50 or 30 <= rank < 40:
        return "screens"
    if 40 <= rank < 45:
        return "ink"
    if rank >= 20:
        return "film"
    return "judge"


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
        "notes": list(artwork.notes),
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
        "notes": list(job.notes),
    }


def _of_setup(setup: SetUp, artwork: Artwork, units: str) -> Json:
    return {
        "key": setup.key,
        "name": setup.name,
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
        "lacking": list(report.lacking),
        "done": True,
    }


def _close(report: Report, finding: Finding, keep: Keep) -> Json | None:
    shown = drawn.at_finding(report, finding)
    return None if shown is None else picture(shown, keep)


def in_order(sections: Iterable[Section]) -> list[Section]:
    """Give sections in the order of the work, as their ranks say; those of one rank as they came."""
    return sorted(sections, key=lambda one: one.rank)


def told(section: Section, keep: Keep) -> Json:
    """Tell a section with its blocks."""
    return {
        "step": step_of(section),
        "rank": section.rank,
        "title": section.title,
        "screen": section.screen,
        "by": section.by,
        "rests_on": list(section.rests_on),
        "blocks": list(_blocks(section.blocks, keep)),
    }


def picture(one: Picture, keep: Keep) -> Json:
    """Tell a picture, and hand over its SVG."""
    digest = digest_of(one.svg)
    keep(digest, one.svg)
    return {
        "picture": digest,
        "width_mm": one.width_mm,
        "height_mm": one.height_mm,
        "alt": one.alt,
    }


def _blocks(blocks: Iterable[Block], keep: Keep) -> Iterable[Json]:
    for block in blocks:
        match block:
            case Paragraph(text):
                yield {"kind": "paragraph", "text": text}
            case Caution(text):
                yield {"kind": "caution", "text": text}
            case CheckList(steps):
                yield {"kind": "steps", "steps": list(steps)}
            case Figures(rows):
                yield {"kind": "figures", "rows": [list(row) for row in rows]}
            case Table():
                yield {
                    "kind": "table",
                    "head": list(block.head),
                    "rows": [list(row) for row in block.rows],
                    "align": block.align or "l" * len(block.head),
                    "caption": block.caption,
                    "literal": list(block.literal),
                }
            case Drawing():
                yield {
                    "kind": "drawing",
                    "caption": block.caption,
                    **picture(block.picture, keep),
                }


def _ink(job: Job, colour: str) -> str:
    return next((screen.ink for screen in job.screens if screen.colour == colour), "")
