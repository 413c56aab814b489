"""The answer on drying is one whose chances are known, whatever is installed."""

from __future__ import annotations

import sys
from types import ModuleType

import pytest

from tests.plugins.fill_in.dried import Drying


@pytest.fixture(autouse=True)
def known_drying(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put the known answer where the plugin's own would be found."""
    module = ModuleType("prep_drying.answers")
    module.Drying = Drying  # type: ignore[attr-defined]  # made on the spot
    monkeypatch.setitem(sys.modules, "prep_drying.answers", module)
