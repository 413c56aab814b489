"""Which way round the film is cut. Imports nothing of prep.

The print must read right for whoever looks at the shirt. The operator looks down on the screen from
the squeegee side, with the shirt below: from there, the openings must read right too, because ink
goes straight down through them.

Film has two faces: the adhesive, which goes against the mesh and is covered by the liner until then,
and the bare face.

1. Film on the *shirt side*: it lies under the mesh with its adhesive up, against the mesh, and its
   bare face down, to the shirt. Looking down from the squeegee side through the mesh one sees the
   adhesive. So the image reads right on the adhesive, and is mirrored on the bare face.
2. Film on the *squeegee side*: it lies on the mesh with its adhesive down and its bare face up.
   Looking down one sees the bare face. So the image reads right on the bare face, and is mirrored on
   the adhesive.
3. The cutter sees the side that lies up. *Face up*: liner and adhesive lie below, the blade enters
   the bare face. *Face down*: liner and adhesive lie up, and the blade enters there.

    film on      cut           cutter sees    on which the image    so the file is
    shirt        face up       bare face      is mirrored           mirrored
    shirt        face down     adhesive       reads right           not mirrored
    squeegee     face up       bare face      reads right           not mirrored
    squeegee     face down     adhesive       is mirrored           mirrored
"""

from __future__ import annotations

from typing import Literal

Side = Literal["shirt", "squeegee"]


def is_mirrored(side: Side, cut_face_up: bool) -> bool:
    """Say whether the cut file is the mirror image of the print; the table above in one line."""
    return (side == "shirt") == cut_face_up


def facing_words(mirrored: bool) -> str:
    """Say it in the words of the file and the sheet."""
    return "mirrored" if mirrored else "reads right"
