"""Says on what of the artwork the geometry library failed."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from shapely.errors import GEOSException

from prep.errors import OurFault

Bounds = tuple[float, float, float, float]


@contextmanager
def placed_on_fault(at: Callable[[], str]) -> Iterator[None]:
    """Turn an error of the geometry library into a fault of ours that names what was worked on.

    Lack of memory passes, as it is no fault.

    :param at: gives the element or colour, asked only when there is a fault
    :raises OurFault: the fault
    """
    try:
        yield
    except GEOSException as error:
        if "bad_alloc" in str(error):
            raise
        fault = OurFault(f"{at()}: {in_words(error)}; please report this with the file")
        fault.add_note(traceback.format_exc())
        raise fault from error


def in_words(error: GEOSException) -> str:
    """Give what the library says."""
    return f"its outlines can't be worked with ({' '.join(str(error).split())[:200]})"


def place(bounds: Bounds) -> str:
    """Say where a region lies: ``x 10.0 to 40.0, y 5.0 to 9.0 mm``."""
    x0, y0, x1, y1 = bounds
    return f"x {x0:.1f} to {x1:.1f}, y {y0:.1f} to {y1:.1f} mm"
