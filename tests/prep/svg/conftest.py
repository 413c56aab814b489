"""What the tests of the reader share."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from prep.artwork import Artwork, PrintSize
from prep.errors import ArtworkRefused
from prep.svg import ReadingOptions, read_svg

Reader = Callable[..., Artwork]


def drawing(body: str, size: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"') -> bytes:
    """Give a drawing whose user units are millimetres, unless its size says otherwise."""
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{body}</svg>'.encode()


@pytest.fixture
def read() -> Reader:
    """Read a body of SVG on a page of 100 x 100 mm."""

    def reader(
        body: str, size: str | None = None, asked: PrintSize | None = None, **options: str
    ) -> Artwork:
        data = drawing(body) if size is None else drawing(body, size)
        return read_svg(
            data,
            name="drawing.svg",
            size=asked or PrintSize(),
            options=ReadingOptions(**options),
        )

    return reader


@pytest.fixture
def area(read: Reader) -> Callable[[str], float]:
    """Give the area in mm² of the one shape a body paints."""

    def measure(body: str) -> float:
        (shape,) = read(body).shapes
        assert shape.region.is_valid
        return shape.region.area

    return measure


@pytest.fixture
def reasons(read: Reader) -> Callable[[str], tuple[str, ...]]:
    """Give the lines a body is refused with."""

    def refuse(body: str) -> tuple[str, ...]:
        with pytest.raises(ArtworkRefused) as caught:
            read(body)
        return caught.value.lines()

    return refuse
