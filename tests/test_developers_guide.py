"""The guide tells the truth: its plugin works, its map shows what is there."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SQUARE = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50"><path d="M10 10h40v30h-40z"/></svg>'


@pytest.fixture
def installed(tmp_path: Path) -> Path:
    """Install the guide's plugin as a package of its own; gives the folder it was installed to."""
    files = re.findall(r"^`([\w/.]+)`\n\n```\w+\n(.*?)^```$", GUIDE, re.DOTALL | re.MULTILINE)
    assert [name for name, _ in files] == [
        "prep_line/__init__.py",
        "prep_line/settings.py",
        "pyproject.toml",
    ]
    python = [text for name, text in files if name.endswith(".py")]
    assert sum(len([line for line in text.splitlines() if line]) for text in python) < 40
    for name, text in files:
        path = tmp_path / "source" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    target = tmp_path / "target"
    subprocess.run(
        [
            *(sys.executable, "-m", "pip", "install", "--quiet", "--no-deps"),
            *("--no-build-isolation", "--disable-pip-version-check"),
            *("--target", str(target), str(tmp_path / "source")),
        ],
        check=True,
        capture_output=True,
    )
    return target


def test_the_guides_plugin_speaks_in_the_job(installed: Path, tmp_path: Path) -> None:
    """Its setting is read, its finding is found, its section stands on the sheet."""
    import pdfplumber

    (tmp_path / "art.svg").write_text(SQUARE)
    (tmp_path / "shop.toml").write_text('[line]\nlength = "8 m"\n')
    environment = {**os.environ, "PYTHONPATH": str(installed)}
    command = [sys.executable, "-m", "prep"]
    listed = subprocess.run(
        [*command, "plugins"], env=environment, capture_output=True, text=True, check=True
    )
    assert "prep-line 1.0" in listed.stdout
    made = subprocess.run(
        [*command, "sheet", "art.svg", "--shirts", "20", "--width", "200 mm"],
        env=environment,
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stderr
    folder = tmp_path / "art-prep"
    (setup,) = json.loads((folder / "job.json").read_text())["setups"]
    (found,) = [f for f in setup["findings"] if f["by"] == "line"]
    assert (found["what"], found["why"]) == (
        "20 shirts need 10.0 m of line.",
        "The shop has 8.0 m.",
    )
    with pdfplumber.open(folder / "prep-sheet.pdf") as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
    assert "Drying line" in text
    assert "Hang the line before printing." in text
    assert "20 shirts need 10.0 m of line." in text


def test_the_map_shows_what_is_there() -> None:
    """Every module of the core and every plugin stands on the map, and nothing that is gone."""
    shown = set(re.findall(r"\b(\w+)(?:\.py|/)", GUIDE.split("## How data flows")[0]))
    here = {
        path.name.removesuffix(".py")
        for path in (*(ROOT / "prep").iterdir(), *(ROOT / "plugins").iterdir())
        if not path.name.startswith(("_", ".")) and path.suffix in ("", ".py")
    }
    assert here <= shown, f"not on the map: {sorted(here - shown)}"
    gone = {name for name in shown if name.startswith("prep_")} - here
    assert not gone, f"on the map but gone: {sorted(gone)}"


def test_hooks_of_the_guide_exist() -> None:
    """Hooks named in the guide are hooks."""
    from prep import hookspecs

    for hook in set(re.findall(r"def (prep_\w+)", GUIDE)):
        assert hasattr(hookspecs, hook)
