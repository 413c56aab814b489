"""How much a drawing may hold. Far above real artwork; below what would hang the reader."""

from __future__ import annotations

FILE_BYTES = 20 * 1024 * 1024
UNZIPPED_BYTES = 60 * 1024 * 1024
ELEMENTS = 100_000
"""Elements painted, those of ``use`` counted each time."""
USES = 20_000
DEPTH = 200
"""Elements within elements, those of ``use`` counted too; libxml2 itself stops at 256."""
STYLE_RULES = 5_000
RULES_TIMES_ELEMENTS = 20_000_000
POINTS = 2_000_000
"""Points of all flattened outlines together."""
CROSSINGS = 200_000
"""Crossings of one path with itself; noding these takes about two seconds."""
DASHES = 50_000
SEGMENT_PIECES = 4_000
"""Straight pieces one curve may be flattened to."""
COORDINATE_MM = 1e7
"""Ten kilometres; beyond this, double numbers no longer hold a flattening of 0.01 mm well."""
ARTBOARD_MM = 5_000.0
FINEST_ARTBOARD_MM = 0.1
