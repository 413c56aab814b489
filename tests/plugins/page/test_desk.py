"""What is told of an order that lies open, before and between pieces of work."""

from __future__ import annotations

from pathlib import Path

from prep_page.desk import Desk, OpenOrder, about


def test_a_new_piece_of_work_begins_without_the_last_ones_count(tmp_path: Path) -> None:
    """What was cancelled at 3 of 4 is no part of what waits to begin."""
    desk = Desk(tmp_path, None, seconds=60.0, memory_mb=2000)
    order = OpenOrder("key", tmp_path, "fish", step="measuring", done=3, of=4, ended="cancelled")
    desk.change(order, [])
    state = order.state()
    assert [state[name] for name in ("doing", "step", "done", "of")] == ["waiting", "", 0, 0]


def test_orders_of_one_file_are_told_apart() -> None:
    """By place, shade, shirts and width, in the shop's units."""
    one = {"name": "front, size as drawn, on light", "shirts": 24, "size_mm": [60.0, 40.0]}
    two = {"name": "sleeve, 2 in, on dark", "shirts": 1, "size_mm": [50.8, 30.0]}
    told = about({"setups": [one | {"units": "metric"}, two | {"units": "inch"}]})
    assert told == (
        "front, size as drawn, on light: 24 shirts, 60.0 mm wide",
        "sleeve, 2 in, on dark: 1 shirt, 2.00 in wide",
    )
