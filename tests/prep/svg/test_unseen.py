"""What a drawing holds and doesn't print is told, in as few lines as will do; the rest isn't mentioned."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from prep.artwork import Artwork

Read = Callable[..., Artwork]

SHOWN = '<rect width="50" height="50"/>'
LAYER = 'xmlns:e="urn:editor" e:label="Flags" id="layer1"'
TWO = '<g id="g7"><rect width="9" height="9"/><path d="M0 0h9v9z"/></g>'


@pytest.mark.parametrize("hidden", ['display="none"', 'style="visibility: hidden"'])
def test_hidden_layers_are_counted_once_each(read: Read, hidden: str) -> None:
    """One line for each layer, with its name and how many shapes lie in it."""
    body = f'{SHOWN}<g {LAYER} {hidden}>{TWO}{TWO}</g><g id="guides" {hidden}><circle r="9"/></g>'
    assert [n for n in read(body).notes if "hidden" in n] == [
        '4 hidden shapes in layer "Flags" are not printed.',
        '1 hidden shape in group "guides" is not printed.',
    ]


def test_hidden_shapes_without_a_layer_are_counted(read: Read) -> None:
    """Shapes hidden by themselves share a line."""
    body = (
        f'{SHOWN}<rect width="9" height="9" display="none"/><circle r="9" visibility="collapse"/>'
    )
    assert read(body).notes == ("2 hidden shapes are not printed.",)


@pytest.mark.parametrize(
    "body",
    [
        # shown by a use although it is hidden where it stands
        '<g display="none"><rect id="a" width="9" height="9"/></g><use href="#a"/>',
        '<g display="none"/>',
        '<g display="none"><defs><circle r="9"/></defs><title>x</title></g>',
        '<rect width="9" height="9" fill="none" visibility="hidden"/>',
        '<defs><g display="none"><circle r="9"/></g></defs>',
    ],
)
def test_nothing_is_said_where_nothing_is_lost(read: Read, body: str) -> None:
    """Empty layers, helper shapes without paint and what a use shows are no news."""
    assert read(SHOWN + body).notes == ()


@pytest.mark.parametrize(
    "data",
    [
        '<e:view xmlns:e="urn:editor" zoom="2"><e:grid/></e:view>',
        '<e:a xmlns:e="urn:editor"/><f:b xmlns:f="urn:other">text</f:b>',
        '<g><e:a xmlns:e="urn:editor"><path xmlns="" d="M0 0h9v9z"/></e:a></g>',
    ],
)
def test_data_of_drawing_programs_needs_no_note(read: Read, data: str) -> None:
    """Nothing that would print is lost with it."""
    assert read(SHOWN + data).notes == ()


def test_shapes_within_foreign_elements_share_one_note(read: Read) -> None:
    """Viewers don't draw them; whoever drew them may have thought they would print."""
    inside = '<circle r="9"/>'
    body = f'<e:a xmlns:e="urn:e">{inside}</e:a><f:b xmlns:f="urn:f">{inside}</f:b>'
    (note,) = read(SHOWN + body).notes
    assert "is not printed" in note
    assert len(note) < 160


@pytest.mark.parametrize(("over", "told"), [(0.001, False), (0.049, False), (0.06, True)])
def test_only_what_shows_is_noted_as_cut(read: Read, over: float, told: bool) -> None:
    """0.05 mm over the edge is finer than knives cut; it is cut off all the same."""
    artwork = read(f'<rect width="{100 + over}" height="50"/>')
    assert artwork.shapes[0].region.bounds[2] == 100
    assert bool(artwork.notes) is told
