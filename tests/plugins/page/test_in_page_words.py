"""What was written for a terminal reads as the page's own way."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError
from prep_page.beside import Asked, Beside
from prep_page.desk import Desk
from prep_page.in_page_words import in_page_words


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("entry 3 is no run; see prep log list for the runs",
         "entry 3 is no run; look under Log for the runs"),
        ("it can't be read; name another file with --log, or kept_in under [log] of shop.toml",
         "it can't be read; name another file with kept_in under [log] of shop.toml"),
        ("plugin ink: failed; to go on without it: --without ink", "plugin ink: failed"),
        ("seen.day: input should be a valid date in the format YYYY-MM-DD, day value is outside expected"
         " range; mend it", "seen.day: there is no such day; write it like 2026-03-04"),
        (": nothing is said", "nothing is said"),
        ("width: is 3 mm; write it like 4 mm", "width: is 3 mm; write it like 4 mm"),
    ],
)  # fmt: skip
def test_terminal_words_become_the_pages(said: str, told: str) -> None:
    """All else stays as it is."""
    assert in_page_words(said) == told


def test_a_view_that_refuses_is_told_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever its plugin says."""
    desk = Desk(tmp_path, None, seconds=60.0, memory_mb=2000)
    beside = Beside(desk, tmp_path / "beside", None, memory_mb=2000)

    def refuse(*_: object, **__: Any) -> None:
        raise InputError("there is no entry 7", do="see prep log list for the numbers there are")

    monkeypatch.setattr(beside._guard, "converse", refuse)
    outcome = asyncio.run(beside.page(Asked("log", ("entry", "7"))))
    assert outcome.told["lines"] == ["there is no entry 7; look under Log for those that are there"]
