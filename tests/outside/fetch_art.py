"""Fetches multi-colour SVG of open sets from the npm registry, to read and compare with a renderer.

    python tests/outside/fetch_art.py [--whole]

Each set is packed with ``npm pack`` at a fixed version, its archive is checked against the checksum
named here, and a part of its drawings, spread evenly over their names, is laid into a folder of its own:
``$FIRSTPULL_ART``, or ``.cache/art`` in the project. With ``--whole`` all drawings of all sets are laid
into its folder ``whole``, besides. Sets that lie there already, as they are asked for, are left alone.
Nothing of them is part of the project; their licences lie beside them.

Some sets come as one JSON file of bodies of drawings with their sizes; these are put into an ``svg``
element each.
"""

from __future__ import annotations

import argparse
import base64
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
_STAMP = "taken.txt"
_EVERY = 1_000_000
_HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '


@dataclass(frozen=True, slots=True)
class ArtSet:
    """A package and the part of it that is taken.

    :param sha512: of the archive, in base 64
    :param place: folder in the package, or its JSON file
    :param count: how many drawings
    """

    package: str
    version: str
    sha512: str
    place: str
    count: int

    @property
    def name(self) -> str:
        """The set's folder."""
        return self.package.replace("@", "").replace("/", "-")


SETS = (
    ArtSet(
        "flag-icons",
        "7.5.0",
        "kd+MNXviFIg5hijH766tt+3x76ele1AXlo4zDdCxIvqWZhKt4T83bOtxUOOMlTx/EcFdUMH5yvQgYlFh1EqqFg==",
        "flags/4x3",
        70,
    ),
    ArtSet(
        "circle-flags",
        "2.8.3",
        "62gm4tY7evXzNdLP+nFOzxEtCagbY4nSnrPNn/yOWFAvApvOWCAvyqL+NeLN+nfhGOGc4L+oSgEheqM3XE5w7g==",
        "flags",
        60,
    ),
    ArtSet(
        "svg-country-flags",
        "1.2.10",
        "xrqwo0TYf/h2cfPvGpjdSuSguUbri4vNNizBnwzoZnX0xGo3O5nGJMlbYEp7NOYcnPGBm6LE2axqDWSB847bLw==",
        "svg",
        60,
    ),
    ArtSet(
        "country-flag-icons",
        "1.6.20",
        "py8JiEKzjhYw6HPJ0L7SxLgCYim36UPRTZX43/kqGueUCZLSvnrqAiwW8HtQibur7mdkFQUkjOgdK+o/9FBtaw==",
        "3x2",
        30,
    ),
    ArtSet(
        "@iconify-json/flagpack",
        "1.2.8",
        "fWiMOWi6pHf757xK4OfHrqOfUpnJ4oTwu4rlzt4twJyNO9V34ui0cMj7qrCP/yI0mS/k1zZ3In/lOZWyjgfMjw==",
        "icons.json",
        30,
    ),
    ArtSet(
        "@twemoji/svg",
        "15.0.0",
        "ZSPef2B6nBaYnfgdTbAy4jgW95o7pi2xPGwGCU+WMTxo7J6B1lMPTWwSq/wTuiMq+N0khQ90CcvYp1wFoQpo/w==",
        "",
        90,
    ),
    ArtSet(
        "openmoji",
        "17.0.0",
        "EBnYrNGdcdw+OSXmENeNE1yBNRu6tOraTmoOyUbJkTmvT/+XETp8RZLSJFzD3lrPc5N9CzsyPnRTk0Vp4UaI9w==",
        "color/svg",
        80,
    ),
    ArtSet(
        "@iconify-json/noto",
        "1.2.9",
        "DQiuXENbun41ch+XPSV55H9FaWKpHTyz46YIKtSaKYD4fIDDzL1tR6H4np/T38jfrTAeI3rcKF0mqHYeZVAuaw==",
        "icons.json",
        50,
    ),
    ArtSet(
        "@iconify-json/fluent-emoji-flat",
        "1.2.6",
        "RY47RgPb47fYUiyrA64sIOL0+UU02s29sXpNBbIQRBUlPlfNFTKUmZDERGuxDs/7yNGWqQYvuaSYM1M4fRXlUw==",
        "icons.json",
        50,
    ),
    ArtSet(
        "@iconify-json/emojione",
        "1.2.3",
        "T9+T3HIbJNLKKsmxYKlaYhvnHYkz/HNYTV7SHCXVZPfeUi4FqskY70YeN8yYAZT8cCv7w5vJxS4Q1m8zb9CMMg==",
        "icons.json",
        40,
    ),
    ArtSet(
        "@iconify-json/fxemoji",
        "1.2.2",
        "UAasRaxzFUKfIGSmLwnoarsssA4LX0VLLuEmplIqM6ZNQqIQRtav8tZ4H1neTlBreXuMQyAifr5jP4kn78DpiQ==",
        "icons.json",
        40,
    ),
    ArtSet(
        "@iconify-json/flat-color-icons",
        "1.2.3",
        "KcmJ7CY0TKFv5GuBjiS4/v++jEcNXna1jfY+yq014tnw/MN/jMI2oYpoMHGuIpYtUqDu7eove+WySnOYO8nS3w==",
        "icons.json",
        40,
    ),
    ArtSet(
        "@iconify-json/meteocons",
        "1.2.4",
        "E7YV02ql5WmJgAOpXU/hoF9Mdshq73KjwR6fBxZ5SrqMJghMa3CIcRG6NQGwP4I1uBOhIjOFlAikYoPAKuT56A==",
        "icons.json",
        20,
    ),
    ArtSet(
        "@streetmix/illustrations",
        "2.1.1",
        "IsutIzwq9/u6x2DL2IXy1FqtaEHb63jBXLxDHea/PYgcSZ3wAWyrgouKYUroqYGGw69HS+54MDZ6PKCdBv0++g==",
        "images",
        60,
    ),
    ArtSet(
        "@svg-maps/world",
        "2.0.0",
        "VmYYnyygJ5Zhr48xPqukFBoq4aCBgVNIjBzqBnWKXSdHhrRK3pntdvbCa8lMsxwVCFzEw9a+smIMEGI2sC1xcQ==",
        "",
        1,
    ),
    ArtSet(
        "svg-cards",
        "4.0.2",
        "YQVC0+bVQtvGbKoQZAHPgVSrKUymPK+aG9NQjJul9jp/a+lFcm8aWKh7YmKVinSjpaBTbogTLKAPi5YQEFRYLg==",
        "",
        3,
    ),
)


