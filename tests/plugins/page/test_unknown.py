"""Settings that nobody knows are told by their paths, so that they can be left out on her word."""

from __future__ import annotations

import json

import pytest

from prep.errors import InputError, SettingsError
from prep_page.unknown import unknown_in

from .conftest import FISH, Client


def order(top: str = "", of_print: str = "", of_colour: str = "", last: str = "") -> bytes:
    """Give an order with lines put into its tables."""
    return (
        f'name = "x"\n{top}\n[[print]]\nplace = "front"\nartwork = "fish.svg"\n{of_print}\n'
        f'[[print.colour]]\nhex = "#1f5a3c"\n{of_colour}\n[[garment]]\nsizes = {{ M = 3 }}\n{last}\n'
    ).encode()


@pytest.mark.parametrize(
    ("given", "paths"),
    [
        (order(top="colour_of_thread = 3"), [["colour_of_thread"]]),
        (order(of_print='turned_by = "3"'), [["print", 0, "turned_by"]]),
        (order(of_colour="glint = true"), [["print", 0, "colour", 0, "glint"]]),
        (order(last="[glitter]\nflakes = 3"), [["glitter"]]),
        (order(last="[ink]\nflakes = 3"), [["ink", "flakes"]]),
        (
            order(top="thread = 3", last="[glitter]\nflakes = 3"),
            [["thread"], ["glitter"]],
        ),
    ],
)
def test_what_isnt_known_can_be_left_out(
    page: Client, given: bytes, paths: list[list[str | int]]
) -> None:
    """Refused with a line each; left out, the rest is reckoned."""
    key = page.drop(("order.toml", given), ("fish.svg", FISH)).json["key"]
    state = page.idle(key)
    assert state["ended"] == "refused"
    assert len(state["trouble"]) == len(paths)
    unknown = state["ends"][-1]["unknown"]
    assert sorted(unknown, key=json.dumps) == sorted(paths, key=json.dumps)
    page.post(
        f"/orders/{key}/changes", [{"path": p, "kind": "text", "text": None} for p in unknown]
    )
    state = page.idle(key)
    assert (state["ended"], state["trouble"]) == ("", [])
    page.ask(f"/orders/{key}", method="DELETE")


def test_with_anything_else_wrong_nothing_is_offered() -> None:
    """Leaving out what isn't known would only lead to the next refusal."""
    said = "glint: there is no such key here"
    width = SettingsError('print[1].width: "120" has no unit', where="order.toml")
    assert unknown_in(SettingsError(said, where="order.toml")) == (("glint",),)
    assert unknown_in(SettingsError(said, where="order.toml", more=(width,))) == ()
    assert unknown_in(SettingsError(said, where="shop.toml")) == ()
    assert unknown_in(InputError(said, where="order.toml")) == ()
