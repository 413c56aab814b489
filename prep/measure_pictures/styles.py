"""How classes of width look and are called: tone and hatch, told apart in grey and by the colour-blind."""

from __future__ import annotations

from dataclasses import dataclass

MOST_CLASSES = 7

# from dark to pale, about 13 steps of L* apart each, so that grey print keeps their order
_TONES = ("#3b1145", "#7a2048", "#b0473a", "#cf7f2e", "#deb050", "#ead79a")
_WIDEST = "#efefea"
_LINE = "#1f1a17"

# hatch of each class: (kind, turned by degrees, distance of lines in mm, thickness in mm)
_HATCHES = (
    ("lines", 45.0, 0.7, 0.18),
    ("lines", -45.0, 1.0, 0.18),
    ("lines", 0.0, 1.1, 0.18),
    ("dots", 45.0, 1.2, 0.45),
    ("lines", 90.0, 1.6, 0.14),
    ("dots", 0.0, 1.9, 0.4),
)


@dataclass(frozen=True, slots=True)
class Style:
    """How a class of width is drawn.

    :param tone: fill colour
    :param ink: colour of its hatch and outline
    :param hatch: id of its pattern; empty for the plain last class
    :param pattern: the pattern's definition
    """

    tone: str
    ink: str
    hatch: str = ""
    pattern: str = ""


def styles_for(classes: int) -> tuple[Style, ...]:
    """Give the look of each class, finest and darkest first, the last plain.

    :raises ValueError: fewer than two classes, or more than can be told apart
    """
    if not 2 <= classes <= MOST_CLASSES:
        raise ValueError(
            f"{classes} classes of width can't be told apart: 2 to {MOST_CLASSES} can, so give"
            f" 1 to {MOST_CLASSES - 1} limits"
        )
    hatched = classes - 1
    last = len(_TONES) - 1
    chosen = [round(k * last / max(hatched - 1, 1)) for k in range(hatched)]
    return (*(_style(k) for k in chosen), Style(_WIDEST, _LINE))


def _style(number: int) -> Style:
    kind, turn, apart, thick = _HATCHES[number]
    ink = "#ffffff" if number < 3 else _LINE
    name = f"width-hatch-{number + 1}"
    mark = (
        f'<path d="M{apart / 2:g} 0V{apart:g}" stroke="{ink}" stroke-width="{thick:g}"/>'
        if kind == "lines"
        else f'<circle cx="{apart / 2:g}" cy="{apart / 2:g}" r="{thick / 2:g}" fill="{ink}"/>'
    )
    pattern = (
        f'<pattern id="{name}" width="{apart:g}" height="{apart:g}" patternUnits="userSpaceOnUse"'
        f' patternTransform="rotate({turn:g})">{mark}</pattern>'
    )
    return Style(_TONES[number], ink, name, pattern)
