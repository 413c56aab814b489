"""The size of the print and where the drawing lies in it.

The file's physical size counts; what the order asks for goes before it. Plain numbers, px and a view
box alone are no physical size: then 96 units to the inch are taken (CSS Values Level 3, 6.2), and the
artwork says that its size is assumed, for 72, 90 and 96 can't be told from a file.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from prep.artwork import PrintSize
from prep.errors import InputError
from prep.svg import limits
from prep.svg.document import Element
from prep.svg.notation import (
    MM_PER_PX,
    PX_PER_UNIT,
    Box,
    Fitting,
    Matrix,
    parse_fitting,
    parse_length,
    parse_view_box,
)

_ALIKE = (
    1e-3  # proportions that differ by less are the same: a tenth of a millimetre in a hand's width
)
_PHYSICAL = frozenset(("mm", "cm", "in", "pt", "pc", "q"))
_ROOT_FONT_PX = 16.0
_FONT_UNITS = {"em": 1.0, "rem": 1.0, "ex": 0.5}  # half an em for an ex: CSS Values 3, 5.1.1


@dataclass(frozen=True, slots=True)
class Artboard:
    """The page of the drawing at its printed size.

    :param matrix: from the drawing's user units to mm
    :param units: width and height of the page in user units, for percentages
    """

    width_mm: float
    height_mm: float
    matrix: Matrix
    units: tuple[float, float]
    notes: tuple[str, ...]
    size_assumed: bool


@dataclass(frozen=True, slots=True)
class _Side:
    px: float
    physical: bool
    text: str


def artboard_of(
    root: Element,
    declared: tuple[str | None, str | None],
    size: PrintSize,
    name: str,
    font_px: float | None = _ROOT_FONT_PX,
) -> Artboard:
    """Work out the page.

    :param declared: width and height as style sheets set them on the root, where they do
    :param size: what the order asks for
    :param font_px: size of the root's font; None if it can't be told
    :raises InputError: no size, or one that can't be
    """
    view = _view_box(root, name)
    asked_for = (size.width_mm, size.height_mm) != (None, None)
    notes: list[str] = []
    said = {
        which: text if text is not None else root.get(which)
        for which, text in zip(("width", "height"), declared, strict=True)
    }
    notes += _outweighed(root, declared)
    if view is not None and asked_for:
        left_out = {which: text for which, text in said.items() if _is_relative(text)}
        if left_out:
            said |= dict.fromkeys(left_out)
            notes.append(
                f"The file's {' and '.join(left_out)} ({', '.join(map(str, left_out.values()))}):"
                " units of a screen; the size asked for and the viewBox count."
            )
    width, height = (_side(text, which, name, asked_for, font_px) for which, text in said.items())
    if view is None and (width is None or height is None):
        missing = "width and height" if width is height else "height" if width else "width"
        raise InputError(
            f"has no size: {missing} and viewBox are missing",
            where=name,
            do="set the page size in the drawing program and export again",
        )
    if width is None and height is None:
        assert view is not None
        width, height = (_Side(side, False, "") for side in (view.width, view.height))
    elif height is None or width is None:
        assert view is not None
        known = width or height
        assert known is not None
        ratio = view.height / view.width
        other = known.px * ratio if height is None else known.px / ratio
        given, left = ("width", "height") if height is None else ("height", "width")
        made = _Side(other, known.physical, "")
        width, height = (known, made) if height is None else (made, known)
        notes.append(f"The file gives only the {given} ({known.text}); the {left} follows from it.")
    if view is None and font_px != _ROOT_FONT_PX and any(map(_is_relative, said.values())):
        raise InputError(
            "has a size that follows its font, and no viewBox",
            where=name,
            do="set the page size in mm in the drawing program and export again",
        )
    by_font = {which: text for which, text in said.items() if _is_relative(text)}
    if by_font and font_px != _ROOT_FONT_PX:
        notes.append(
            f"The file gives its {' and '.join(by_font)} ({', '.join(map(str, by_font.values()))})"
            f" by its font of {font_px:g} px."
        )
    fitting = parse_fitting(root.get("preserveAspectRatio"))
    asked = _asked(size, width, height, name)
    physical = width.physical and height.physical
    assumed = False
    if asked is None:
        size_mm = width.px * MM_PER_PX, height.px * MM_PER_PX
        if not physical:
            assumed = True
            notes.append(
                f"Size assumed: {_lacking(width, height)}, so 96 units to the inch were taken: "
                f"{size_mm[0]:.1f} x {size_mm[1]:.1f} mm; at 72 to the inch it would be 1.333 times, "
                "at 90 1.067 times as large. Give the width of the print to be sure."
            )
    else:
        size_mm = asked
        if physical:
            notes.append(
                f"The file says {width.px * MM_PER_PX:.1f} x {height.px * MM_PER_PX:.1f} mm; "
                f"it is printed at {size_mm[0]:.1f} x {size_mm[1]:.1f} mm as asked."
            )
    if max(size_mm) > limits.ARTBOARD_MM:
        raise InputError(
            f"would be {size_mm[0]:.0f} x {size_mm[1]:.0f} mm; "
            f"at most {limits.ARTBOARD_MM:.0f} mm can be printed",
            where=name,
            do="give the width of the print",
        )
    if min(size_mm) < limits.FINEST_ARTBOARD_MM:
        raise InputError(
            f"would be {size_mm[0]:.4g} x {size_mm[1]:.4g} mm, too small to print",
            where=name,
            do="give the width of the print",
        )
    view = view or Box(0.0, 0.0, width.px, height.px)
    notes += _margins(view, size_mm, fitting)
    return Artboard(
        size_mm[0],
        size_mm[1],
        fitting.matrix(view, Box(0.0, 0.0, *size_mm)),
        (view.width, view.height),
        tuple(notes),
        assumed,
    )


def _lacking(width: _Side, height: _Side) -> str:
    """Say what of a physical size the file doesn't give."""
    for side, which, other in ((width, "width", "height"), (height, "height", "width")):
        if side.physical:
            return (
                f"the file gives only its {which} ({side.text}) in a physical unit, not its {other}"
            )
    return "the file gives no physical size"


