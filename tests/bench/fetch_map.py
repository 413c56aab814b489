"""Fetches a map of the world's land from the npm registry, to time the measures on.

    python tests/bench/fetch_map.py

Natural Earth's coast at 1 : 10 million (public domain), packed as TopoJSON in ``world-atlas`` 2.0.2. It is
laid beside the drawings ``tests/outside/fetch_art.py`` fetches; nothing of it is part of the project.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.outside.fetch_art import art_folder

_PACKAGE = "world-atlas@2.0.2"
_FILE = "land-10m.json"


def map_file() -> Path:
    """Give where the map lies, or would."""
    return art_folder() / "world-atlas" / _FILE


def main() -> int:
    """Fetch the map, unless it is there."""
    target = map_file()
    if target.is_file():
        return 0
    npm = shutil.which("npm")
    if npm is None:
        raise SystemExit("npm isn't installed; it packs the map")
    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        subprocess.run(
            [npm, "pack", "--silent", _PACKAGE, "--pack-destination", scratch],
            check=True,
            stdout=subprocess.DEVNULL,
            timeout=600,
        )
        (packed,) = Path(scratch).glob("*.tgz")
        with tarfile.open(packed) as archive:
            for name in (_FILE, "LICENSE.txt", "README.md"):
                try:
                    member = archive.extractfile(f"package/{name}")
                except KeyError:
                    continue
                assert member is not None
                (target.parent / name).write_bytes(member.read())
    return 0 if target.is_file() else 1


if __name__ == "__main__":
    sys.exit(main())
