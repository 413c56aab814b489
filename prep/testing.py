"""What plugin authors test with; Firstpull's own plugins use the same.

    job = make_job({"#1f3a5f": box(0, 0, 10, 1)}, shirts=24)
    ask = make_ask({Mesh: figures})
    assert reckoned(worked) == pytest.approx(worked.value)

Jobs made here went through no file: regions are given, everything downstream is real.
"""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, Literal, TypeVar

import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from prep.artwork import Artwork, PrintSize, Shape
from prep.errors import Unanswered
from prep.job import Ask, Chosen, Job
from prep.measures import Limits, measure
from prep.order import Batch, Garment, Order, Print, SetUp
from prep.remembered import remembered
from prep.screens import DesignRegion, Screen
from prep.separations import Separation
from prep.shop import Shop
from prep.tables import Table
from prep.worked import Worked

T = TypeVar("T")

_measured = remembered(kept=64)(measure)  # tests make the same jobs over and over


def as_multipolygon(shape: BaseGeometry) -> MultiPolygon:
    """Give the polygons of any geometry as one MultiPolygon."""
    return MultiPolygon([p for p in shapely.get_parts(shape) if isinstance(p, shapely.Polygon)])


def make_job(
    colours: Mapping[str, BaseGeometry],
    *,
    inks: Mapping[str, str] | None = None,
    mesh: str | None = None,
    passes: int = 1,
    shirts: int = 24,
    garment: str = "#ffffff",
    shade: Literal["dark", "light"] = "light",
    shop: Shop | None = None,
    tables: Iterable[Table] = (),
    size_mm: tuple[float, float] | None = None,
    limits: Limits | None = None,
) -> Job:
    """Make a job from regions.

    :param colours: ``#rrggbb`` -> region in mm (y down), in print order; must not overlap
    :param inks: colour -> ink name; the colour's hex where not given
    :param tables: settings tables that differ from their defaults
    :param size_mm: artboard; default: from the origin to the regions' far corner
    """
    shop = shop or Shop()
    regions = {colour: as_multipolygon(region) for colour, region in colours.items()}
    far = shapely.total_bounds(list(regions.values()))
    width, height = size_mm or (float(far[2]), float(far[3]))
    measured = {c: _measured(r, limits or Limits()) for c, r in regions.items()}
    artwork = Artwork(
        name="test.svg",
        width_mm=width,
        height_mm=height,
        shapes=tuple(Shape(r, c, f"path {c}") for c, r in regions.items()),
        flattening_mm=0.01,
    )
    order = Order(
        name="test",
        print=(Print(artwork=Path("test.svg"), place="front"),),
        garment=(Garment(colour=garment, sizes={"M": shirts}),),
    )
    setup = SetUp(
        key="front",
        name=f"front, {width:g} mm",
        place="front",
        artwork=Path("test.svg"),
        size=PrintSize(width_mm=width),
        colours=(),
        batches=(Batch("shirt", garment, "100 % cotton", (("M", shirts),)),),
        shade=shade,
    )
    design = tuple(DesignRegion(c, r, i, measured[c]) for i, (c, r) in enumerate(regions.items()))
    return Job(
        order=order,
        setup=setup,
        artwork=artwork,
        separations=tuple(Separation(c, r, i) for i, (c, r) in enumerate(regions.items())),
        drawn=design,
        design=design,
        screens=tuple(
            Screen(
                key=c,
                ink=(inks or {}).get(c, c),
                mesh=mesh or shop.mesh[0].name,
                colour=c,
                does="colour",
                passes=passes,
                number=i + 1,
                region=r,
                measures=measured[c],
            )
            for i, (c, r) in enumerate(regions.items())
        ),
        shop=shop,
        chosen=Chosen({type(table): table for table in tables}),
    )


def make_ask(answers: Mapping[type[Any], Any]) -> Ask:
    """Make an ``ask`` that knows these answers and no others."""

    def ask(question: type[T]) -> T:
        found = answers.get(question)
        if not isinstance(found, question):
            raise Unanswered(f"nobody answers {question.__name__}")
        return found

    return ask


def reckoned(worked: Worked) -> float:
    """Work a figure out from its formula and the values it shows, as a reader with a calculator does.

    :raises ValueError: it is counted, or its formula holds what :class:`prep.worked.Worked` doesn't name
    """
    if worked.counted:
        raise ValueError(f"{worked.name} is counted: there is nothing to work out")
    text = worked.with_numbers
    for words, sign in _SIGNS.items():
        text = text.replace(words, sign)
    try:
        return _value(ast.parse(text, mode="eval").body)
    except SyntaxError as error:
        raise ValueError(f"{worked.name}: no arithmetic in {worked.with_numbers!r}") from error


_SIGNS = {
    "larger of": "larger",
    "smaller of": "smaller",
    "whole part of": "whole",
    "rounded up": "up",
    "×": "*",
    "÷": "/",
    "−": "-",
    "√": "root",
    ";": ",",
}
_WORDS: Mapping[str, Callable[..., float]] = {
    "larger": max,
    "smaller": min,
    "whole": math.floor,
    "up": math.ceil,
    "root": math.sqrt,
}
_OPERATORS: Mapping[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}


def _value(node: ast.expr) -> float:
    match node:
        case ast.Constant(value=int() | float() as value):
            return float(value)
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -_value(operand)
        case ast.BinOp(left=left, op=sign, right=right) if type(sign) in _OPERATORS:
            return _OPERATORS[type(sign)](_value(left), _value(right))
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]) if name in _WORDS:
            return float(_WORDS[name](*map(_value, args)))
    raise ValueError(f"no arithmetic: {ast.unparse(node)}")
