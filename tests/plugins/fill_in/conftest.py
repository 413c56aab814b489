"""The answer on drying is one whose chances are known, whatever is installed."""

from __future__ import annotations

import pytest

from tests.plugins.fill_in.dried import Drying


@pytest.fixture(autouse=True)
def known_drying(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ask for the known answer instead of the plugin's own."""
    monkeypatch.setattr("prep_fill_in.asked.drying_question", lambda: Drying)
