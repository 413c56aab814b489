"""What a job folder remembers of itself, as JSON for programs and for next month."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import prep
from prep.findings import Finding
from prep.job import Job, Report
from prep.measures import Measures, Place, Places, count_strips, film_by_width
from prep.measures.classes import LIMITS_MM, coarser, in_classes
from prep.plugins import Plugins
from prep.screens import DesignRegion, Screen

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


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
    """Give all findings in the form ``firstpull.findings/1``.

    A finding that stands for several places has one in ``at_mm`` and the others in ``also_at_mm``.

    ``notes`` hold what was assumed and must be known of the whole, each once.
    """
    return {
        "schema": "firstpull.findings/1",
        "findings": [
            finding_record(finding, report.job.setup.name)
            for report in reports
            for finding in report.findings
        ],
        "notes": list(notes_of(reports)),
    }


def notes_of(reports: Sequence[Report]) -> tuple[str, ...]:
    """Give what was assumed and must be known of all set-ups, each once."""
    return tuple(dict.fromkeys(note for report in reports for note in report.job.notes))


def finding_record(finding: Finding, setup: str) -> dict[str, Any]:
    """Give one finding as plain values."""
    values = dataclasses.asdict(dataclasses.replace(finding, also_at_mm=()))
    # for the set-up's own order.toml
    for inner in ("also_at_mm", "unused", "unused_at"):
        del values[inner]
    at = values.pop("at_mm")
    return {
        "setup": setup,
        **values,
        "at_mm": None if at is None else _rounded(at),
        "also_at_mm": [_rounded(place) for place in finding.also_at_mm],
    }


def measures_document(
    job: Job, limits_mm: Sequence[float] = LIMITS_MM, *, printed: Job | None = None
) -> dict[str, Any]:
    """Give what is measured of the artwork in the form ``firstpull.measures/1``.

    Lengths in mm, areas in mm²; places from the artwork's left and top; ``null`` where nothing was
    found. One entry of ``colours`` holds ``hex``, what :func:`measures_record` gives, and:

    - ``cut_length_mm``, ``bounds_mm``
    - ``openings``, ``gaps``: narrow places under ``places_to_mm``; ``strips_under`` counts those with
      a width for each of ``limits_mm``, connected under that one, ``tips`` and ``touches`` the
      others; ``places`` lists all, narrowest first: ``kind`` (strip, tip or touch), ``width_mm``,
      ``at_mm``, ``length_mm``,
      ``piece``, and for a tip its ``angle_deg``, ``lost_length_mm``, ``lost_area_mm2``. An opening's
      ``piece`` counts the pieces from 0; a gap's is 0 in the film around the print and n in the
      n-th of ``islands_of_film``.
    - ``islands_of_film``: ``area_mm2``, ``at_mm``, ``bounds_mm``, ``narrowest_mm``, ``held_by_mm``
      (the widest neck it hangs on; ``null`` = free, and these come first; 0 = openings that touch in
      corners enclose it), ``depth`` (1 = in an opening)
    - ``by_width``: ``area_mm2`` and ``length_mm`` between the ``limits_mm``, one more than these,
      the last wider; ``corners_mm2`` in no class; ``error_mm2`` by which all miss the area;
      ``unsure_mm2`` that may belong to the class beside; the same in ``fine`` steps of ``widths_mm``
    - ``film_by_width``: the same of film narrower than the last of ``limits_mm``, one for each
    - ``insets``: ``area_mm2`` farther from the edge than each ``inset_mm``

    :param job: with the artwork as painted
    :param printed: the same with its screens. Then each colour says what it is ``printed_as``
        (``null``: it has no screen, the shirt stays bare), and ``screens`` holds the same as
        ``colours`` for what each screen prints, with its ``ink`` and the colours ``printed_from`` it
    """
    screens = {} if printed is None else {"screens": _screens_in_full(printed, limits_mm)}
    becomes = {} if printed is None else printed_as(printed)
    return {
        "schema": "firstpull.measures/1",
        "setup": job.setup.name,
        "width_mm": round(job.artwork.width_mm, 4),
        "height_mm": round(job.artwork.height_mm, 4),
        "searched_to_mm": max((d.measures.searched_to_mm for d in job.design), default=0.0),
        "places_to_mm": max((d.measures.places_to_mm for d in job.design), default=0.0),
        "limits_mm": list(limits_mm),
        "notes": list(job.notes),
        "colours": [
            {
                "hex": region.colour,
                **({} if printed is None else {"printed_as": becomes[region.colour]}),
                **measures_record(region.measures),
                **_in_full(region, limits_mm),
            }
            for region in job.design
        ],
        **screens,
    }


def _screens_in_full(job: Job, limits_mm: Sequence[float]) -> list[dict[str, Any]]:
    becomes = printed_as(job)
    return [
        {
            "hex": screen.colour,
            "ink": screen.ink,
            "printed_from": [colour for colour, to in becomes.items() if to == screen.colour],
            **measures_record(screen.measures),
            **_in_full(screen, limits_mm),
        }
        for screen in job.screens
    ]


def printed_as(job: Job) -> dict[str, str | None]:
    """Give what each colour of the artwork is printed as; ``None`` where the shirt stays bare."""
    asked = {choice.colour: choice.print_as for choice in job.setup.colours}
    printed = {region.colour for region in job.design}
    targets = {s.colour: asked.get(s.colour) or s.colour for s in job.separations}
    return {colour: to if to in printed else None for colour, to in targets.items()}


def _in_full(what: DesignRegion | Screen, limits_mm: Sequence[float]) -> dict[str, Any]:
    measures = what.measures
    by_width = measures.by_width
    fine = coarser(by_width)
    in_openings, in_film = count_strips(what.region, limits_mm)
    _, film = film_by_width(what.region, limits_mm[-1])
    return {
        "cut_length_mm": round(measures.cut_length_mm, 3),
        "bounds_mm": [round(value, 3) for value in measures.bounds_mm],
        "openings": _places(measures.openings, in_openings),
        "gaps": _places(measures.gaps, in_film),
        "islands_of_film": [
            {
                "area_mm2": round(island.area_mm2, 4),
                "at_mm": _rounded(island.at_mm),
                "bounds_mm": [round(value, 3) for value in island.bounds_mm],
                "narrowest_mm": _or_none(island.narrowest_mm),
                "held_by_mm": _or_none(island.held_by_mm),
                "depth": island.depth,
            }
            for island in (*measures.islands, *measures.hanging)
        ],
        "by_width": {
            "area_mm2": _figures(in_classes(by_width, by_width.area_mm2, limits_mm)),
            "length_mm": _figures(in_classes(by_width, by_width.axis_mm, limits_mm)),
            "corners_mm2": round(by_width.corners_mm2, 3),
            "error_mm2": round(by_width.error_mm2, 3),
            "unsure_mm2": round(float(by_width.unsure_mm2.sum()), 3),
            "fine": {
                "widths_mm": _figures(fine.widths_mm),
                "area_mm2": _figures(fine.area_mm2),
                "length_mm": _figures(fine.axis_mm),
            },
        },
        "film_by_width": {
            "area_mm2": _figures(in_classes(film, film.area_mm2, limits_mm)[:-1]),
            "length_mm": _figures(in_classes(film, film.axis_mm, limits_mm)[:-1]),
            "error_mm2": round(film.error_mm2, 3),
            "unsure_mm2": round(float(in_classes(film, film.unsure_mm2, limits_mm)[:-1].sum()), 3),
        },
        "insets": {
            "inset_mm": _figures(measures.insets_mm),
            "area_mm2": _figures(measures.inset_areas_mm2),
        },
    }


def _places(places: Places, strips_under: NDArray[np.int64]) -> dict[str, Any]:
    return {
        "strips_under": strips_under.tolist(),
        "tips": len(places.tips()),
        "touches": len(places.touches()),
        "places": [
            {
                "kind": place.kind,
                "width_mm": round(place.width_mm, 4),
                "at_mm": _rounded(place.at_mm),
                "length_mm": round(place.length_mm, 3),
                "piece": place.piece,
                "angle_deg": _or_none(place.tip_angle_deg),
                "lost_length_mm": _or_none(place.tip_lost_length_mm),
                "lost_area_mm2": _or_none(place.tip_lost_area_mm2),
            }
            for place in places
        ],
    }


def _figures(values: Floats) -> list[float]:
    return [round(value, 3) for value in values.tolist()]


def _or_none(value: float | None) -> float | None:
    return None if value is None else round(value, 4)


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
    becomes = printed_as(job)
    return [
        {
            "hex": s.colour,
            "area_mm2": round(s.region.area, 3),
            "printed_as": becomes[s.colour],
        }
        for s in job.separations
    ]


def _width(place: Place | None) -> float | None:
    return None if place is None else round(place.width_mm, 4)


def _at(place: Place | None) -> list[float] | None:
    return None if place is None else _rounded(place.at_mm)


def _rounded(at_mm: Sequence[float]) -> list[float]:
    return [round(float(value), 2) for value in at_mm]
