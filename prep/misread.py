"""What follows from a failed proof: one line for each difference, and the picture put beside."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from prep.beside import put_beside
from prep.errors import ArtworkRefused, Reason

if TYPE_CHECKING:
    from prep.svg.proof_differences import Difference


def misread(name: str, differences: Sequence[Difference], picture: bytes) -> ArtworkRefused:
    """Give the refusal of an artwork that wasn't read as it is drawn; its picture is written.

    The picture goes into the current folder, where a job's folder would stand.

    :param name: file name of the artwork
    :param differences: at least one
    :param picture: PNG
    """
    reasons = [
        Reason(
            f"at {one.at_mm[0]:.1f}, {one.at_mm[1]:.1f} mm" if one.at_mm else "",
            f"what was read does not look like the artwork: {one.what}",
            "export with presentation attributes for its looks, or redraw that as plain paths",
        )
        for one in differences
    ]
    return ArtworkRefused((*reasons, _beside(name, picture)), where=name)


def _beside(name: str, picture: bytes) -> Reason:
    wanted = f"{Path(name).stem}-misread.png"
    try:
        file = put_beside(wanted, picture)
    except OSError as error:
        what = f"its picture can't be written to {wanted}: {error.strerror or error}"
    else:
        what = f"as drawn and as read, side by side: {file}"
    return Reason("", what, "to go on without this comparison: --no-proof")
