"""What the two plugins may import, and when."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import prep_registration
import prep_stencils

RECKONING = [
    *(
        Path(prep_stencils.__file__).with_name(f"{name}.py")
        for name in (
            *(
                "facing",
                "sheet",
                "outlines",
                "svgfile",
                "dxffile",
                "proof",
                "names",
                "strokes",
                "walk",
            ),
            *("cut_order", "weeding", "corners", "seams", "packing", "holding", "spares", "texts"),
        )
    ),
    Path(prep_registration.__file__).with_name("target.py"),
]


@pytest.mark.parametrize("path", RECKONING, ids=lambda path: path.stem)
def test_reckoning_imports_nothing_of_prep(path: Path) -> None:
    """These modules take plain floats and arrays and could be lifted out as they are."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    modules = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    modules += [
        a.name for node in ast.walk(tree) if isinstance(node, ast.Import) for a in node.names
    ]
    assert not [name for name in modules if name.split(".")[0] == "prep"]


def test_finding_the_plugins_loads_nothing_heavy() -> None:
    """A command's help must come at once."""
    code = (
        "import sys, prep_stencils, prep_registration;"
        "print([m for m in ('numpy', 'shapely', 'pydantic', 'pint') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
