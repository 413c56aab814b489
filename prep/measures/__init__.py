"""How wide each opening and each strip of film is, how much is printed, and what film is cut free.

:func:`measure` takes the openings of a screen and gives one frozen :class:`Measures`.
"""

from __future__ import annotations

from prep.measures.limits import Limits
from prep.measures.measure import count_strips, film_by_width, measure, measure_narrow
from prep.measures.result import (
    Bands,
    Distribution,
    Island,
    Kind,
    Measures,
    Narrow,
    NarrowPlaces,
    Place,
    Places,
    tip_losses,
)

__all__ = [
    "Bands",
    "Distribution",
    "Island",
    "Kind",
    "Limits",
    "Measures",
    "Narrow",
    "NarrowPlaces",
    "Place",
    "Places",
    "count_strips",
    "film_by_width",
    "measure",
    "measure_narrow",
    "tip_losses",
]