def art_folder() -> Path:
    """Give the folder the sets lie in."""
    return Path(os.environ.get("FIRSTPULL_ART") or ROOT / ".cache" / "art")


def whole_folder() -> Path:
    """Give the folder the whole sets lie in, where they were asked for."""
    return art_folder() / "whole"


def fetch(one: ArtSet, into: Path, count: int) -> int:
    """Fetch a set, unless it lies there as it is asked for; give how many drawings it has."""
    target = into / one.name
    wanted = f"{one.package} {one.version}: {count} of {one.place or 'all'}\n"
    stamp = target / _STAMP
    if not stamp.is_file() or stamp.read_text(encoding="utf-8") != wanted:
        into.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=into) as scratch:
            part = Path(scratch) / "part"
            part.mkdir()
            with tarfile.open(_packed(one, Path(scratch))) as archive:
                _lay(one, archive, part, count)
            (part / _STAMP).write_text(wanted, encoding="utf-8")
            shutil.rmtree(target, ignore_errors=True)
            part.rename(target)
    return len(list(target.glob("*.svg")))


def _packed(one: ArtSet, scratch: Path) -> Path:
    """Fetch a package's archive and check it."""
    npm = shutil.which("npm")
    if npm is None:
        raise SystemExit("npm isn't installed; it packs the drawings")
    package = f"{one.package}@{one.version}"
    subprocess.run(
        [npm, "pack", "--silent", package, "--pack-destination", str(scratch)],
        check=True,
        stdout=subprocess.DEVNULL,
        timeout=600,
    )
    (packed,) = scratch.glob("*.tgz")
    found = base64.b64encode(hashlib.sha512(packed.read_bytes()).digest()).decode()
    if found != one.sha512:
        raise SystemExit(f"{package} isn't the archive it was: its SHA-512 is {found}")
    return packed


def _lay(one: ArtSet, archive: tarfile.TarFile, part: Path, count: int) -> None:
    """Lay drawings and licences of an archive into a folder."""
    files = {member.name: member for member in archive.getmembers() if member.isfile()}

    def content(name: str) -> bytes:
        data = archive.extractfile(files[name])
        assert data is not None
        return data.read()

    if one.place.endswith(".json"):
        icons = json.loads(content(f"package/{one.place}"))
        for name in _spread(icons["icons"], count):
            (part / f"{name}.svg").write_text(_wrapped(icons, name), encoding="utf-8")
    else:
        prefix = f"package/{one.place}/" if one.place else "package/"
        drawings = [n for n in files if n.startswith(prefix) and n.endswith(".svg")]
        for name in _spread(drawings, count):
            (part / name.removeprefix(prefix).replace("/", "-")).write_bytes(content(name))
    for name in files:
        if Path(name).name.lower().startswith(("licen", "info.json")):
            (part / Path(name).name).write_bytes(content(name))


def _spread(names: Sequence[str], count: int) -> list[str]:
    """Take some names, evenly."""
    names = sorted(names)
    return names[:: max(1, len(names) // count)][:count]


def _wrapped(icons: dict[str, object], name: str) -> str:
    """Give a drawing whose body stands in a JSON file, with what size it says or the file says."""
    listed = icons["icons"]
    assert isinstance(listed, dict)
    icon = {"left": 0, "top": 0, **icons, **listed[name]}
    view = " ".join(str(icon[key]) for key in ("left", "top", "width", "height"))
    return f'{_HEAD}viewBox="{view}">{icon["body"]}</svg>'


def main(arguments: Sequence[str] | None = None) -> int:
    """Fetch all sets."""
    parser = argparse.ArgumentParser(description="Fetch open multi-colour drawings.")
    parser.add_argument("--whole", action="store_true", help="fetch whole sets as well")
    options = parser.parse_args(arguments)
    for one in SETS:
        print(f"{one.package} {one.version}: {fetch(one, art_folder(), one.count)} drawings")
        if options.whole:
            print(f"  in all: {fetch(one, whole_folder(), _EVERY)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
