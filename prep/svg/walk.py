"""The walk through the tree: every element is drawn, skipped by name, noted or refused."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
from shapely import MultiPolygon

from prep.geometry_faults import placed_on_fault
from prep.svg import limits
from prep.svg.clips import clip_region, mask_region
from prep.svg.curves import rings_of, transformed
from prep.svg.document import SVG, Element, children, hint, href, local_name, namespace
from prep.svg.family_names import own_families
from prep.svg.fills import EMPTY, filled, guard_crossings
from prep.svg.fonts import FontFile, Fonts
from prep.svg.markers import paint_markers
from prep.svg.notation import (
    IDENTITY,
    Box,
    Length,
    Matrix,
    UnknownUnit,
    is_computed,
    is_finite,
    is_flat,
    largest_scale,
    multiply,
    parse_fitting,
    parse_length,
    parse_number,
    parse_numbers,
    parse_view_box,
    translation,
)
from prep.svg.paints import solid_paint
from prep.svg.paths import Floats, Path, ellipse, line, parse_path, parse_points, rectangle
from prep.svg.report import Report
from prep.svg.scene import Content, Context, Painted, Painter
from prep.svg.strokes import Pen, stroke_rings
from prep.svg.styles import MASKED, Cascade, Reference, Style, Unread, by_id, found_by, target_of
from prep.svg.text import paint_text, text_hint
from prep.svg.tints import disjoint
from prep.svg.unseen import SHAPES, Hidden, holds_drawing

_GROUPS = frozenset(("g", "a"))
_LONE = frozenset(("text", "image"))
_TEXT = frozenset(("text", "flowRoot", "textArea"))
_FOREIGN = frozenset(("foreignObject", "video", "audio", "canvas", "iframe"))
_ANIMATIONS = frozenset(
    ("animate", "animateColor", "animateMotion", "animateTransform", "set", "discard", "mpath")
)
_SILENT = frozenset(
    (
        *("defs", "metadata", "title", "desc", "style", "clipPath", "mask", "marker", "symbol"),
        *("linearGradient", "radialGradient", "meshgradient", "pattern", "hatch", "solidcolor"),
        *("filter", "view", "cursor", "color-profile", "font", "font-face", "glyph", "tspan"),
        *("tref", "textPath", "altGlyphDef", "stop", "hatchpath", "solidColor"),
    )
)
_DRAWING = SHAPES | _GROUPS | _TEXT | _FOREIGN | {"svg", "use", "switch", "image", "symbol"}
_LANGUAGE = "en"


class Stop(Exception):
    """A limit was passed; the reason is in the report."""


class Walk:
    """One walk through one drawing."""

    def __init__(
        self,
        root: Element,
        cascade: Cascade,
        report: Report,
        tolerance: float,
        *,
        solid_tints: bool = False,
        fonts: Sequence[FontFile] = (),
    ) -> None:
        """Get ready.

        :param tolerance: largest distance between a curve and its polygon, in mm
        :param solid_tints: whether translucent paint is wanted, so that groups must fade as one
        :param fonts: font files for text; without any, text is refused
        """
        self.fonts = Fonts(fonts)
        self.own_families = own_families(root) if self.fonts else frozenset[str]()
        self._solid_tints = solid_tints
        self.root, self.cascade, self.report, self.tolerance = root, cascade, report, tolerance
        self.hidden = Hidden()
        self.ids, again = by_id(root)
        for element in again:
            report.note("same id", hint(element))
        self._elements = self._uses = self._points = 0
        self._drawers: dict[str, Callable[[Element, Style, Context], Content]] = {
            **dict.fromkeys(SHAPES, self._shape),
            **dict.fromkeys(_GROUPS, self._children),
            "svg": self._nested,
            "use": self._use,
            "switch": self._switch,
            "text": self._text,
        }

    # --- elements --------------------------------------------------------------------------------

    def page(self, context: Context) -> Content:
        """Walk the whole drawing.

        :param context: the page: matrix from the root's user units to mm, its viewport
        """
        style = self.cascade.style(self.root, context.style)
        if not self.displayed(self.root, style) or not self.applies(self.root):
            return Content()
        if style["transform"] != IDENTITY:
            self.report.refuse("nested svg transform", hint(self.root))
        self.refuse_moves(self.root, style)
        content = self._children(self.root, style, context)
        self.effects(self.root, style, context, content)
        self.hidden.tell(self.report)
        return content

    def element(self, element: Element, context: Context) -> Content:
        """Walk one element and what is in it."""
        space, name = namespace(element), local_name(element)
        if space != SVG:
            if not space and name in _DRAWING:
                self.report.refuse("no namespace", hint(element))
            elif holds_drawing(element):
                self.report.note("foreign", hint(element))
            return Content()
        if name in _SILENT:
            return Content()
        if name in _ANIMATIONS:
            self.report.note("animation", hint(element))
            return Content()
        if name == "script":
            self.report.note("script", hint(element))
            return Content()
        self._elements += 1
        if self._elements > limits.ELEMENTS:
            self.report.refuse("uses", hint(element), f"more than {limits.ELEMENTS} elements")
            raise Stop
        self.check_depth(element, context)
        style = self.cascade.style(element, context.style)
        if not self.displayed(element, style):
            self.hidden.hide(element)
            return Content()
        if not self.applies(element):
            return Content()
        if name in SHAPES | _LONE:
            self.hidden.take(element, style)
        draw = self._drawers.get(name)
        if draw is None:
            self._undrawn(element, name, style)
            return Content()
        matrix = self.own_matrix(element, style, context)
        if matrix is None:
            return Content()
        inner = replace(context, matrix=matrix, chain=(*context.chain, element))
        try:
            with placed_on_fault(lambda: hint(element)):
                content = draw(element, style, inner)
                self.effects(element, style, inner, content)
        except limits.PastLimit as error:
            self.report.refuse(error.feature, hint(element))
            return Content()
        return content

    def count_use(self, element: Element, cost: int = 1) -> None:
        """Count something shown again: a use, marker, clip or mask.

        :param cost: how many uses it takes as long as
        :raises Stop: past the limit
        """
        self._uses += cost
        if self._uses > limits.USES:
            self.report.refuse("uses", hint(element), f"more than {limits.USES} times in the file")
            raise Stop

    def check_depth(self, element: Element, context: Context) -> None:
        """Make sure that elements don't lie within each other without end.

        :raises Stop: past the limit
        """
        if len(context.chain) > limits.DEPTH:
            self.report.refuse("depth", hint(element), f"more than {limits.DEPTH} levels")
            raise Stop

    def children_of(self, element: Element, context: Context) -> Content:
        """Walk the children of an element; the context carries its style."""
        content = Content()
        for child in children(element):
            content.add(self.element(child, context))
        return content

    def _children(self, element: Element, style: Style, context: Context) -> Content:
        return self.children_of(element, replace(context, style=style))

    def _text(self, element: Element, style: Style, context: Context) -> Content:
        return paint_text(self, element, style, context)

    def _undrawn(self, element: Element, name: str, style: Style) -> None:
        if name == "image":
            if not href(element):
                self.report.note("no target", hint(element))
            elif style["visibility"] == "visible":
                self.report.refuse("image", hint(element))
        elif name in _TEXT:
            if "".join(str(part) for part in element.itertext()).strip():
                self.report.refuse("text", text_hint(element))
        elif name in _FOREIGN:
            self.report.refuse("foreign content", hint(element))
        elif name == "mesh":
            self.report.refuse("gradient", hint(element))
        else:
            self.report.note("unknown element", hint(element))

    def applies(self, element: Element) -> bool:
        """Say whether an element's conditions hold (SVG 2, 5.7 conditional processing)."""
        if (extensions := element.get("requiredExtensions")) is not None and extensions.strip():
            return False
        languages = element.get("systemLanguage")
        if languages is None:
            return True
        self.report.note("language", hint(element))
        asked = [one.strip().lower() for one in languages.split(",")]
        return any(one == _LANGUAGE or one.startswith(f"{_LANGUAGE}-") for one in asked)

    def displayed(self, element: Element, style: Style) -> bool:
        """Say whether an element is displayed; one of which viewers think differently is refused."""
        display = style["display"]
        if isinstance(display, Unread):
            self.report.refuse(display.feature, hint(element), f"display: {display.text[:60]}")
        return bool(display != "none")

    def _switch(self, element: Element, style: Style, context: Context) -> Content:
        for child in children(element):
            name = local_name(child)
            if namespace(child) == SVG and name in _DRAWING and self.applies(child):
                return self.element(child, replace(context, style=style))
        return Content()

    def own_matrix(self, element: Element, style: Style, context: Context) -> Matrix | None:
        """Give the matrix within an element; None if nothing of it can show."""
        own = style["transform"]
        if isinstance(own, Unread):
            self.report.refuse(own.feature, hint(element), own.text)
            return None
        self.refuse_moves(element, style)
        own = self.about_origin(own, element, style, context.viewport)
        if local_name(element) == "use":
            # x and y belong to its transform, so that its clip moves along (SVG 2, 5.5)
            own = multiply(own, translation(*self.place(element, style, context)))
        if own == IDENTITY:
            return context.matrix
        matrix = multiply(context.matrix, own)
        if not is_finite(matrix) or largest_scale(matrix) > limits.COORDINATE_MM:
            self.report.refuse("number", hint(element), "transform")
            return None
        if is_flat(own) or is_flat(matrix):
            self.report.note("flat matrix", hint(element))
            return None
        return matrix

    def refuse_moves(self, element: Element, style: Style) -> None:
        """Refuse what moves an element by CSS besides its transform, and a box its origin lies in."""
        if isinstance(style["transform-box"], Unread) and style["transform"] != IDENTITY:
            self.report.refuse("origin in part", hint(element))
        for name in ("rotate", "scale", "translate", "perspective", "offset-path", "zoom"):
            if isinstance(style[name], Unread):
                self.report.refuse(
                    style[name].feature, hint(element), f"{name}: {style[name].text[:60]}"
                )

    def about_origin(
        self, own: Matrix, element: Element, style: Style, viewport: tuple[float, float]
    ) -> Matrix:
        """Turn a transform about the element's transform-origin.

        Percentages and words are of the viewport, which is the reference box of elements without
        a CSS layout box (CSS Transforms Level 1, 5 and 6).
        """
        if own == IDENTITY:
            return own
        origin = style["transform-origin"]
        if isinstance(origin, Unread):
            self.report.refuse(origin.feature, hint(element), origin.text)
            return own
        x, y = (
            self.px(length, of, style, element) for length, of in zip(origin, viewport, strict=True)
        )
        return multiply(multiply(translation(x, y), own), translation(-x, -y))

    # --- use and viewports -----------------------------------------------------------------------

    def linked(self, element: Element) -> Element | None:
        """Give the element that another one's href means; reports why there is none."""
        reference = href(element)
        if reference is None or not reference.strip():
            self.report.note("no target", hint(element))
            return None
        target = target_of(reference.strip())
        if target is None:
            self.report.refuse("elsewhere", hint(element), reference.strip()[:60])
            return None
        found = found_by(self.ids, target)
        if found is None:
            self.report.note("no target", hint(element), f"#{target[:60]}")
        return found

    def _use(self, element: Element, style: Style, context: Context) -> Content:
        self.count_use(element)
        target = self.linked(element)
        if target is None:
            return Content()
        if target in context.chain or target is self.root or element in target.iter():
            self.report.refuse("itself", hint(element))
            return Content()
        inner = replace(context, style=style, painter=Painter(style, context.painter))
        name = local_name(target)
        if namespace(target) == SVG and name in ("symbol", "svg"):
            return self._shown_viewport(element, target, inner)
        return self.element(target, inner)

    def _shown_viewport(self, use: Element, target: Element, context: Context) -> Content:
        """Draw a symbol or svg that a use shows, at the size the use gives it."""
        style = self.cascade.style(target, context.style)
        symbol = local_name(target) == "symbol"
        if not symbol and not self.displayed(target, style):
            return Content()
        if symbol and style["transform"] != IDENTITY:
            self.report.refuse("symbol transform", hint(target))
            return Content()
        matrix = self.own_matrix(target, style, context)
        if matrix is None:
            return Content()
        inner = replace(context, matrix=matrix, chain=(*context.chain, target))
        sides = []
        for which, whole in (("width", 0), ("height", 1)):
            given = use.get(which)
            owner = use if given is not None else target
            if symbol and given is None:
                owner = use  # a symbol fills its viewport unless the use says otherwise
            default = Length(100.0, "%")
            sides.append(self.length(owner, which, default, context.viewport[whole], context.style))
        where = (0.0, 0.0) if symbol else self.place(target, style, context)
        content = self._viewport(target, style, inner, Box(*where, sides[0], sides[1]))
        self.effects(target, style, inner, content)
        return content

    def _nested(self, element: Element, style: Style, context: Context) -> Content:
        x, y = self.place(element, style, context)
        whole = Length(100.0, "%")
        width = self.length(element, "width", whole, context.viewport[0], style)
        height = self.length(element, "height", whole, context.viewport[1], style)
        return self._viewport(element, style, context, Box(x, y, width, height))

    def _viewport(self, element: Element, style: Style, context: Context, box: Box) -> Content:
        if box.width <= 0 or box.height <= 0:
            self.report.note("no area", hint(element))
            return Content()
        view = self.view_box(element)
        if view is False:
            return Content()
        if view is None:
            inner = translation(box.x, box.y)
            units = (box.width, box.height)
        else:
            inner = parse_fitting(element.get("preserveAspectRatio")).matrix(view, box)
            units = (view.width, view.height)
        content = self._children(
            element,
            style,
            replace(context, matrix=multiply(context.matrix, inner), viewport=units),
        )
        if style["overflow"] in (None, "hidden", "scroll", "clip"):
            self.cut(content, self.rectangle(box, context.matrix))
        return content

    def view_box(self, element: Element) -> Box | Literal[False] | None:
        """Give an element's view box; None if it has none, False if it can't be used."""
        text = element.get("viewBox")
        if text is None:
            return None
        try:
            view = parse_view_box(text)
        except OverflowError:
            self.report.refuse("number", hint(element), f"viewBox {text[:60]}")
            return False
        if view is None:
            numbers = parse_numbers(text) or []
            if len(numbers) == 4 and min(numbers[2:]) == 0:
                # it shows nothing (SVG 2, 8.6), but some viewers pass over it
                self.report.refuse("view box", hint(element), f"viewBox: {text[:60]}")
                return False
            # anything malformed is as if it weren't there
            self.report.note("bad value", hint(element), f"viewBox: {text[:60]}")
        return view

    def rectangle(self, box: Box, matrix: Matrix) -> MultiPolygon:
        """Give a rectangle of user space as a region in mm."""
        path = rectangle(box.x, box.y, box.width, box.height, 0, 0)
        return filled(rings_of(path, matrix, self.tolerance), "nonzero")

    # --- lengths ---------------------------------------------------------------------------------

    def px(self, length: object, of: float, style: Style, element: Element) -> float:
        """Give a length in user units; one that can't be told is refused and taken as 0."""
        if isinstance(length, Unread):
            self.report.refuse(length.feature, hint(element), length.text)
            return 0.0
        assert isinstance(length, Length)
        size = style["font-size"]
        try:
            return length.px(of, size.number if isinstance(size, Length) else None)
        except UnknownUnit:
            self.report.refuse("unit", hint(element), f"{length.number:g}{length.unit}")
            return 0.0

    def length(
        self, element: Element, name: str, default: Length | None, of: float, style: Style
    ) -> float:
        """Give an attribute's length in user units; a missing or malformed one is the default."""
        given = self._given(element, name)
        if given is None:
            return self.px(default, of, style, element) if default else 0.0
        return self.px(given, of, style, element)

    def _given(self, element: Element, name: str) -> Length | None:
        text = element.get(name)
        if text is None or text.strip().lower() == "auto":
            return None
        try:
            length = parse_length(text)
        except OverflowError:
            self.report.refuse("number", hint(element), f"{name} {text.strip()[:40]}")
            return None
        if length is None and is_computed(text):
            self.report.refuse("css value", hint(element), f"{name}: {text.strip()[:60]}")
        elif length is None:
            self.report.note("bad value", hint(element), f"{name}: {text.strip()[:60]}")
        return length

    def place(self, element: Element, style: Style, context: Context) -> tuple[float, float]:
        """Give x and y of an element."""
        width, height = context.viewport
        return (
            self.length(element, "x", None, width, style),
            self.length(element, "y", None, height, style),
        )

    # --- shapes ----------------------------------------------------------------------------------

    def outline(self, element: Element, style: Style, context: Context) -> Path | None:
        """Give the outline of a basic shape or path; None if it has none."""
        name = local_name(element)
        try:
            if name == "path":
                path, whole = parse_path(element.get("d") or "")
            elif name in ("polyline", "polygon"):
                path, whole = parse_points(element.get("points") or "", close=name == "polygon")
            else:
                return self._basic(element, name, style, context)
        except OverflowError as error:
            self.report.refuse("number", hint(element), str(error)[:40])
            return None
        if not whole:
            self.report.note("damaged path", hint(element))
        return path

    def _basic(self, element: Element, name: str, style: Style, context: Context) -> Path | None:
        width, height = context.viewport

        def get(which: str, of: float) -> float:
            return self.length(element, which, None, of, style)

        if name == "line":
            return line(get("x1", width), get("y1", height), get("x2", width), get("y2", height))
        if name == "circle":
            r = get("r", context.diagonal)
            return ellipse(get("cx", width), get("cy", height), r, r) if r > 0 else None
        given = {which: self._given(element, which) for which in ("rx", "ry")}
        rx, ry = (
            self.px(one, of, style, element) if one is not None else None
            for one, of in ((given["rx"], width), (given["ry"], height))
        )
        # a missing or negative radius follows the other one (SVG 2, 10.2: auto)
        rx = None if rx is not None and rx < 0 else rx
        ry = None if ry is not None and ry < 0 else ry
        rx, ry = (rx if rx is not None else ry), (ry if ry is not None else rx)
        if name == "ellipse":
            if not rx or not ry:
                return None
            return ellipse(get("cx", width), get("cy", height), rx, ry)
        w, h = get("width", width), get("height", height)
        if w <= 0 or h <= 0:
            return None
        return rectangle(get("x", width), get("y", height), w, h, rx or 0.0, ry or 0.0)

    def _shape(self, element: Element, style: Style, context: Context) -> Content:
        content = Content()
        path = self.outline(element, style, context)
        if path is None or not (len(path) or len(path.lone)):
            self.report.note("no area", hint(element))
            return content
        if not self.within_bounds(transformed(path.control, context.matrix), element):
            return content
        content.outlines.append((path, context.matrix))
        if style["visibility"] != "visible":
            return content
        if isinstance(style["vector-effect"], Unread):
            effect = style["vector-effect"]
            self.report.refuse(effect.feature, hint(element), effect.text)
        inked = False
        for step in style["paint-order"] if not isinstance(style["paint-order"], Unread) else ():
            if step == "markers":
                content.painted += paint_markers(self, element, style, context, path)
                continue
            paint = solid_paint(self, element, style, step, content, context)
            if paint is None or (step == "stroke" and self._measured(element, style, context)):
                continue
            region = (self.fill if step == "fill" else self.stroke)(element, style, context, path)
            inked = True
            if not region.is_empty:
                content.painted.append(
                    Painted(region, paint.colour, hint(element), paint.alpha, paint.tint)
                )
        if inked and not content.painted:
            self.report.note("no area", hint(element))
        return content

    def fill(
        self, element: Element, style: Style, context: Context, path: Path, rule: str = "fill-rule"
    ) -> MultiPolygon:
        """Give what a path's inside is, by the fill rule that a property names."""
        value = style[rule]
        if isinstance(value, Unread):
            self.report.refuse(value.feature, hint(element), value.text)
            return EMPTY
        return self._filled(rings_of(path, context.matrix, self.tolerance), value, element)

    def _filled(self, rings: list[Floats], rule: str, element: Element) -> MultiPolygon:
        self._points += sum(map(len, rings))
        if self._points > limits.POINTS:
            self.report.refuse("points", hint(element), f"more than {limits.POINTS} in the file")
            raise Stop
        return filled(rings, rule)

    def within_bounds(self, points: Floats, element: Element) -> bool:
        """Say whether points in mm lie near enough to be printed; refuses those that don't."""
        # written so that nan fails, too
        if points.size and not np.abs(points).max() <= limits.COORDINATE_MM:
            self.report.refuse("huge", hint(element))
            return False
        return True

    def pen(self, element: Element, style: Style, context: Context) -> Pen | None:
        """Give the pen of an element; None if it draws nothing."""
        for name in ("stroke-linejoin", "stroke-linecap", "stroke-miterlimit", "stroke-dasharray"):
            value = style[name]
            if isinstance(value, Unread):
                self.report.refuse(value.feature, hint(element), value.text)
                return None
        width = self.px(style["stroke-width"], context.diagonal, style, element)
        if width < 0:
            self.report.refuse("negative stroke", hint(element), f"{width:g}")
        if width <= 0:
            return None
        dashes = tuple(
            self.px(dash, context.diagonal, style, element) for dash in style["stroke-dasharray"]
        )
        if len(dashes) % 2:
            dashes *= 2
        return Pen(
            width,
            style["stroke-linecap"],
            style["stroke-linejoin"],
            style["stroke-miterlimit"],
            dashes if sum(dashes) > 0 else (),
            self.px(style["stroke-dashoffset"], context.diagonal, style, element),
        )

    def _measured(self, element: Element, style: Style, context: Context) -> bool:
        """Say whether dashes are counted in shares of a length that the file claims; refused.

        The claim rules dashes alone (SVG 2, 9.6.1), yet not every viewer heeds it.
        """
        text = element.get("pathLength")
        pen = self.pen(element, style, context) if text is not None else None
        if text is None or pen is None or not pen.dashes:
            return False
        try:
            number = parse_number(text)
        except OverflowError:
            number = 0.0
        if number is None or number < 0:
            self.report.note("bad value", hint(element), f"pathLength: {text.strip()[:60]}")
            return False
        self.report.refuse("measured dashes", hint(element), f"pathLength {text.strip()[:60]}")
        return True

    def stroke(self, element: Element, style: Style, context: Context, path: Path) -> MultiPolygon:
        """Give what the stroke of a path covers."""
        pen = self.pen(element, style, context)
        if pen is None:
            return EMPTY
        if largest_scale(context.matrix) * pen.width > limits.COORDINATE_MM:
            self.report.refuse("huge", hint(element), "stroke-width")
            return EMPTY
        # the stroke's outline crosses itself where the path does: look at the path first
        guard_crossings(rings_of(path, context.matrix, self.tolerance))
        rings = stroke_rings(path, pen, self.tolerance / largest_scale(context.matrix))
        rings = [transformed(ring, context.matrix) for ring in rings]
        if rings and not self.within_bounds(np.concatenate(rings), element):
            return EMPTY
        return self._filled(rings, "nonzero", element)

    def cut(self, content: Content, region: MultiPolygon) -> None:
        """Keep only what lies within a region; notes each shape of which nothing is left."""
        for source in content.cut(region):
            self.report.note("cut away", source)

    # --- effects ---------------------------------------------------------------------------------

    def effects(self, element: Element, style: Style, context: Context, content: Content) -> None:
        """Apply what works on an element as a whole: filter, clip, mask, opacity, blending."""
        for name in ("filter", "mix-blend-mode", "clip", "mask-image", "mask-border"):
            value = style[name]
            if isinstance(value, Unread):
                self.report.refuse(value.feature, hint(element), value.text[:60])
        hides = style["content-visibility"]
        if isinstance(hides, Unread):
            self.report.refuse(
                hides.feature, hint(element), f"content-visibility: {hides.text[:60]}"
            )
        if local_name(element) == "svg":
            for name in ("background", "background-color", "background-image"):
                if isinstance(style[name], Unread):
                    self.report.refuse("background", hint(element), style[name].text[:60])
        for name, region_of in (("clip-path", clip_region), ("mask", mask_region)):
            value = style[name]
            if isinstance(value, Unread):
                self.report.refuse(value.feature, hint(element), value.text[:60])
            elif isinstance(value, Reference) and (content.painted or content.outlines):
                if name == "mask":
                    self._refuse_layers(element, style)
                region = region_of(self, value, element, content, context)
                if region is not None:
                    self.cut(content, region)
        self._fade(element, style["opacity"], content)

    def _refuse_layers(self, element: Element, style: Style) -> None:
        """Refuse what CSS does with the layers of a mask; many viewers know nothing of them."""
        for name in MASKED:
            if isinstance(style[name], Unread):
                value = f"{name}: {style[name].text[:60]}"
                self.report.refuse(style[name].feature, hint(element), value)

    def _fade(self, element: Element, opacity: object, content: Content) -> None:
        if isinstance(opacity, Unread):
            self.report.refuse(opacity.feature, hint(element), opacity.text)
        elif opacity == 0:
            if content.painted:
                self.report.note("invisible", hint(element))
            content.painted = []
        elif isinstance(opacity, float) and opacity < 1:
            if self._solid_tints and len(content.painted) > 1:
                if any(one.alpha < 1 for one in content.painted):
                    self.report.refuse("tint in tint", hint(element))
                content.painted = disjoint(content.painted)
            content.painted = [
                replace(one, alpha=one.alpha * opacity, tint=hint(element))
                for one in content.painted
            ]
