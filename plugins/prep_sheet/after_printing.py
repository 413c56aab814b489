"""What is done once the shirts are printed: cure, wash test, clean-up.

Steps are common practice of the trade, no source; temperatures and times are the ink maker's to say.
"""

from __future__ import annotations

from collections.abc import Iterator

from prep.sections import Caution, CheckList, Paragraph, Section


def sections() -> Iterator[Section]:
    """Give the sections of the closing page, in working order."""
    yield Section(
        "closing",
        "Cure",
        (
            Paragraph(
                "Temperature and time are for the ink's maker to say. Write them here from the data sheet"
                " of each ink before the first shirt is cured."
            ),
            Caution(
                "Dryer, heat press and flash unit burn skin at a touch and can set cloth alight. Keep"
                " hands clear, air the room, stay beside them while they are hot, and follow the ink"
                " maker's data sheet, the machine's instructions and local rules."
            ),
            CheckList(
                (
                    "Let the water out first: wet ink stays far below its cure temperature.",
                    "Measure the heat of the ink itself, not of the air or the dial.",
                    "Cure one test print and wash it before the run is cured.",
                )
            ),
        ),
        rank=70,
    )
    yield Section(
        "closing",
        "Wash test",
        (
            CheckList(
                (
                    "Cut a cured test print in two and keep one half unwashed.",
                    "Wash and dry the other half as the garment's care label says, five times.",
                    "Compare the halves after washes 1, 3 and 5: fading, cracks, ink that comes off.",
                )
            ),
        ),
        rank=75,
    )
    yield Section(
        "closing",
        "Clean up",
        (
            Caution(
                "Keep ink and the first rinse out of the drain unless local rules allow it; wear gloves,"
                " and goggles where water is sprayed."
            ),
            CheckList(
                (
                    "Put ink that keeps back in its pot, weigh it and write it down; a mix with an"
                    " activator or cross-linker, and discharge ink, is thrown away.",
                    "Wash screen and squeegee before the ink dries in the mesh.",
                )
            ),
        ),
        rank=80,
    )
