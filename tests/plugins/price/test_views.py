"""On the page: what would change the price, of an order that stays as it lies open."""

from __future__ import annotations

from pathlib import Path

import pytest

from prep.errors import InputError
from prep.line import open_line
from prep.request import Request
from prep.sections import Paragraph, Table
from prep.views import Place
from prep_price.views import CHANGES, views

ART = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 80 40" width="80mm" height="40mm">'
    '<path fill="#1f3a5f" d="M0 0H80V20H0z"/></svg>'
)


def test_changes_are_worked_out_on_a_copy(tmp_path: Path) -> None:
    """At 2 a screen and 3 a shirt 50 more, with up to two more spoilt, cost 150 to 156 more."""
    (tmp_path / "art.svg").write_text(ART)
    shop = tmp_path / "prices.toml"
    shop.write_text("[price]\nscreen = 2\ngarments = 3\n")
    (view,) = views()
    assert [one.address for one in view.of_order] == [CHANGES]
    with open_line(Request(tmp_path / "art.svg", shop=shop)) as line:
        page = view.show(CHANGES, Place(shop, line))
        assert line.setups[0].shirts == 24
        assert line.loaded.order.print[0].artwork == tmp_path / "art.svg"
    (section,) = page.sections
    table, none = section.blocks
    assert isinstance(table, Table)
    assert [row[:2] for row in table.rows] == [
        ("50 shirts more", "all of it"),
        ("", "each good shirt"),
    ]
    assert table.rows[0][3].endswith("(+150.00 to +156.00)")
    assert isinstance(none, Paragraph)
    assert none.text.startswith("One colour less: not reckoned. There is none to spare")


def test_without_an_order_it_leads_to_one() -> None:
    """And no other page is there."""
    (view,) = views()
    assert "Open an order" in str(view.show((), Place(None)).sections)
    with pytest.raises(InputError, match="no such page"):
        view.show(("else",), Place(None))