def _outweighed(root: Element, declared: tuple[str | None, str | None]) -> Iterator[str]:
    """Tell of physical sizes in attributes that style sheets or a style attribute outweigh."""
    for which, text in zip(("width", "height"), declared, strict=True):
        written = root.get(which)
        if text is None or written is None or text.strip() == written.strip():
            continue
        try:
            length = parse_length(written)
        except OverflowError:
            continue
        if length is not None and length.unit in _PHYSICAL:
            yield (
                f"The file's {which} by its style ({text[:60]}) outweighs its attribute"
                f' {which}="{written.strip()}", as the standard asks.'
            )


def _view_box(root: Element, name: str) -> Box | None:
    text = root.get("viewBox")
    if text is None:
        return None
    try:
        view = parse_view_box(text)
    except OverflowError:
        view = None
    if view is None:
        raise InputError(
            f'has a viewBox that can\'t be used: "{text[:60]}"',
            where=name,
            do="give it as x y width height, with a width and height above zero",
        )
    return view


def _is_relative(text: str | None) -> bool:
    """Say whether a side hangs on the font or window that the file is seen with."""
    try:
        length = parse_length(text or "")
    except OverflowError:
        return False
    return (
        length is not None
        and length.number > 0
        and length.unit not in PX_PER_UNIT
        and length.unit != "%"
    )


def _side(
    text: str | None, which: str, name: str, asked_for: bool, font_px: float | None
) -> _Side | None:
    if text is None or text.strip().lower() in ("auto", ""):
        return None
    try:
        length = parse_length(text)
    except OverflowError:
        length = None
    if length is None:
        raise InputError(
            f'has a {which} that is no length: "{text[:60]}"',
            where=name,
            do=f'give it like {which}="280mm"',
        )
    if length.unit == "%" and length.number > 0:
        return None
    if length.unit in _FONT_UNITS and font_px is not None:
        px = length.number * font_px * _FONT_UNITS[length.unit]
    elif length.unit == "%":
        px = length.number
    elif length.unit in PX_PER_UNIT:
        px = length.px(0.0, None)
    else:
        instead = "" if asked_for else ", or give the width of the print if it has a viewBox"
        raise InputError(
            f'has a {which} in a unit that only a screen knows: "{text[:60]}"',
            where=name,
            do=f'give it in mm, like {which}="280mm"{instead}',
        )
    if px <= 0:
        raise InputError(
            f'has a {which} of nothing: "{text[:60]}"',
            where=name,
            do="set the page size in the drawing program and export again",
        )
    return _Side(px, length.unit in _PHYSICAL, text.strip())


def _asked(size: PrintSize, width: _Side, height: _Side, name: str) -> tuple[float, float] | None:
    for which, value in (("width", size.width_mm), ("height", size.height_mm)):
        if value is not None and not (value > 0 and math.isfinite(value)):
            raise InputError(
                f"can't be printed at a {which} of {value:g} mm",
                where=name,
                do="give a size above zero",
            )
    ratio = height.px / width.px
    match size.width_mm, size.height_mm:
        case None, None:
            return None
        case float() | int() as w, None:
            return float(w), w * ratio
        case None, float() | int() as h:
            return h / ratio, float(h)
        case w, h:
            assert w is not None
            assert h is not None
            return float(w), float(h)


def _margins(view: Box, size_mm: tuple[float, float], fitting: Fitting) -> list[str]:
    page, drawing = size_mm[0] / size_mm[1], view.width / view.height
    if abs(page / drawing - 1) <= _ALIKE:
        return []
    if not fitting.keep:
        return ["The drawing is stretched to the page's proportions, as it asks for."]
    if fitting.slice:
        return ["The page has other proportions than the drawing; what reaches over it is cut off."]
    return ["The page has other proportions than the drawing; blank margins fill it up."]
