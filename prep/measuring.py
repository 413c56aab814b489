"""``prep measure``: what is measured of each screen as it will be printed, in words and pictures.

As JSON the colours are given as painted too.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from prep.artwork import Artwork
from prep.console import Tell, out, progress
from prep.errors import InputError
from prep.folder import repair_folder, write_folder
from prep.job import Job
from prep.line import open_line
from prep.measure_pictures import MOST_CLASSES, close_up, histogram, width_map
from prep.measures import Limits, Place, Places, film_by_width
from prep.measures.classes import LIMITS_MM
from prep.pictures import Bounds, Picture
from prep.records import measures_document
from prep.request import Request
from prep.screens import DesignRegion
from prep.setups import safe_name
from prep.units import read_quantity
from prep.words import measures_in_words

_SCALES = (10.0, 20.0, 50.0, 100.0)
_SCALES_OF_TIPS = (20.0, 10.0, 5.0, 2.0)  # and of touches
_END_MM = 40.0  # what a tip loses is shown whole, at most so long on paper
_SEEN_MM = 1.5  # a close-up is enlarged until the width is so wide on paper, if need be


def measure_job(
    request: Request, *, as_json: bool, pictures: Path | None, limits: Sequence[str]
) -> int:
    """Measure an artwork or the artworks of an order and say what was found.

    :param pictures: folder to write pictures into as well
    :param limits: limits between classes of width as written; none = the usual ones
    :return: exit status
    :raises InputError: limits that can't be read, an artwork that can't be used, or a folder that
        can't be written
    """
    limits_mm = _read_limits(limits)
    if pictures is not None:
        repair_folder(pictures, option="--pictures")
    with progress() as tell, open_line(request, tell=tell) as line:
        jobs = [line.planned(setup) for setup in line.setups]
        painted = [line.painted(setup) for setup in line.setups] if as_json else []
        if pictures is not None:
            name = f"{jobs[0].order.name}: pictures of widths"
            record = {"schema": "firstpull.pictures/1", "name": name}
            write_folder(pictures, _files(jobs, limits_mm, tell), record, option="--pictures")
    if as_json:
        documents = [
            measures_document(drawn, limits_mm, printed=job)
            for drawn, job in zip(painted, jobs, strict=True)
        ]
        whole = (
            documents[0]
            if len(jobs) == 1
            else {"schema": "firstpull.measures/1", "setups": documents}
        )
        out(json.dumps(whole, indent=1, ensure_ascii=False))
        return 0
    for job in jobs:
        measures_in_words(job, limits_mm)
    if pictures is not None:
        out(f"Pictures are in {pictures}.")
    return 0


def _read_limits(written: Sequence[str]) -> tuple[float, ...]:
    """Read limits between classes of width, in any order.

    :raises InputError: no length, not above 0, beyond what places are listed to, or too many
    """
    if not written:
        return LIMITS_MM
    listed_to = Limits().places_to_mm
    limits = set()
    for text in written:
        try:
            limit = read_quantity(text, "mm", example="0.4 mm")
        except ValueError as error:
            raise InputError(str(error), where="--limit") from error
        if not 0 < limit <= listed_to:
            raise InputError(
                f'"{text}" is not above 0 and up to {listed_to:g} mm',
                where="--limit",
                do=f"narrow places are listed up to {listed_to:g} mm: give a limit in there",
            )
        limits.add(limit)
    if len(limits) > MOST_CLASSES - 1:
        raise InputError(
            f"{len(limits)} limits make more classes than can be told apart",
            where="--limit",
            do=f"give at most {MOST_CLASSES - 1}",
        )
    return tuple(sorted(limits))


def _files(jobs: Sequence[Job], limits_mm: tuple[float, ...], tell: Tell) -> dict[str, bytes]:
    """Draw all pictures: file name in the folder -> content."""
    files = {}
    for job in jobs:
        folder = f"{job.setup.key}/" if len(jobs) > 1 else ""
        for number, region in enumerate(job.design, start=1):
            tell("drawing", number, len(job.design))
            lead = f"{folder}{number}-{safe_name(region.colour, otherwise='colour')}"
            for what, picture in _pictures(job, region, limits_mm):
                files[f"{lead}-{what}.svg"] = picture.svg.encode()
    return files


def _pictures(
    job: Job, region: DesignRegion, limits_mm: tuple[float, ...]
) -> Iterator[tuple[str, Picture]]:
    """Draw one colour: maps of openings and film, histograms, and close-ups.

    These show the finest opening and gap, the first touch, and the tip that loses most.
    """
    if region.region.is_empty:
        return
    art, measures = job.artwork, region.measures
    of = f"{art.name}, {region.colour}"
    film, film_widths = film_by_width(region.region, limits_mm[-1])
    yield (
        "openings",
        width_map(
            region.region,
            title=f"{of}: openings by width",
            limits_mm=limits_mm,
            finest=measures.finest_opening,
            measured=measures.by_width,
            places=measures.openings,
            frame=_frame(art, film),
        ),
    )
    yield (
        "film",
        width_map(
            film,
            around=region.region,
            title=f"{of}: film by width",
            limits_mm=limits_mm,
            finest=measures.finest_gap,
            measured=film_widths,
            places=measures.gaps,
            frame=_frame(art, film),
        ),
    )
    title = f"{of}: how wide its openings are"
    yield "widths", histogram(measures.by_width, title=title, limits_mm=limits_mm)
    for what, side, places, finest in (
        ("opening", "openings", measures.openings, measures.finest_opening),
        ("gap", "film", measures.gaps, measures.finest_gap),
    ):
        for name, said, place in _looked_at(what, places, finest):
            yield (
                name,
                close_up(
                    region.region,
                    place,
                    side="openings" if side == "openings" else "film",
                    title=f"{of}: {said}",
                    artboard_mm=(art.width_mm, art.height_mm),
                    limits_mm=limits_mm,
                    scale=_scale_for(place),
                ),
            )


def _frame(art: Artwork, film: BaseGeometry) -> Bounds:
    """Give what maps show: the artboard with all that is printed and the film around it."""
    board = shapely.box(0, 0, art.width_mm, art.height_mm)
    x0, y0, x1, y1 = shapely.total_bounds([board, film]).tolist()
    return x0, y0, x1, y1


def _looked_at(what: str, places: Places, finest: Place | None) -> Iterator[tuple[str, str, Place]]:
    """Give the places that get a close-up, with the file's name and the title."""
    if finest is not None:
        yield f"finest-{what}", f"the finest {what}", finest
    of = "openings" if what == "opening" else "gaps"
    touches, tips = places.touches(), places.tips()
    if len(touches):
        more = f", the first of {len(touches)}" if len(touches) > 1 else ""
        yield f"{what}-touch", f"a touch of {of}{more}", touches[0]
    if len(tips):
        most = tips[int(np.argmax(tips.tip_lost_area_mm2))]
        more = f", of {len(tips)} the one that loses most" if len(tips) > 1 else ""
        yield f"{what}-tip", f"a tip of {of}{more}", most


def _scale_for(place: Place) -> float:
    if place.kind != "strip":
        lost_mm = place.tip_lost_length_mm or 0.0
        return next((s for s in _SCALES_OF_TIPS if lost_mm * s <= _END_MM), _SCALES_OF_TIPS[-1])
    return next((s for s in _SCALES if place.width_mm * s >= _SEEN_MM), _SCALES[-1])
