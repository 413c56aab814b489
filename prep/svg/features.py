"""What the reader does with each feature of SVG: one table, and the documentation's table is made from it.

Every feature is read exactly, read with a note, or refused with what to do. Nothing is dropped in
silence: the walk can only refuse or note through a key of this table.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Treatment(Enum):
    """What the reader does with a feature."""

    EXACT = "read exactly"
    NOTED = "read with a note"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Feature:
    """One feature and its decision.

    :param key: short name used in the code
    :param names: how the feature is written in a file, for the documentation
    :param treatment: what happens with it
    :param what: for a note, the whole sentence but for the name of the element in front of it; for
        a refusal, what it is and why it can't be printed as drawn; else a remark for the table
    :param do: for a refusal: what to do
    """

    key: str
    names: str
    treatment: Treatment
    what: str = ""
    do: str = ""


_SOLID = (
    "give it the solid colour of an ink; or say solid_tints = true under [[print]], or --solid-tints, to"
    " print what it shows as inks of their own"
)
_TO_PATHS = "convert it to a path in the drawing program"

_EXACT = (
    ("shapes", "path, rect, circle, ellipse, line, polyline, polygon", ""),
    (
        "structure",
        "g, a, defs, use, symbol, nested svg, switch",
        "a symbol at the size its use gives; an inner svg cuts what reaches over its viewport; a switch"
        " shows its English branch",
    ),
    ("transforms", "transform, viewBox, preserveAspectRatio", ""),
    ("styles", "style sheets, style attributes, presentation attributes", "the full CSS cascade"),
    (
        "fill",
        "fill, fill-rule, currentColor, every CSS colour syntax",
        "names, #rgb to #rrggbbaa, rgb(), hsl(), hwb(), lab(), lch(), oklab(), oklch(), color(); none;"
        " colours become the nearest of sRGB",
    ),
    (
        "stroke",
        "stroke-width, -linecap, -linejoin, -miterlimit, -dasharray, -dashoffset, paint-order",
        "an outline becomes a region before the transform is applied",
    ),
    ("shown", "display, visibility, overflow", ""),
    (
        "clip",
        "clip-path, clip-rule",
        "also nested, on groups and on the page, and in objectBoundingBox units",
    ),
    ("mask", "mask of black and white shapes", "read as a clip; luminance and alpha"),
    ("marker", "marker-start, marker-mid, marker-end", ""),
    ("context", "context-fill, context-stroke", ""),
    ("origin", "transform-origin", "percentages are of the viewport"),
    ("svgz", "gzipped SVG", ""),
    (
        "lettered",
        "text, tspan with font files: x, y, dx, dy, text-anchor, font-*, letter- and word-spacing",
        "in the fonts that the order names, kerned as they say; never in fonts of the system",
    ),
)

_NOTED = (
    ("outlined", "text with font files", "is text, outlined with the font file named"),
    (
        "own font",
        "@font-face, font of a family that the order names a file for",
        "is set in a family that the drawing brings a font of its own for; the order's file is taken",
    ),
    ("unknown element", "unknown elements", "is no element of SVG, and no viewer shows it"),
    (
        "empty paint",
        "gradient without stops, pattern without content, either over a flat shape",
        "has a gradient or pattern that paints nothing, as the standard asks",
    ),
    ("invisible", "opacity 0", "is wholly transparent and prints nothing"),
    (
        "one-colour gradient",
        "gradient whose stops are one colour",
        "has a gradient of one colour; it is read as that colour",
    ),
    (
        "foreign",
        "shapes within elements of other namespaces; other data of drawing programs needs no note",
        "belongs to no drawing standard: what is drawn in it is not printed",
    ),
    ("script", "script", "is a script; it isn't run, the drawing is read as it stands"),
    (
        "animation",
        "animate, animateTransform, set ...",
        "is moving; the drawing is read as it stands at rest",
    ),
    (
        "no target",
        "use that points nowhere",
        "points to nothing that is in the file and prints nothing",
    ),
    ("no area", "shape without area", "has no area and prints nothing"),
    (
        "hidden",
        "display: none, visibility: hidden",
        "is hidden and not printed; told once for each layer",
    ),
    (
        "cut away",
        "art outside its clipping path, mask or viewport",
        "is cut away wholly by a clipping path, mask or viewport, and isn't printed",
    ),
    ("outside", "art outside the artboard", "lies outside the artboard and isn't printed"),
    (
        "cut",
        "art that reaches more than 0.05 mm over the artboard's edge",
        "reaches over the edge of the artboard and is cut off there",
    ),
    (
        "flat matrix",
        "transform that flattens to a line",
        "is flattened to nothing by its transform and prints nothing",
    ),
    (
        "damaged path",
        "path data with an error",
        "has an error in its path data; it is read up to the error, as the standard asks",
    ),
    (
        "gamut",
        "colour outside sRGB",
        "has a colour that screens can't show; the nearest shown colour names it",
    ),
    (
        "same id",
        "two elements of one id",
        "has an id that another element bears too; the first one is meant",
    ),
    ("language", "systemLanguage", "depends on the reader's language; English is taken"),
    (
        "unknown property",
        "unknown CSS property",
        "has a style property that isn't part of SVG; it is left out",
    ),
    (
        "bad value",
        "attribute with an invalid value",
        "has a value that isn't allowed; the default is taken, as the standard asks",
    ),
    (
        "bad size",
        "width, height of the page by CSS, without unit or with another invalid value",
        "has a size by CSS that isn't allowed; what else is said of its size counts, as the standard asks",
    ),
    (
        "tint",
        "opacity, alpha between 0 and 1, with solid_tints = true",
        "is translucent; it is printed solid, in the colours it shows over what lies beneath",
    ),
    (
        "rest",
        "CSS transition and animation",
        "has a CSS animation; the drawing is read as it stands at rest",
    ),
)

_REFUSED = (
    (
        "square dots",
        "dashes without length under square caps, on slanted lines",
        "has square dots for dashes, which viewers turn differently",
        "expand the stroke to a path, or use round caps",
    ),
    (
        "measured dashes",
        "pathLength on shapes with dashes",
        "has dashes counted by a pathLength, which viewers read differently",
        "expand the stroke to a path, or remove pathLength",
    ),
    (
        "depth",
        "elements nested too deeply",
        "lies too deep within other elements",
        "ungroup the drawing",
    ),
    (
        "tint in tint",
        "translucent shapes in a translucent group",
        "is a translucent group of translucent shapes",
        "give the shapes solid colours, or the group",
    ),
    (
        "tints",
        "too many translucent shapes over each other, with solid_tints",
        "is translucent over more translucent shapes than can be made solid",
        "give them solid colours",
    ),
    (
        "marked shape",
        "markers on rect, circle, ellipse",
        "has markers, which not every viewer shows on such a shape",
        "remove them, or convert the shape to a path",
    ),
    (
        "marker place",
        "refX, refY of a marker in %, marker-mid where a path has a step without length, marker that turns"
        " along where a path turns back on the spot",
        "has a marker whose place viewers read differently",
        "expand it to a path",
    ),
    (
        "negative stroke",
        "negative stroke-width",
        "has a negative stroke width, which viewers read differently",
        "give it a width of zero or more",
    ),
    (
        "negative font",
        "negative font-size, where it is used",
        "has a negative font size, which viewers read differently",
        "give it a size of zero or more",
    ),
    (
        "icc",
        "icc-color(), device-cmyk()",
        "has a colour that only a colour profile can tell",
        "give it a plain RGB colour",
    ),
    (
        "gradient",
        "linearGradient, radialGradient, mesh",
        "has a gradient: a screen prints flat colours",
        "replace it with plain colours or a halftone made of shapes",
    ),
    (
        "pattern",
        "pattern",
        "is filled with a pattern, which isn't read",
        "expand the pattern to shapes",
    ),
    (
        "translucent",
        "opacity, alpha between 0 and 1, without solid_tints",
        "is partly transparent: ink is printed solid",
        _SOLID,
    ),
    (
        "blend",
        "mix-blend-mode",
        "is blended with what lies below: ink is printed solid",
        "set its blending to normal and give it the colour it shows",
    ),
    (
        "filter",
        "filter",
        "has a filter effect (blur, shadow, glow ...), which has no sharp edge to cut",
        "remove the effect",
    ),
    (
        "grey mask",
        "mask with greys or colours",
        "has a mask that isn't plain black and white",
        "cut the shapes themselves, or use a clipping path",
    ),
    ("image", "image", "is a picture made of pixels", "trace it to shapes or remove it"),
    (
        "foreign content",
        "foreignObject, video, audio, canvas, iframe",
        "holds something that isn't a drawing",
        "trace it to shapes or remove it",
    ),
    (
        "text",
        "text, tspan without font files; flowRoot",
        "is text, whose look depends on fonts that aren't in the file",
        "convert text to outlines first, or name its font files in order.toml under [[font]]",
    ),
    (
        "face",
        "text in a font the order doesn't name",
        "is set in a font that the order names no file for",
        "name it in order.toml under [[font]] just so, or convert text to outlines first",
    ),
    (
        "missing characters",
        "characters the font lacks",
        "holds characters that its font lacks",
        "name a font that has them, or convert text to outlines first",
    ),
    (
        "libraries",
        "text, without the libraries that outline it",
        "is text, and the libraries that outline it are not installed",
        'install them with: pip install "firstpull[text]"',
    ),
    (
        "lettering",
        "textPath, textLength, rotate, text from right to left or downwards, baselines,"
        " text-decoration, font features, dashes on text ...",
        "is text set in a way that viewers read differently",
        "convert text to outlines first",
    ),
    (
        "box of text",
        "clip-path or mask in units of the bounding box of text",
        "is cut by the bounding box of text, which viewers read differently",
        "convert text to outlines first",
    ),
    (
        "no namespace",
        "elements without namespace",
        "doesn't say that it is SVG (it has no namespace)",
        "export the file again from the drawing program",
    ),
    (
        "fixed stroke",
        "vector-effect",
        "has a stroke or place that doesn't follow the drawing's scale",
        "turn the effect off, or expand the stroke to a path",
    ),
    (
        "join",
        "stroke-linejoin miter-clip, arcs",
        "has a corner style that viewers read differently",
        "use mitre, round or bevel",
    ),
    (
        "origin in part",
        "transform-box",
        "turns around a point that viewers read differently",
        "apply the transform in the drawing program",
    ),
    (
        "3d",
        "3D and separate CSS transforms",
        "has a CSS transform that isn't read",
        "apply the transform in the drawing program",
    ),
    (
        "unlike transform",
        "transform in CSS without units or commas; as an attribute with units or functions of CSS",
        "has a transform that isn't right where it stands, which viewers read differently",
        "apply the transform in the drawing program",
    ),
    (
        "css geometry",
        "cx, cy, r, rx, ry, x, y, width, height, d set by CSS",
        "has its shape set by CSS, which viewers read differently",
        _TO_PATHS,
    ),
    (
        "symbol transform",
        "transform on symbol",
        "is a symbol with a transform, which viewers read differently",
        "apply the transform in the drawing program",
    ),
    (
        "colour",
        "colour functions that depend on the viewer",
        "has a colour written in a way that isn't read",
        "write it as #rrggbb",
    ),
    (
        "unlike colour",
        "color(rec2020 ...)",
        "has a colour of rec2020, whose tone curve viewers read differently",
        "write it as #rrggbb",
    ),
    (
        "background",
        "page background by CSS",
        "colours the page by CSS, which viewers read differently",
        "draw a rectangle, or remove the background",
    ),
    (
        "box",
        "border, border-radius, padding, box-shadow on the page; outline",
        "has lines or space around it by CSS, which viewers read differently",
        "draw them as shapes, or remove them from the styles",
    ),
    (
        "css clip",
        "clip-path or mask written as a CSS shape or image; mask-mode, mask-composite, mask-size ...",
        "is cut by a CSS shape or by layers of CSS, which isn't read",
        "use a clipping path",
    ),
    (
        "use of a use",
        "use of a use within clipPath",
        "is a use of another use in a clipping path, which viewers read differently",
        "make the shape itself the clipping path",
    ),
    (
        "vendor",
        "-webkit-transform, -webkit-filter ..., unless it changes nothing",
        "has a style under a vendor's prefix, which only some viewers heed",
        "export with plain styles or attributes",
    ),
    (
        "css value",
        "var(), calc(), min(), round(), env() ...; also as a length in an attribute",
        "has a style with a computed value, which isn't read",
        "write the value itself",
    ),
    (
        "css rule",
        "@import, @media, @supports, @layer, @namespace, nesting",
        "has a style rule that depends on the viewer or on another file",
        "export with plain styles or attributes",
    ),
    (
        "other sheet",
        "xml-stylesheet, link and style of XHTML, style elements with several titles",
        "has a style sheet that only some viewers heed",
        "export with the styles in the drawing itself",
    ),
    (
        "view box",
        "viewBox with a width or height of zero",
        "has a viewBox of no size, which viewers read differently",
        "remove it, or give its viewBox a width and height above zero",
    ),
    (
        "display",
        "display: contents, in two words or for one browser; content-visibility",
        "has a display that only some viewers know",
        "show or hide it in the drawing program and export again",
    ),
    (
        "selector",
        "selectors that can't be read",
        "has a style rule whose selector can't be read",
        "export with plain styles or attributes",
    ),
    (
        "missing",
        "reference to something missing",
        "refers to something that isn't in the file",
        "export the file again, or remove the reference",
    ),
    (
        "elsewhere",
        "reference to another file",
        "refers to another file, and nothing outside the file is ever opened",
        "embed it as shapes",
    ),
    ("itself", "reference to itself", "refers to itself", "remove the reference"),
    (
        "unit",
        "units em, ex, ch, rem, vw, vh ... where they can't be told",
        "has a length in a unit that can't be told from the file",
        "use mm, px or plain numbers",
    ),
    (
        "number",
        "numbers too large or not numbers",
        "has a number that can't be used",
        "export the file again",
    ),
    (
        "huge",
        "coordinates far outside any print",
        "has coordinates far outside any print",
        "move the drawing to its artboard and remove what lies astray",
    ),
    (
        "uses",
        "too many uses",
        "is used so often that the drawing would have too many shapes",
        "simplify the drawing",
    ),
    (
        "crossings",
        "paths that cross themselves too often",
        "crosses itself too often to be read in a sensible time",
        "simplify the path",
    ),
    (
        "points",
        "too many points",
        "has too many points to be read in a sensible time",
        "simplify the path",
    ),
    (
        "dashes",
        "too many dashes",
        "has too many dashes to be read in a sensible time",
        "use longer dashes, or a solid line",
    ),
    (
        "nested svg transform",
        "transform on the outermost svg",
        "has a transform on the whole page, which viewers read differently",
        "apply the transform to a group",
    ),
)

FEATURES: dict[str, Feature] = {
    feature.key: feature
    for feature in (
        *(Feature(key, names, Treatment.EXACT, what) for key, names, what in _EXACT),
        *(Feature(key, names, Treatment.NOTED, what) for key, names, what in _NOTED),
        *(Feature(key, names, Treatment.REFUSED, what, do) for key, names, what, do in _REFUSED),
    )
}
"""Feature by key, in the order of the documentation's table."""
