"""Pictures of a measurement, for paper: a width map, a histogram, a close-up of one place.

Each is a pure function of plain geometry and a frozen measurement and gives a
:class:`prep.pictures.Picture`: SVG 1.1 for any viewer, its size in mm of paper, the same text for the
same input. Classes of width differ in tone and in hatch, so that they are told apart in grey print.
"""

from __future__ import annotations

from prep.measure_pictures.close_up import close_up
from prep.measure_pictures.histogram import histogram
from prep.measure_pictures.styles import MOST_CLASSES
from prep.measure_pictures.width_map import width_map

__all__ = ["MOST_CLASSES", "close_up", "histogram", "width_map"]
