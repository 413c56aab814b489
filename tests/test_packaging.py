"""Folders, packages and entry points agree, and the top level holds what it should."""

from __future__ import annotations

import subprocess
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def test_every_plugin_folder_is_shipped_and_announced() -> None:
    """A plugin that is in the tree but not in the wheel, or not announced, would never run."""
    folders = {p.name for p in (ROOT / "plugins").iterdir() if (p / "__init__.py").is_file()}
    packages = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"]
    assert set(packages) == {"prep"} | {f"plugins/{name}" for name in folders}
    announced = PROJECT["project"]["entry-points"]["prep.plugins"]
    assert set(announced.values()) == folders
    assert all(module == f"prep_{name}" for name, module in announced.items())
    assert folders <= set(PROJECT["tool"]["mypy"]["packages"])


def test_the_core_knows_no_plugin() -> None:
    """No module of the core names a plugin's package."""
    folders = [p.name for p in (ROOT / "plugins").iterdir() if (p / "__init__.py").is_file()]
    for path in (ROOT / "prep").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert not [name for name in folders if name in text], path


def test_the_top_level_is_as_agreed() -> None:
    """Five entries and files that start with a dot."""
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode != 0:
        pytest.skip("not a git checkout: nothing tells which files belong to the project")
    top = {name.split("/")[0] for name in listed.stdout.splitlines()}
    shown = {name for name in top if not name.startswith(".")}
    assert shown == {
        *("README.md", "DEVELOPERS.md", "pyproject.toml"),
        *("prep", "plugins", "tests", "artwork"),
    }
