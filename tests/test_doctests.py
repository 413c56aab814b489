"""The examples in docstrings hold."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

_ROOT = Path(__file__).parents[1]
_FILES = sorted(
    file.relative_to(folder)
    for folder, below in ((_ROOT, "prep"), (_ROOT / "plugins", ""))
    for file in (folder / below).rglob("*.py")
    if ">>> " in file.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("file", _FILES, ids=str)
def test_examples_hold(file: Path) -> None:
    """Each module that shows an example."""
    module = importlib.import_module(".".join(file.with_suffix("").parts))
    found = doctest.testmod(module)
    assert found.attempted > 0
    assert found.failed == 0
