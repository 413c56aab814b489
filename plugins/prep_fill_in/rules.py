"""From limits, mesh and depth to the rules each sort of detail is judged by."""

from __future__ import annotations

from collections.abc import Mapping

from prep_fill_in.drying import Dries
from prep_fill_in.judge import Rule
from prep_fill_in.limits import Bound
from prep_fill_in.remedy import Resolution


def opening_rules(
    bounds: Mapping[str, Bound],
    mesh: Resolution | None,
    depth_mm: float,
    *,
    long: bool,
    fabric: bool = True,
    dries: Dries | None = None,
) -> tuple[Rule, ...]:
    """Give the rules for an opening: sizes ``width`` and ``ratio`` (that of its whole piece).

    Release never condemns: it is a rule for paste in metal stencils, and only ranks risk here.

    :param depth_mm: film, or film and mesh, the ink must let go of
    :param long: an opening much longer than wide; its width over the depth counts too
    :param fabric: false for marks, which print on no shirt
    :param dries: from which width on openings stay open; ``None`` where nobody knows
    """
    rules = [_width("weeding", bounds), _width("cutting", bounds)]
    if fabric:
        rules.append(_width("stroke", bounds))
    if mesh is not None:
        rules.append(_mesh(bounds, mesh))
    if dries is not None:
        rules.append(Rule("drying", "width", dries.at_risk_below_mm, dries.fails_below_mm))
    if long:
        slot = bounds["release_aspect"].at_risk_below * depth_mm
        rules.append(Rule("release_aspect", "width", slot, 0.0))
    rules.append(Rule("release_area", "ratio", bounds["release_area"].at_risk_below, 0.0))
    return tuple(rules)


def strip_rules(
    bounds: Mapping[str, Bound], mesh: Resolution | None, *, fabric: bool = True
) -> tuple[Rule, ...]:
    """Give the rules for a film strip between openings: size ``width``."""
    rules = [_width("strip", bounds), _width("cutting", bounds)]
    if fabric:
        rules.append(_width("gap", bounds))
    if mesh is not None:
        rules.append(_mesh(bounds, mesh))
    return tuple(rules)


def island_rules(
    bounds: Mapping[str, Bound], mesh: Resolution | None, *, fabric: bool = True
) -> tuple[Rule, ...]:
    """Give the rules for a film island: sizes ``width`` and ``area``."""
    area = bounds["island_area"]
    rules = [
        _width("island", bounds),
        Rule("island_area", "area", area.at_risk_below, area.fails_below),
        _width("cutting", bounds),
    ]
    if fabric:
        rules.append(_width("gap", bounds))
    if mesh is not None:
        rules.append(_mesh(bounds, mesh))
    return tuple(rules)


def _width(topic: str, bounds: Mapping[str, Bound]) -> Rule:
    bound = bounds[topic]
    return Rule(topic, "width", bound.at_risk_below, bound.fails_below)


def _mesh(bounds: Mapping[str, Bound], mesh: Resolution) -> Rule:
    passes = mesh.resolves_mm(bounds["mesh"].at_risk_below)
    return Rule("mesh", "width", passes, mesh.fails_below_mm())
