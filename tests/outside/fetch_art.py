"""Fetches multi-colour SVG of open sets from the npm registry, to read and compare with a renderer.

    python tests/outside/fetch_art.py

Each set is packed once with ``npm pack`` (which checks the registry's integrity hash), at a fixed
version, and a part of its drawings, spread evenly over the file names, is laid into a folder of its own:
``$FIRSTPULL_ART``, or ``.cache/art`` in the project. Sets that lie there already are left alone. Nothing of
them is part of the project; their licences lie beside them.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class ArtSet:
    """A package and the part of it that is taken.

    :param folder: in the package
    :param count: how many drawings
    """

    package: str
    version: str
    folder: str
    count: int

    @property
    def name(self) -> str:
        """The set's folder."""
        return self.package.replace("@", "").replace("/", "-")


SETS = (
    ArtSet("flag-icons", "7.5.0", "flags/4x3", 70),
    ArtSet("circle-flags", "2.8.3", "flags", 60),
    ArtSet("svg-country-flags", "1.2.10", "svg", 60),
    ArtSet("@twemoji/svg", "15.0.0", "", 90),
    ArtSet("openmoji", "17.0.0", "color/svg", 80),
    ArtSet("@streetmix/illustrations", "2.1.1", "images", 60),
)


def art_folder() -> Path:
    """Give the folder the sets lie in."""
    return Path(os.environ.get("FIRSTPULL_ART") or ROOT / ".cache" / "art")


def fetch(one: ArtSet, into: Path) -> int:
    """Fetch a set, unless it lies there; give how many drawings it has."""
    target = into / one.name
    if target.is_dir():
        return len(list(target.glob("*.svg")))
    into.mkdir(parents=True, exist_ok=True)
    npm = shutil.which("npm")
    if npm is None:
        raise SystemExit("npm isn't installed; it packs the drawings")
    with tempfile.TemporaryDirectory(dir=into) as scratch:
        subprocess.run(
            [
                npm,
                "pack",
                "--silent",
                f"{one.package}@{one.version}",
                "--pack-destination",
                scratch,
            ],
            check=True,
            stdout=subprocess.DEVNULL,
            timeout=600,
        )
        (packed,) = Path(scratch).glob("*.tgz")
        part = Path(scratch) / "part"
        part.mkdir()
        with tarfile.open(packed) as archive:
            prefix = "/".join(filter(None, ("package", one.folder, "")))
            drawings = sorted(
                (
                    member
                    for member in archive.getmembers()
                    if member.isfile()
                    and member.name.startswith(prefix)
                    and member.name.endswith(".svg")
                ),
                key=lambda member: member.name,
            )
            licences = [
                member
                for member in archive.getmembers()
                if member.isfile() and Path(member.name).name.lower().startswith("licen")
            ]
            step = max(1, len(drawings) // one.count)
            for member in [*drawings[::step][: one.count], *licences]:
                data = archive.extractfile(member)
                assert data is not None
                name = member.name.removeprefix(prefix).replace("/", "-")
                (part / name).write_bytes(data.read())
        part.rename(target)
    return len(list(target.glob("*.svg")))


def main() -> int:
    """Fetch all sets."""
    for one in SETS:
        print(f"{one.package} {one.version}: {fetch(one, art_folder())} drawings")
    return 0


if __name__ == "__main__":
    sys.exit(main())
