"""How much a drawing may hold. Far above real artwork; below what would hang the reader."""

from __future__ import annotations

FILE_BYTES = 20 * 1024 * 1024
UNZIPPED_BYTES = 60 * 1024 * 1024
ELEMENTS = 30_000
"""Elements of a file; also elements painted, those of ``use`` counted each time."""
USES = 10_000
"""Uses, markers, clips and masks applied, those within others counted each time, by their cost."""
DEPTH = 120
"""Elements within elements, those of ``use`` counted too; libxml2 itself stops at 256."""
SELECTORS = 10_000
"""Selectors of all style rules; compiling these takes about two seconds."""
SELECTOR_TESTS = 4_000_000
"""Selectors times the elements that each may be tried on: those of its id, class or name, or else all."""
POINTS = 2_000_000
"""Points of all flattened outlines together."""
CROSSINGS = 50_000
"""Crossings of one path with itself; noding these takes about two seconds."""
DASHES = 50_000
SEGMENT_PIECES = 4_000
"""Straight pieces one curve may be flattened to."""
TINTS = 60
"""New colours that tints may come to, each a screen: far more than anyone prints."""
TINTED_PIECES = 6_000
"""Pieces that tints and what lies beneath may come to."""
COORDINATE_MM = 1e7
"""Ten kilometres; beyond this, double numbers no longer hold a flattening of 0.01 mm well."""
ARTBOARD_MM = 5_000.0
FINEST_ARTBOARD_MM = 0.1


class PastLimit(ValueError):
    """An outline that would take too long; names the refused feature."""

    def __init__(self, feature: str) -> None:
        """Say which limit it is."""
        self.feature = feature
        super().__init__(feature)
