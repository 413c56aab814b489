"""Reads SVG artwork into painted shapes in millimetres: faithfully, or not at all.

The steps, one module each: :mod:`.document` (guard and XML), :mod:`.styles` (cascade),
:mod:`.artboard` (size), :mod:`.walk` (elements, with :mod:`.paints`, :mod:`.clips`,
:mod:`.markers`, :mod:`.text`), :mod:`.paths` and :mod:`.curves` (outlines), :mod:`.strokes` and
:mod:`.fills` (regions). :mod:`.features` is the table of what is read, noted and refused.
"""

from __future__ import annotations

from prep.svg.fonts import FontFile
from prep.svg.reader import ReadingOptions, read_svg

__all__ = ["FontFile", "ReadingOptions", "read_svg"]
