"""Text elements as outlines, in fonts that the order names.

Source: SVG 2, chapter 11 (text) and CSS Text Module Level 3, 4 (white space). What viewers are known to
do differently is refused, through the properties in :data:`prep.svg.styles.LETTERING` and here.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar, cast

import numpy as np
import shapely
from shapely import MultiPolygon

from prep.svg.curves import transformed
from prep.svg.document import SVG, XML, Element, children, hint, local_name, namespace
from prep.svg.family_names import family_key
from prep.svg.fills import EMPTY, as_region
from prep.svg.fonts import Face, LibrariesMissing
from prep.svg.lettering import (
    Character,
    Manner,
    NotLaidOut,
    PlacedGlyph,
    Spacing,
    hindrances,
    lay_out,
)
from prep.svg.notation import IDENTITY, Length, parse_length, parse_number
from prep.svg.paints import solid_paint
from prep.svg.paths import Path, rectangle
from prep.svg.scene import Content, Context, Painted
from prep.svg.styles import LETTERING, Style, Unread
from prep.svg.unseen import holds_drawing

if TYPE_CHECKING:
    from prep.svg.walk import Walk

Set = TypeVar("Set", bound=Spacing)

_SPANS = frozenset(("tspan", "a"))
_SILENT = frozenset(("title", "desc", "metadata", "style", "script"))
_MOVING = frozenset(("animate", "animateColor", "animateMotion", "animateTransform", "set"))
_LISTS = ("x", "y", "dx", "dy")
_SPACE = re.compile("[ \\t\\n\\r]")
_BREAK = re.compile("[\\t\\n\\r]")
_KEPT = ("pre", "pre-wrap", "break-spaces")
_COMMA = re.compile(r"\s*,\s*|\s+")
_WHOLE = (
    *(("opacity", 1.0), ("clip-path", None), ("mask", None), ("filter", None)),
    *(("mix-blend-mode", "normal"), ("transform", IDENTITY)),
)
"""What viewers do differently on a part of a text, by the value that does nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Span:
    """Characters of one element, outlined.

    :param path: in user units of the text element
    """

    element: Element
    style: Style
    path: Path


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """A stretch of text directly within one element.

    :param spaces: ``collapse``, ``preserve``, or ``unsure`` where viewers disagree
    :param depth: of the element within the text
    """

    element: Element
    style: Style
    spaces: str
    depth: int


@dataclass(frozen=True, slots=True)
class _Lists:
    """The positions one element gives its characters.

    :param depth: of the element within the text
    :param start: number of the first of its characters, before spaces are collapsed
    """

    depth: int
    start: int
    end: int
    values: dict[str, list[float]]


def text_hint(element: Element) -> str:
    """Say how to find a text: ``text "Regatta" (id "title"), line 14``."""
    words = " ".join("".join(str(part) for part in element.itertext()).split())
    identity = element.get("id")
    named = f' (id "{identity[:40]}")' if identity else ""
    shown = f' "{words[:40]}"' if words else ""
    line = f", line {element.sourceline}" if element.sourceline else ""
    return f"{local_name(element)}{shown}{named}{line}"


def paint_text(walk: Walk, element: Element, style: Style, context: Context) -> Content:
    """Give what a text element paints."""
    content = Content()
    spans = outlined(walk, element, style, context)
    for span in spans:
        if not walk.within_bounds(transformed(span.path.control, context.matrix), element):
            return Content()
        content.outlines.append((span.path, context.matrix))
        content.lettered = True
    for span in spans:
        if span.style["visibility"] == "visible":
            _paint(walk, span, text_hint(element), context, content)
    return content


def text_region(walk: Walk, element: Element, style: Style, context: Context) -> MultiPolygon:
    """Give what a text element in a clipping path lets through."""
    regions = [
        walk.fill(element, _nonzero(span.style), context, span.path)
        for span in outlined(walk, element, style, context)
        if span.style["visibility"] == "visible"
        and walk.within_bounds(transformed(span.path.control, context.matrix), element)
    ]
    return as_region(shapely.union_all(regions)) if regions else EMPTY


