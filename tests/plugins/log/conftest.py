"""A shop with a log of its own."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A shop whose log lies beside its shop.toml."""
    file = tmp_path / "shop.toml"
    file.write_text(f'[log]\nkept_in = "{(tmp_path / "log.sqlite").as_posix()}"\n')
    return file
