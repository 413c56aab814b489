"""Whether a set-up can be made at the size ordered, told in the customer's words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from prep.findings import Finding, too_large
from prep_sheet.printed import print_size_mm
from prep_sheet.wording import size

if TYPE_CHECKING:
    from prep.job import Report

_WHY: Mapping[str, str] = {
    "print off the platen": "It is larger than the board a garment is stretched on for printing.",
    "longer than the sleeve": "It is longer than the sleeve.",
    "no frame holds the print": "It is larger than any printing screen here.",
    "film larger than the frame": "Its stencil is larger than the printing screen.",
    "no squeegee fits": "It is wider than any squeegee here.",
    "film sheet larger than the film": "It is larger than the film its stencil is cut from.",
}
_ANY = "It can't be made at this size with what is here."


def told(report: Report) -> Iterator[str]:
    """Say why the print can't be made as ordered, and what can be; nothing where it can be made."""
    found = too_large(report.findings)
    if not found:
        return
    yield from dict.fromkeys(_WHY.get(finding.kind, _ANY) for finding in found)
    yield _instead(report, found)


def _instead(report: Report, found: tuple[Finding, ...]) -> str:
    """Say what could be made: the remedies' largest print, where each of them has one."""
    job = report.job
    widths = [one.fits_up_to_mm for one in found if one.fits_up_to_mm is not None]
    if len(widths) < len(found):
        return "Another size or another place has to be agreed before it is printed."
    share = min(widths) / job.artwork.width_mm
    # rounded down as written: a tenth of a mm, a hundredth of an inch
    step = 0.254 if job.shop.units == "inch" else 0.1
    wide, high = (math.floor(share * side / step + 1e-6) * step for side in print_size_mm(job))
    return f"What can be made: {size(wide, high, job.shop.units)} at most, or a print at another place."