def _paint(walk: Walk, span: Span, source: str, context: Context, content: Content) -> None:
    style = _nonzero(span.style)
    effect = style["vector-effect"]
    if isinstance(effect, Unread):
        walk.report.refuse(effect.feature, source, effect.text)
    order = style["paint-order"]
    if isinstance(order, Unread):
        walk.report.refuse(order.feature, source, order.text)
        return
    for step in order:
        if step == "markers":
            continue
        paint = solid_paint(walk, span.element, style, step, content, context)
        if paint is None:
            continue
        if step == "stroke" and style["stroke-dasharray"]:
            # a dash begins where the font's maker began the outline, which formats tell differently
            walk.report.refuse("lettering", source, "dashes")
            continue
        draw = walk.fill if step == "fill" else walk.stroke
        region = draw(span.element, style, context, span.path)
        if not region.is_empty:
            content.painted.append(Painted(region, paint.colour, source, paint.alpha, paint.tint))


def _nonzero(style: Style) -> Style:
    """Give the style for glyphs, whose inside no fill rule of the drawing changes."""
    return {**style, "fill-rule": "nonzero"}


def outlined(walk: Walk, element: Element, style: Style, context: Context) -> list[Span]:
    """Give the outlines of a text element, by the part they belong to.

    Of one that is refused, each part is a square of its font's size where the text begins, so that
    what is done with the text is looked at all the same.

    :raises prep.errors.InputError: a font file can't be used
    """
    if not walk.fonts and not "".join(map(str, element.itertext())).strip():
        return []
    before = len(walk.report.reasons)
    reader = _Reader(walk, element, context)
    reader.read(element, style)
    characters = reader.addressed()
    if not characters:
        return []
    others = reader.addressed(last=True)
    used = sorted({one.part for one in (*characters, *others)})
    spacings = {number: _spacing(walk, element, reader.parts[number], context) for number in used}
    faces = {number: _face(walk, reader.parts[number].style, element) for number in used}
    all_spacings = _for_every_part(spacings, len(reader.parts))
    manners = _for_every_part(
        {n: _manner(spacing, faces[n]) for n, spacing in spacings.items()}, len(reader.parts)
    )
    for hindrance in hindrances(characters, all_spacings) if all_spacings else ():
        walk.report.refuse(hindrance.feature, text_hint(element), hindrance.detail[:80])
    if manners is None or len(walk.report.reasons) > before:
        return list(_stand_ins(reader.parts, used, characters[0]))
    try:
        placed = lay_out(characters, manners)
        if others != characters and not _alike(placed, lay_out(others, manners), manners):
            reader.refuse("spaces at the end of one part and the start of the next: keep one")
            return list(_stand_ins(reader.parts, used, characters[0]))
    except NotLaidOut as error:
        walk.report.refuse(error.feature, text_hint(element), error.detail[:80])
        return list(_stand_ins(reader.parts, used, characters[0]))
    for name in sorted({manners[one.part].face.file.name for one in placed}):
        walk.report.note("outlined", text_hint(element), name)
    return [
        Span(reader.parts[number].element, reader.parts[number].style, path)
        for number, path in _paths(placed, manners)
        if len(path)
    ]


def _stand_ins(parts: Sequence[_Part], used: Sequence[int], first: Character) -> Iterator[Span]:
    """Give a square for each part of a text that is refused."""
    for part in (parts[number] for number in used):
        size = part.style["font-size"]
        side = size.number if isinstance(size, Length) and size.number > 0 else 1.0
        square = rectangle(first.x or 0.0, (first.y or 0.0) - side, side, side, 0, 0)
        yield Span(part.element, part.style, square)


