"""Clip paths and masks as regions.

Source: CSS Masking Module Level 1, 5 to 7 (clipPath, mask).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import shapely
from shapely import MultiPolygon

from prep.svg.document import SVG, Element, children, hint, local_name, namespace
from prep.svg.fills import EMPTY, as_region
from prep.svg.notation import Box, Length, Matrix, is_degenerate, is_flat, multiply
from prep.svg.scene import Content, Context
from prep.svg.styles import Reference, Style, Unread, found_by, target_of
from prep.svg.text import text_region

if TYPE_CHECKING:
    from prep.svg.walk import Walk

_SHAPES = frozenset(("path", "rect", "circle", "ellipse", "line", "polyline", "polygon"))


def clip_region(
    walk: Walk, link: Reference, element: Element, content: Content, context: Context
) -> MultiPolygon | None:
    """Give the region a clip-path lets through; None when it is refused.

    :param content: what is clipped, for its bounding box
    :param context: of the clipped element
    """
    clip = _target(walk, link, element, "clipPath", context)
    if clip is None:
        return None
    matrix = context.matrix
    style = walk.cascade.style_in_place(clip)
    own = style["transform"]
    if isinstance(own, Unread):
        walk.report.refuse(own.feature, hint(clip), own.text)
        return None
    walk.refuse_moves(clip, style)
    matrix = multiply(matrix, walk.about_origin(own, clip, style, context.viewport))
    viewport = context.viewport
    if clip.get("clipPathUnits") == "objectBoundingBox":
        if content.lettered:
            walk.report.refuse("box of text", hint(element))
            return None
        box = content.box(context.matrix, walk.tolerance)
        if box is None or is_degenerate(box):
            return EMPTY
        matrix = multiply(matrix, _unit(box))
        viewport = (1.0, 1.0)
    if is_flat(matrix):
        return EMPTY
    inner = Context(matrix, style, viewport, (*context.chain, clip))
    region = _union([_child(walk, child, inner) for child in children(clip)])
    return _clipped(walk, style, clip, region, context, content)


def _clipped(
    walk: Walk,
    style: Style,
    owner: Element,
    region: MultiPolygon,
    context: Context,
    content: Content,
) -> MultiPolygon:
    """Apply the clip-path that a clip path or one of its children itself has."""
    link = style["clip-path"]
    if isinstance(link, Unread):
        walk.report.refuse(link.feature, hint(owner), link.text[:60])
    elif isinstance(link, Reference):
        inner = replace(context, chain=(*context.chain, owner))
        cut = clip_region(walk, link, owner, content, inner)
        if cut is not None:
            return as_region(shapely.intersection(region, cut))
    return region


def _child(walk: Walk, child: Element, context: Context) -> MultiPolygon:
    """Give what one child of a clip path lets through."""
    name = local_name(child)
    if namespace(child) != SVG:
        if not namespace(child) and name in _SHAPES | {"use", "text"}:
            walk.report.refuse("no namespace", hint(child))
        return EMPTY
    if name not in _SHAPES | {"use", "text"}:
        return EMPTY  # nothing else clips (CSS Masking 1, 6)
    style = walk.cascade.style(child, context.style)
    if not walk.displayed(child, style) or not walk.applies(child):
        return EMPTY
    if name == "text" and style["visibility"] != "visible" and not walk.fonts:
        return EMPTY
    matrix = walk.own_matrix(child, style, context)
    if matrix is None:
        return EMPTY
    inner = replace(context, matrix=matrix, style=style, chain=(*context.chain, child))
    if name == "use":
        region, content = _shown(walk, child, style, inner)
    elif name == "text":
        region, content = text_region(walk, child, style, inner), Content(lettered=True)
    else:
        path = walk.outline(child, style, inner)
        if path is None:
            return EMPTY
        content = Content(outlines=[(path, matrix)])
        visible = style["visibility"] == "visible"
        region = walk.fill(child, style, inner, path, "clip-rule") if visible else EMPTY
    return _clipped(walk, style, child, region, inner, content)


def _shown(
    walk: Walk, use: Element, style: Style, context: Context
) -> tuple[MultiPolygon, Content]:
    target = walk.linked(use)
    if target is None:
        return EMPTY, Content()
    if target in context.chain:
        walk.report.refuse("itself", hint(use))
        return EMPTY, Content()
    if local_name(target) == "use":
        walk.report.refuse("use of a use", hint(use))
        return EMPTY, Content()
    if local_name(target) not in _SHAPES | {"text"}:
        return EMPTY, Content()  # a use in a clip path shows a shape, or nothing
    inner = replace(context, style=style)
    region = _child(walk, target, inner)
    path = walk.outline(target, style, inner) if local_name(target) in _SHAPES else None
    return region, Content(
        outlines=[(path, inner.matrix)] if path is not None else [],
        lettered=local_name(target) == "text",
    )


def mask_region(
    walk: Walk, link: Reference, element: Element, content: Content, context: Context
) -> MultiPolygon | None:
    """Give the region a mask of black and white lets through; None when it is refused."""
    mask = _target(walk, link, element, "mask", context)
    if mask is None:
        return None
    style = walk.cascade.style_in_place(mask)
    by_box = mask.get("maskUnits") != "userSpaceOnUse"
    content_by_box = mask.get("maskContentUnits") == "objectBoundingBox"
    if (by_box or content_by_box) and content.lettered:
        walk.report.refuse("box of text", hint(element))
        return None
    box = content.box(context.matrix, walk.tolerance) if by_box or content_by_box else None
    if (by_box or content_by_box) and (box is None or is_degenerate(box)):
        return EMPTY
    units = (1.0, 1.0) if by_box else context.viewport
    x, y, width, height = (
        walk.length(mask, name, default, of, style)
        for name, default, of in (
            ("x", Length(-10.0, "%"), units[0]),
            ("y", Length(-10.0, "%"), units[1]),
            ("width", Length(120.0, "%"), units[0]),
            ("height", Length(120.0, "%"), units[1]),
        )
    )
    if width <= 0 or height <= 0:
        return EMPTY
    frame_matrix = multiply(context.matrix, _unit(box)) if by_box and box else context.matrix
    frame = walk.rectangle(Box(x, y, width, height), frame_matrix)
    matrix = multiply(context.matrix, _unit(box)) if content_by_box and box else context.matrix
    viewport = (1.0, 1.0) if content_by_box else context.viewport
    inner = Context(matrix, style, viewport, (*context.chain, mask))
    painted = walk.children_of(mask, inner)
    region = _white(walk, element, painted, style)
    if region is None:
        return None
    region = as_region(shapely.intersection(region, frame))
    outer = style["mask"]
    if isinstance(outer, Unread):
        walk.report.refuse(outer.feature, hint(mask), outer.text[:60])
    elif isinstance(outer, Reference):
        again = mask_region(
            walk, outer, mask, content, replace(context, chain=(*context.chain, mask))
        )
        if again is not None:
            region = as_region(shapely.intersection(region, again))
    if isinstance(style["clip-path"], Unread | Reference):
        walk.report.refuse("grey mask", hint(element), "a mask with a clipping path")
        return None
    return region


def _white(walk: Walk, element: Element, content: Content, style: Style) -> MultiPolygon | None:
    """Give where a mask's content is white: black takes away, white adds, bottom first."""
    alpha = style["mask-type"] == "alpha"
    region = EMPTY
    run: list[MultiPolygon] = []
    adding = True

    def settle() -> MultiPolygon:
        if not run:
            return region
        union = shapely.union_all(run)
        return as_region(
            shapely.union(region, union) if adding else shapely.difference(region, union)
        )

    for one in content.painted:
        white = alpha or one.colour == "#ffffff"
        if one.alpha < 1 or not (white or one.colour == "#000000"):
            detail = f"{one.colour} in {one.source}" + (" is translucent" if one.alpha < 1 else "")
            walk.report.refuse("grey mask", hint(element), detail)
            return None
        if white is not adding:
            region = settle()
            run, adding = [], white
        run.append(one.region)
    return settle()


def _target(
    walk: Walk, link: Reference, element: Element, kind: str, context: Context
) -> Element | None:
    walk.count_use(element, cost=3)
    walk.check_depth(element, context)
    identity = target_of(link.target)
    if identity is None:
        walk.report.refuse("elsewhere", hint(element), link.target[:60])
        return None
    found = found_by(walk.ids, identity)
    if found is None or namespace(found) != SVG or local_name(found) != kind:
        walk.report.refuse("missing", hint(element), f"#{identity[:60]}")
        return None
    if found in context.chain:
        walk.report.refuse("itself", hint(element), f"#{identity[:60]}")
        return None
    return found


def _unit(box: Box) -> Matrix:
    """Give the matrix from fractions of a box to its user space."""
    return (box.width, 0.0, 0.0, box.height, box.x, box.y)


def _union(regions: list[MultiPolygon]) -> MultiPolygon:
    some = [region for region in regions if not region.is_empty]
    if len(some) < 2:
        return some[0] if some else EMPTY
    return as_region(shapely.union_all(some))
