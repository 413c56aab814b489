"""The one table of what the ink figures rest on: each uncertain figure with its range, source and status.

A range is the 10-90 % interval and the default its median. Figures that belong to one mesh or one kind
of ink are templates here; :func:`of` gives them that name, so that two screens of one mesh share their
uncertainty and two meshes don't.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from prep.estimate import Parameter

_BRACKETED = (
    "published figures differ threefold: mesh half filled before printing (thesis Fundamental"
    " investigations into screen printing), 0.70 and 1.18 on smooth ground (Screen Printing, How Much"
    " Ink Do You Need?, April 2000), 1.0 (thick film); jersey drinks more, and the 1.7-4 g that two"
    " strokes leave on 200 cm² (common practice, from memory) ask for 0.9 and more"
)
_MECHANICS = (
    "own mechanics: mesh of 10-25 N/cm lifted by 60-100 µm film under 1-5 bar; no measurement found"
)


WEIGHED = 0.10
"""Relative half-width of a figure the shop has measured, where it states no range of its own. A guess:
what shirts of one run differ by."""


@dataclass(frozen=True, slots=True)
class Known:
    """A parameter with the words the sheet has for it.

    :param words: what it is, to stand after "comes from"
    :param remedy: what the printer can do to know it better, a sentence; empty = nothing simple
    :param leaves: relative half-width that the remedy leaves it, a guess
    """

    parameter: Parameter
    words: str
    remedy: str = ""
    leaves: float = WEIGHED


TRANSFER = Known(
    Parameter("ink.transfer", 0.9, 0.5, 1.4, "", _BRACKETED, "guess", at_least=0.2),
    "how much of the mesh's ink goes over to the shirt",
    "Weigh shirts before and right after printing and set ink.transfer in shop.toml.",
)
EDGE_REACH = Known(
    Parameter(
        "ink.edge_reach", 0.35, 0.2, 0.7, "mm", _MECHANICS, "guess", at_least=0.1, at_most=1.5
    ),
    "how far from the film's edge the deposit is thicker",
    "Weigh a print of fine lettering besides one of a solid and set ink.edge_reach in shop.toml.",
)
FILM_STANDS = Known(
    Parameter(
        "ink.film_stands",
        1.0,
        0.3,
        1.0,
        "",
        "film sinks into jersey; no measurement found",
        "guess",
        spread="normal",
        at_least=0.0,
        at_most=1.0,
    ),
    "how much of the film stands above the fabric",
    "Weigh a print of fine lettering besides one of a solid and set ink.film_stands in shop.toml.",
)
FILM_THICKNESS = Known(
    Parameter(
        "ink.film_thickness",
        1.0,
        0.75,
        1.25,
        "of the stated thickness",
        "film 80-100 µm (vinyl makers' pages), adhesive 15-25 µm (from memory)",
        "guess",
        spread="normal",
        at_least=0.1,
    ),
    "how thick the film is",
    "Measure film and adhesive with a calliper, ten layers at once, and set film.thickness and ink.film_off"
    " in shop.toml.",
    leaves=0.05,
)
SECOND_STROKE = Known(
    Parameter(
        "ink.second_stroke",
        0.45,
        0.30,
        0.60,
        "of the stroke before",
        "the second stroke adds 30-60 % of the first",
        "common practice",
        spread="normal",
        at_least=0.0,
        at_most=0.95,
    ),
    "how much the second stroke adds",
    "Weigh shirts printed with one stroke and with two and set ink.second_stroke in shop.toml.",
)
BEAD = Known(
    Parameter(
        "ink.bead",
        60.0,
        30.0,
        120.0,
        "mm2",
        "a roll of ink 8-12 mm high before the blade",
        "guess",
    ),
    "how much ink must lie before the squeegee at the last shirt",
    "Weigh what you scrape back into the pot after a run.",
)
LAYER_LEFT = Known(
    Parameter(
        "ink.layer_left",
        30.0,
        15.0,
        80.0,
        "um",
        "smear on film and mesh once scraped, besides what fills the mesh",
        "guess",
    ),
    "how much ink stays on the screen as a layer",
    "Weigh a screen before and after cleaning.",
)
ON_BLADE = Known(
    Parameter(
        "ink.on_blade", 6.0, 3.0, 12.0, "mm2", "0.3 mm on 20 mm of the blade, both faces", "guess"
    ),
    "what sticks to the squeegee",
    "Weigh the squeegee before and after cleaning.",
)
POT_LOSS = Known(
    Parameter("ink.pot_loss", 4.0, 2.0, 8.0, "g", "pot and spatula", "guess"),
    "what stays in the pot",
    "Weigh the pot before and after cleaning.",
)
MESH_VOLUME = Known(
    Parameter(
        "ink.mesh_volume",
        1.0,
        0.75,
        1.05,
        "of the theoretical volume",
        "ideal figures against makers' data sheets (from memory, one published)",
        "from memory",
        at_least=0.5,
        at_most=1.2,
    ),
    "how much ink the mesh holds",
    "Write the maker's own figures (opening, open_area, thickness, volume) into shop.toml.",
    leaves=0.05,
)
_DENSITIES = {
    # kind: default, low, high
    "opaque white": (1.27, 1.20, 1.35),
    "opaque colour": (1.10, 1.03, 1.22),
    "transparent colour": (1.05, 1.02, 1.10),
    "discharge": (1.04, 1.01, 1.08),
    "low-cure": (1.08, 1.03, 1.20),
}
_WATER = {
    "opaque white": (0.45, 0.40, 0.50),
    "opaque colour": (0.55, 0.45, 0.65),
    "transparent colour": (0.65, 0.60, 0.70),
    "discharge": (0.88, 0.80, 0.92),
    "low-cure": (0.55, 0.45, 0.65),
}
_USUAL = "1.05 for clear and transparent inks, 1.2-1.35 for opaque white; in between by judgement"
_WATER_SOURCE = (
    "0.40-0.50 white, 0.6-0.7 transparent, to 0.9 discharge; trade magazines print 0.30-0.92"
    " (Water-Based Ink Options and others)"
)
DENSITY = {
    kind: Known(
        Parameter(
            f"ink.density.{kind}",
            *figures,
            "g/ml",
            _USUAL,
            "from memory",
            at_least=0.9,
            at_most=2.0,
        ),
        f"how heavy {kind} ink is",
        "Weigh 100 ml of it and set its density in shop.toml.",
        leaves=0.02,
    )
    for kind, figures in _DENSITIES.items()
}
WATER_SHARE = {
    kind: Known(
        Parameter(
            f"ink.water_share.{kind}",
            *figures,
            "",
            _WATER_SOURCE,
            "from memory",
            spread="normal",
            at_least=0.0,
            at_most=0.98,
        ),
        f"how much water {kind} ink holds",
        "Ask the ink maker for the share of solids.",
    )
    for kind, figures in _WATER.items()
}

TABLE: tuple[Known, ...] = (
    TRANSFER,
    EDGE_REACH,
    FILM_STANDS,
    FILM_THICKNESS,
    SECOND_STROKE,
    MESH_VOLUME,
    BEAD,
    LAYER_LEFT,
    ON_BLADE,
    POT_LOSS,
    *DENSITY.values(),
    *WATER_SHARE.values(),
)
"""All of them."""


def of(known: Known, label: str, low: float, high: float, source: str) -> Known:
    """Give a template the name of one mesh, with that mesh's range."""
    parameter = replace(
        known.parameter,
        name=f"{known.parameter.name}.{label}",
        low=low,
        high=high,
        source=source,
    )
    return replace(known, parameter=parameter, words=f"{known.words} ({label})")


def measured(
    known: Known,
    value: float,
    low: float | None,
    high: float | None,
    source: str = "stated in shop.toml",
) -> Known:
    """Give a parameter the shop's own value, with its own range or +-10 %."""
    low = value * (1 - WEIGHED) if low is None else low
    high = value * (1 + WEIGHED) if high is None else high
    most = known.parameter.at_most
    if most > 1.0:  # where what was read of ends, not a bound of nature as a share has
        most = max(most, 2 * high)
    parameter = replace(
        known.parameter,
        default=value,
        low=low,
        high=max(value, min(high, most)),
        at_least=min(known.parameter.at_least, low / 2),
        at_most=most,
        source=source,
        status="measured here",
        spread="lognormal" if low > 0 else "normal",
    )
    return replace(known, parameter=parameter, remedy="")