def _paths(placed: Sequence[PlacedGlyph], manners: Sequence[Manner]) -> Iterator[tuple[int, Path]]:
    """Give one path for each part of a chunk, in the order they are painted."""
    by_part: dict[tuple[int, int], list[Path]] = {}
    for glyph in placed:
        manner = manners[glyph.part]
        scale = manner.size / manner.face.units
        outline = manner.face.outline(glyph.number)
        if not len(outline) or not scale:
            continue
        control = transformed(outline.control, (scale, 0.0, 0.0, -scale, glyph.x, glyph.y))
        by_part.setdefault((glyph.chunk, glyph.part), []).append(
            Path(
                control,
                outline.straight,
                outline.knots,
                outline.first,
                outline.closed,
                np.zeros((0, 2)),
            )
        )
    for (_, number), paths in sorted(by_part.items()):
        before = np.cumsum([0, *map(len, paths)])
        yield (
            number,
            Path(
                np.concatenate([one.control for one in paths]),
                np.concatenate([one.straight for one in paths]),
                np.concatenate([one.knots for one in paths]),
                np.concatenate([one.first + at for one, at in zip(paths, before, strict=False)]),
                np.concatenate([one.closed for one in paths]),
                np.zeros((0, 2)),
            ),
        )


def _alike(
    first: Sequence[PlacedGlyph], second: Sequence[PlacedGlyph], manners: Sequence[Manner]
) -> bool:
    """Say whether two layouts put the same ink in the same places, but for rounding."""
    one, other = (
        [g for g in glyphs if len(manners[g.part].face.outline(g.number))]
        for glyphs in (first, second)
    )
    return [(g.part, g.number, g.chunk) for g in one] == [
        (g.part, g.number, g.chunk) for g in other
    ] and bool(np.allclose([(g.x, g.y) for g in one], [(g.x, g.y) for g in other], atol=1e-9))


def _for_every_part(made: Mapping[int, Set | None], count: int) -> list[Set] | None:
    """Give how each part is set; None if one is refused. Parts without characters follow any."""
    known = {number: one for number, one in made.items() if one is not None}
    if len(known) < len(made):
        return None
    some = next(iter(known.values()))
    return [known.get(number, some) for number in range(count)]


def _spacing(walk: Walk, text: Element, part: _Part, context: Context) -> Spacing | None:
    style = part.style
    size = style["font-size"]
    if isinstance(size, Unread):
        walk.report.refuse(size.feature, text_hint(text), size.text)
    # in any case, so that what they are refused for is told too
    letter = walk.px(style["letter-spacing"], context.diagonal, style, part.element)
    word = walk.px(style["word-spacing"], context.diagonal, style, part.element)
    if isinstance(size, Unread):
        return None
    language = _inherited(part.element, "lang") or ""
    return Spacing(size.number, letter, word, style["text-anchor"], language)


def _manner(spacing: Spacing | None, face: Face | None) -> Manner | None:
    if spacing is None or face is None:
        return None
    one = spacing
    return Manner(one.size, one.letter, one.word, one.anchor, one.language, face)


def _face(walk: Walk, style: Style, text: Element) -> Face | None:
    """Give the font of a part; None if it is refused, for every reason there is."""
    source = text_hint(text)
    family, weight, slant = style["font-family"], style["font-weight"], style["font-style"]
    unread = [value for value in (family, weight, slant) if isinstance(value, Unread)]
    for value in unread:
        walk.report.refuse(value.feature, source, value.text[:60])
    lacking = "face" if walk.fonts else "text"
    if not family:
        walk.report.refuse(lacking, source, "no font-family at all")
    elif unread and not walk.fonts:
        walk.report.refuse(lacking, source)
    if unread or not family:
        return None
    try:
        face = walk.fonts.face(family[0], weight, slant)
    except LibrariesMissing:
        walk.report.refuse("libraries", source)
        return None
    if family_key(family[0]) in walk.own_families:
        walk.report.note("own font", source, family[0][:60])
    if face is None:
        named = {400.0: "normal", 700.0: "bold"}.get(weight, f"{weight:g}")
        walk.report.refuse(
            lacking,
            source,
            f'family = "{family[0][:60]}", weight = "{named}", style = "{slant}"',
        )
    return face


def _inherited(element: Element, name: str) -> str | None:
    """Give an ``xml:`` attribute of the element or the nearest one around it that has it."""
    at: Element | None = element
    while at is not None:
        value = at.get(f"{{{XML}}}{name}")
        if value is None and name == "lang":
            value = at.get("lang")
        if value is not None:
            return value.strip()
        at = at.getparent()
    return None


