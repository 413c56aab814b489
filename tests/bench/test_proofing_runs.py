"""The benchmark of the proof still works; no time is judged here."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.fixture(autouse=True)
def _beside(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(HERE))


def test_a_file_is_timed_and_a_refused_one_is_not(tmp_path: Path) -> None:
    """A readable drawing takes time with and without its proof; a refused one gives no row."""
    from proofing import Share, share_of

    plain, refused = tmp_path / "plain.svg", tmp_path / "refused.svg"
    head = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">'
    plain.write_text(f'{head}<rect width="5" height="5"/></svg>')
    refused.write_text(f'{head}<text y="5">a</text></svg>')
    timed = share_of(plain, 1)
    assert timed is not None
    assert timed.with_s > 0 < timed.without_s
    assert share_of(refused, 1) is None
    assert Share("x", 4.0, 3.0).share == 0.25
    assert Share("x", 3.0, 3.1).share == 0.0
