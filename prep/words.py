"""What ``prep measure`` says, in words a printer uses."""

from __future__ import annotations

from prep.console import out, out_table
from prep.job import Job
from prep.measures import Place


def measures_in_words(job: Job) -> None:
    """Print a job's measures as a table with its notes."""
    art = job.artwork
    out(f"{art.name}: {job.setup.name}, {art.width_mm:.1f} × {art.height_mm:.1f} mm")
    rows = [
        (
            region.colour,
            f"{region.measures.area_mm2 / 100:.2f} cm²",
            f"{region.measures.pieces}",
            f"{len(region.measures.islands)}",
            _finest(region.measures.finest_opening, region.measures.searched_to_mm),
            _finest(region.measures.finest_gap, region.measures.searched_to_mm),
        )
        for region in job.design
    ]
    head = ("colour", "prints", "pieces", "islands", "finest opening", "finest gap")
    out_table(head, rows, "lrrrll")
    out(
        "Places are measured from the artwork's top left. An opening prints, a gap is film between."
    )
    for note in job.notes:
        out(f"- {note}")
    out()


def _finest(place: Place | None, searched_to_mm: float) -> str:
    if place is None:
        return f"none under {searched_to_mm:.1f} mm"
    return f"{place.width_mm:.2f} mm at {place.at_mm[0]:.1f}, {place.at_mm[1]:.1f}"