class _Reader:
    """Collects the characters of a text element and the positions it gives them."""

    def __init__(self, walk: Walk, text: Element, context: Context) -> None:
        self.walk, self.text, self.context = walk, text, context
        self.parts: list[_Part] = []
        self._signs: list[tuple[str, int]] = []
        self._lists: list[_Lists] = []
        self._hidden = False
        self._depth = 0

    def refuse(self, detail: str) -> None:
        """Refuse the text."""
        self.walk.report.refuse("lettering", text_hint(self.text), detail[:80])

    def read(self, element: Element, style: Style) -> None:
        """Take in an element and what is in it."""
        self._check(element, style)
        start, own = len(self._signs), len(self._lists)
        self._take(element.text, element, style)
        for child in children(element):
            self._child(child, style)
            self._take(child.tail, element, style)
        values = self._positions(element, style)
        if values:
            # before those of the children, which outweigh it
            self._lists.insert(own, _Lists(self._depth, start, len(self._signs), values))

    def _child(self, child: Element, style: Style) -> None:
        name = local_name(child)
        if namespace(child) != SVG:
            if namespace(child):
                if holds_drawing(child) or "".join(map(str, child.itertext())).strip():
                    self.walk.report.note("foreign", hint(child))
            else:
                self.walk.report.refuse("no namespace", hint(child))
        elif name in _MOVING:
            self.walk.report.note("animation", hint(child))
        elif name in (*_SPANS, "textPath"):
            if name == "textPath":
                self.refuse(name)  # and read on, for what else stands against the text
            own = self.walk.cascade.style(child, style)
            if not self.walk.displayed(child, own) or not self.walk.applies(child):
                self._hidden = True
                if any(one.get(name) is not None for one in child.iter() for name in _LISTS):
                    self.refuse("positions in a hidden part, which some viewers count")
            else:
                self._depth += 1
                self.read(child, own)
                self._depth -= 1
        elif name not in _SILENT:
            self.refuse(name)

    def _take(self, text: str | None, element: Element, style: Style) -> None:
        if text:
            spaces = self._spaces(element, style)
            if style["white-space"] in _KEPT and _BREAK.search(text):
                self.refuse(f"white-space: {style['white-space']} with line breaks or tabs")
            self._signs += [(sign, len(self.parts)) for sign in str(text)]
            self.parts.append(_Part(element, style, spaces, self._depth))

    def _spaces(self, element: Element, style: Style) -> str:
        asked = _inherited(element, "space") == "preserve"
        if style["white-space"] is not None and asked is not (style["white-space"] in _KEPT):
            return "unsure"  # some viewers heed xml:space alone
        if not asked:
            return "collapse"
        at = element
        while at is not self.text and at.get(f"{{{XML}}}space") is None:
            at = cast(Element, at.getparent())
        # some viewers heed it on the text alone, others not around it
        own = at is self.text and at.get(f"{{{XML}}}space") is not None
        return "preserve" if own else "unsure"

    def _check(self, element: Element, style: Style) -> None:
        """Refuse what isn't laid out exactly."""
        for name in (*LETTERING, "white-space"):
            value = style[name]
            if isinstance(value, Unread):
                self.refuse(f"{name}: {value.text}")
        if element is self.text:
            for link in (*self.context.chain, self.walk.root):
                self._check_lines(self.walk.cascade.style_in_place(cast(Element, link)))
        else:
            self._check_lines(style)
            for name, harmless in _WHOLE:
                if style[name] != harmless:
                    self.refuse(f"{name} on a part of it")
        if element.get("textLength") is not None:
            self.refuse("textLength")
        turned = (element.get("rotate") or "").replace(",", " ").split()
        if any(parse_number(one) != 0 for one in turned):
            self.refuse("rotate")

    def _check_lines(self, style: Style) -> None:
        """Refuse lines under, over or through text: they aren't inherited, but run on below."""
        for name in ("text-decoration", "text-decoration-line"):
            if isinstance(style[name], Unread):
                self.refuse(f"{name}: {style[name].text}")

    def _positions(self, element: Element, style: Style) -> dict[str, list[float]]:
        found: dict[str, list[float]] = {}
        if local_name(element) == "a":
            if any(element.get(name) is not None for name in _LISTS):
                self.refuse("a position on a link")  # it has none, but some viewers heed it
            return found
        width, height = self.context.viewport
        for name in _LISTS:
            text = element.get(name)
            if text is None or not text.strip():
                continue
            lengths: list[Length] = []
            for piece in _COMMA.split(text.strip()):
                try:
                    length = parse_length(piece)
                except OverflowError:
                    length = None
                if length is None or length.unit == "ex":
                    self.refuse(f"{name}: {text.strip()}")
                    return found
                lengths.append(length)
            of = width if name in ("x", "dx") else height
            found[name] = [self.walk.px(one, of, style, element) for one in lengths]
        return found

    def addressed(self, *, last: bool = False) -> list[Character]:
        """Give the characters that are left when spaces are collapsed, with their positions.

        :param last: whether of spaces in a row the last one stays, as in some viewers, not the first
        """
        kept = self._kept(("collapse",), last=last)
        if not last:
            self._check_spaces(kept)
        made = [Character(_SPACE.sub(" ", self._signs[at][0]), self._signs[at][1]) for at in kept]
        for lists in self._lists:
            own = [c for c, at in zip(made, kept, strict=True) if lists.start <= at < lists.end]
            for name, values in lists.values.items():
                for character, value in zip(own, values, strict=False):
                    setattr(character, name, value)
        if made:
            made[0].x = made[0].x or 0.0
            made[0].y = made[0].y or 0.0
        return made

    def _check_spaces(self, kept: Sequence[int]) -> None:
        """Refuse spaces and lists of positions that viewers count differently."""
        ways = {part.spaces for part in self.parts}
        if (len(ways) > 1 and any(_SPACE.fullmatch(sign) for sign, _ in self._signs)) or (
            "unsure" in ways and kept != self._kept(("collapse", "unsure"))
        ):
            self.refuse("spaces that viewers count differently: keep or collapse all of them")
        if any(map(self._leads_in, kept)):
            self.refuse("a part that begins with a space: put the space in front of the part")
        for lists in self._lists:
            count = max(map(len, lists.values.values()))
            own = [at for at in kept if lists.start <= at < lists.end][:count]
            if count > 1 and own:
                reach = range(lists.start, own[-1] + 1)
                inner = any(self.parts[self._signs[at][1]].depth > lists.depth for at in reach)
                if (
                    self._hidden
                    or any(ord(self._signs[at][0]) > 0xFFFF for at in own)
                    or (inner and len(own) < len(reach))
                ):
                    self.refuse("a list of positions that viewers count differently")

    def _leads_in(self, at: int) -> bool:
        """Say whether a space begins an element after a letter of the one around it.

        Some viewers lose it.
        """
        if not at or not _SPACE.fullmatch(self._signs[at][0]):
            return False
        before, own = (self.parts[self._signs[i][1]] for i in (at - 1, at))
        return own.spaces != "preserve" and before is not own and before.depth < own.depth

    def _kept(self, collapsing: tuple[str, ...], *, last: bool = False) -> list[int]:
        """Give the numbers of the characters that are left when spaces are collapsed."""
        kept: list[int] = []
        after_space = True  # spaces at the start of the line go
        broken = False  # a line break was collapsed since the last character
        for at, (sign, number) in enumerate(self._signs):
            space = _SPACE.fullmatch(sign) is not None
            if space and self.parts[number].spaces in collapsing:
                broken = broken or sign in "\n\r"
                if not after_space:
                    kept.append(at)
                elif last and kept:
                    kept[-1] = at
                after_space = True
                continue
            if broken and len(kept) > 1 and _is_wide(sign) and _is_wide(self._signs[kept[-2]][0]):
                self.refuse("a line break between wide characters")
            kept.append(at)
            after_space = broken = False
        if kept and after_space:
            sign, number = self._signs[kept[-1]]
            if _SPACE.fullmatch(sign) and self.parts[number].spaces in collapsing:
                kept.pop()
        return kept


def _is_wide(sign: str) -> bool:
    return unicodedata.east_asian_width(sign) in "WF"
