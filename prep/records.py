"""What a job folder remembers of itself, as JSON for programs and for next month."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Sequence
from typing import Any

import prep
from prep.findings import Finding
from prep.job import Job, Report
from prep.measures import Measures, Place
from prep.plugins import Plugins


def order_record(reports: Sequence[Report], plugins: Plugins) -> dict[str, Any]:
    """Give the content of job.json over the whole order."""
    return {
        "schema": "firstpull.job/1",
        "name": reports[0].job.order.name,
        "made_with": {
            "firstpull": prep.__version__,
            **{plugin.name: plugin.distribution for plugin in plugins},
        },
        "without": list(plugins.without),
        "setups": [_setup(report) for report in reports],
    }


def setup_record(report: Report) -> bytes:
    """Give the job.json of one set-up's own folder."""
    record = {"schema": "firstpull.setup/1", **_setup(report)}
    return (json.dumps(record, indent=1, ensure_ascii=False) + "\n").encode()


def findings_document(reports: Sequence[Report]) -> dict[str, Any]:
    """Give all findings in the form ``firstpull.findings/1``."""
    return {
        "schema": "firstpull.findings/1",
        "findings": [
            finding_record(finding, report.job.setup.name)
            for report in reports
            for finding in report.findings
        ],
    }


def finding_record(finding: Finding, setup: str) -> dict[str, Any]:
    """Give one finding as plain values."""
    values = dataclasses.asdict(dataclasses.replace(finding, also_at_mm=()))
    del values["also_at_mm"]  # thousands, for a picture's rings; count says how many
    at = values.pop("at_mm")
    return {"setup": setup, **values, "at_mm": None if at is None else _rounded(at)}


def measures_document(job: Job) -> dict[str, Any]:
    """Give what is measured of the artwork in the form ``firstpull.measures/1``."""
    return {
        "schema": "firstpull.measures/1",
        "setup": job.setup.name,
        "width_mm": round(job.artwork.width_mm, 4),
        "height_mm": round(job.artwork.height_mm, 4),
        "searched_to_mm": max((d.measures.searched_to_mm for d in job.design), default=0.0),
        "notes": list(job.notes),
        "colours": [
            {"hex": region.colour, **measures_record(region.measures)} for region in job.design
        ],
    }


def measures_record(measures: Measures) -> dict[str, Any]:
    """Give measures as plain values, rounded to what they are good for; ``None`` = none found."""
    return {
        "area_mm2": round(measures.area_mm2, 3),
        "perimeter_mm": round(measures.perimeter_mm, 3),
        "pieces": measures.pieces,
        "islands": len(measures.islands),
        "finest_opening_mm": _width(measures.finest_opening),
        "finest_opening_at_mm": _at(measures.finest_opening),
        "finest_gap_mm": _width(measures.finest_gap),
        "finest_gap_at_mm": _at(measures.finest_gap),
    }


def _setup(report: Report) -> dict[str, Any]:
    job = report.job
    return {
        "key": job.setup.key,
        "name": job.setup.name,
        "artwork": job.artwork.name,
        "width_mm": round(job.artwork.width_mm, 4),
        "height_mm": round(job.artwork.height_mm, 4),
        "shirts": job.setup.shirts,
        "notes": list(job.notes),
        "lacking": list(report.lacking),
        "painted": _painted(job),
        "screens": [
            {
                "number": screen.number,
                "key": screen.key,
                "ink": screen.ink,
                "hex": screen.colour,
                "mesh": screen.mesh,
                "does": screen.does,
                "passes": screen.passes,
                "changes": list(screen.changes),
                **measures_record(screen.measures),
            }
            for screen in job.screens
        ],
        "findings": [finding_record(f, job.setup.name) for f in report.findings],
    }


def _painted(job: Job) -> list[dict[str, Any]]:
    """Give the colours of the artwork as painted; ``printed_as`` is ``None`` where none is printed."""
    asked = {choice.colour: choice.print_as for choice in job.setup.colours}
    printed = {region.colour for region in job.design}
    targets = {s.colour: asked.get(s.colour) or s.colour for s in job.separations}
    return [
        {
            "hex": s.colour,
            "area_mm2": round(s.region.area, 3),
            "printed_as": targets[s.colour] if targets[s.colour] in printed else None,
        }
        for s in job.separations
    ]


def _width(place: Place | None) -> float | None:
    return None if place is None else round(place.width_mm, 4)


def _at(place: Place | None) -> list[float] | None:
    return None if place is None else _rounded(place.at_mm)


def _rounded(at_mm: Sequence[float]) -> list[float]:
    return [round(float(value), 2) for value in at_mm]
