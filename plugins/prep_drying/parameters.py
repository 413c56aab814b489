"""The one table of what drying rests on: each uncertain figure with its range, source and status.

A range is the 10-90 % interval and the default its median.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from prep.estimate import Parameter

MEASURED = 0.10
"""Relative half-width of a figure the shop has measured, where it states no range of its own. A guess."""
_NOT_FOUND = "a guess; no source found"
_PRACTICE = "common practice, no source; the range is a guess"


@dataclass(frozen=True, slots=True)
class Known:
    """A parameter with the words the sheet has for it.

    :param words: what it is, to stand after "comes from"
    :param remedy: what the printer can do to know it better, a sentence; empty = nothing simple
    """

    parameter: Parameter
    words: str
    remedy: str = ""


_WEIGH = (
    "Flood a screen, lay it on a balance, read it at once and after 10 minutes, and set drying.weighed"
    " in shop.toml, and drying.climate to what held."
)
_LINES = (
    "Print a row of lines 0.5 to 3 mm wide after waits of 2, 4, 8 and 16 minutes, and set"
    " drying.open_cleared and drying.open_flooded in shop.toml, and drying.climate to what held."
)
_HYGROMETER = (
    "Hang a thermometer and hygrometer at the screens and set [room] in shop.toml by them."
)

FACTOR = Known(
    Parameter(
        "drying.factor",
        0.6,
        0.4,
        1.0,
        "of the formula for pools",
        "0.74 measured over undisturbed pools (ASHRAE Trans. 104(1A), 1998, abstract); other correlations"
        " for still air come to 0.4-1.2 of it; none was made for screens",
        "guess",
        at_least=0.2,
        at_most=1.5,
    ),
    "how fast water leaves a screen in given air",
    _WEIGH,
)
AIR_OFF = Known(
    Parameter(
        "drying.air_off",
        0.0,
        -1.5,
        1.5,
        "K",
        "air at the screens against the room's reading; " + _NOT_FOUND,
        "guess",
        spread="normal",
    ),
    "how warm the air at the screens is",
    _HYGROMETER,
)
VAPOUR_OFF = Known(
    Parameter(
        "drying.vapour_off",
        1.0,
        0.88,
        1.12,
        "of the room's vapour",
        "a household hygrometer is good to some 5 points; from memory",
        "from memory",
        at_least=0.5,
        at_most=1.5,
    ),
    "how humid the air at the screens is",
    _HYGROMETER,
)
AIR_SPEED = Known(
    Parameter(
        "drying.air_speed",
        1.0,
        0.5,
        2.0,
        "of the room's air speed",
        "air in a room is hardly ever measured; " + _NOT_FOUND,
        "guess",
        at_most=10.0,
    ),
    "how fast the air moves",
)
FAN_SPEED = Known(
    Parameter(
        "drying.fan_speed",
        1.0,
        0.5,
        2.5,
        "m/s",
        "a fan across the room or the outlet of an air conditioner; " + _NOT_FOUND,
        "guess",
        at_least=0.1,
        at_most=5.0,
    ),
    "how hard the fan blows on the screens",
    "Turn it away from the screens, or measure the air there and set drying.fan_speed in shop.toml.",
)
RADIANT = Known(
    Parameter(
        "drying.radiant",
        100.0,
        30.0,
        300.0,
        "W/m2",
        "what a screen beside a flash dryer takes up on average: 200 to 500 W/m² while it is near and on,"
        " which it is for part of the time; " + _NOT_FOUND,
        "guess",
        at_least=0.0,
        at_most=1000.0,
    ),
    "how much heat the flash dryer throws on the screens",
    "Shield the screens from it, or weigh a flooded screen beside it and set drying.weighed in shop.toml.",
)
WARMER = Known(
    Parameter(
        "drying.warmer",
        4.0,
        1.0,
        10.0,
        "K",
        "air beside a flash dryer above the room's; " + _NOT_FOUND,
        "guess",
        at_least=0.0,
        at_most=25.0,
    ),
    "how much the flash dryer warms the air at the screens",
    _HYGROMETER,
)
PLATEN_OVER = Known(
    Parameter(
        "drying.platen_over",
        20.0,
        8.0,
        35.0,
        "K",
        "a platen and a freshly flashed shirt above the room's air, once cooled to print on; "
        + _NOT_FOUND,
        "guess",
        at_least=0.0,
        at_most=60.0,
    ),
    "how warm the platen is under the next screen",
    "Let the shirt cool longer, or measure the platen when a screen comes down and set"
    " drying.platen_over in shop.toml.",
)
PLATEN_TRANSFER = Known(
    Parameter(
        "drying.platen_transfer",
        15.0,
        10.0,
        20.0,
        "W/(m2 K)",
        "over a few millimetres of air and by radiation; " + _NOT_FOUND,
        "guess",
    ),
    "how much heat a screen takes from the platen below",
)
PLATEN_SHARE = Known(
    Parameter(
        "drying.platen_share",
        0.4,
        0.2,
        0.7,
        "of the time",
        "a screen hangs low over the warm platen; " + _NOT_FOUND,
        "guess",
        spread="normal",
        at_least=0.0,
        at_most=1.0,
    ),
    "how long screens hang over the warm platen",
)
HUMECTANT = Known(
    Parameter(
        "drying.humectant",
        0.08,
        0.02,
        0.15,
        "of the ink's liquid",
        "glycerol or the like; it lowers the flux by some per cent only; " + _NOT_FOUND,
        "guess",
        at_least=0.0,
        at_most=0.5,
    ),
    "how much humectant the ink holds",
)
CRITICAL_LOSS = Known(
    Parameter(
        "drying.critical_loss",
        0.5,
        0.35,
        0.65,
        "of its water",
        "untreated ink, before it clogs an opening; chosen so that a cleared screen clogs in 5 to 15"
        " minutes (common practice); " + _NOT_FOUND,
        "guess",
        spread="normal",
        at_least=0.1,
        at_most=0.9,
    ),
    "how much water ink may lose before it clogs",
    _LINES,
)
RETARDER = Known(
    Parameter(
        "drying.retarder_gain",
        1.3,
        1.0,
        2.0,
        "times the water it may lose",
        "retarder at the maker's dose. It hardly slows evaporation; that ink stays open longer with it is"
        " practice, and the factor an empirical one; " + _NOT_FOUND,
        "guess",
        at_least=1.0,
        at_most=3.0,
    ),
    "how much longer the retarder keeps ink open",
    "Do the test with lines once with and once without it, and set drying.retarder_gain in shop.toml.",
)
CLEARED = Known(
    Parameter(
        "drying.cleared",
        0.5,
        0.3,
        0.9,
        "of the mesh's volume",
        "ink left in the mesh after a print stroke: about half (thesis Fundamental investigations into"
        " screen printing, abstract, on smooth ground)",
        "guess",
        at_least=0.1,
        at_most=1.0,
    ),
    "how much ink is left in the mesh after a stroke",
    _LINES,
)
WELL_FILLED = Known(
    Parameter(
        "drying.well_filled",
        0.8,
        0.4,
        1.0,
        "of the film's thickness",
        "ink that a flood brings into the openings below the mesh; " + _NOT_FOUND,
        "guess",
        spread="normal",
        at_least=0.0,
        at_most=1.0,
    ),
    "how far a flood fills the openings of the film",
    _LINES,
)
FLOOD_LAYER = Known(
    Parameter(
        "drying.flood_layer",
        100.0,
        50.0,
        200.0,
        "um",
        "ink that a flood leaves on the mesh; " + _NOT_FOUND,
        "guess",
        at_least=5.0,
    ),
    "how thick the flood lies on the mesh",
    _LINES,
)
EXCHANGE = Known(
    Parameter(
        "drying.exchange",
        0.45,
        0.3,
        0.6,
        "of the ink in an opening",
        "what one stroke replaces by ink from before the blade; " + _NOT_FOUND,
        "guess",
        spread="normal",
        at_least=0.05,
        at_most=0.95,
    ),
    "how much of the ink in an opening each stroke replaces",
)
RIM_CLEARED = Known(
    Parameter(
        "drying.rim_cleared",
        0.05,
        0.02,
        0.15,
        "of a disc alone",
        "drying starts in the smallest details (a supplier's article); by how much is "
        + _NOT_FOUND,
        "guess",
        at_most=1.0,
    ),
    "how much faster small openings dry",
    _LINES,
)
RIM_FLOODED = Known(
    Parameter(
        "drying.rim_flooded",
        0.01,
        0.003,
        0.03,
        "of a disc alone",
        "a flood covers the ink's face; from below, small openings still dry faster; " + _NOT_FOUND,
        "guess",
        at_most=1.0,
    ),
    "how much faster small openings dry under a flood",
    _LINES,
)
BEAD_SURFACE = Known(
    Parameter(
        "drying.bead_surface",
        20.0,
        12.0,
        35.0,
        "mm",
        "free surface of a roll of ink 8-12 mm high, across, where the screen isn't flooded",
        "guess",
    ),
    "how much of the ink before the blade lies open",
)
PRINT_TIME = Known(
    Parameter("drying.print_time", 20.0, 14.0, 32.0, "s", _PRACTICE, "guess"),
    "how long one print takes",
    "Time ten prints and set drying.print_time in shop.toml.",
)
LAYING_TIME = Known(
    Parameter("drying.laying_time", 60.0, 35.0, 100.0, "s", _PRACTICE, "guess"),
    "how long it takes to change shirts",
    "Time ten shirts and set drying.laying_time in shop.toml.",
)
FLASH_TIME = Known(
    Parameter(
        "drying.flash_time",
        1.0,
        0.85,
        1.4,
        "of the time set",
        "flashing and cooling with their handling; " + _NOT_FOUND,
        "guess",
    ),
    "how long flashing and cooling take",
    "Time ten shirts and set sequence.flash and sequence.cool in shop.toml.",
)
WEIGHED = Known(
    Parameter(
        "drying.weighed", 0.1, 0.05, 0.25, "kg/(m2 h)", "as usual in rooms; " + _NOT_FOUND, "guess"
    ),
    "how fast a flooded screen loses weight",
)
OPEN_CLEARED = Known(
    Parameter("drying.open_cleared", 600.0, 300.0, 900.0, "s", _PRACTICE, "common practice"),
    "how long a cleared screen stays open",
)
OPEN_FLOODED = Known(
    Parameter("drying.open_flooded", 2700.0, 1200.0, 3600.0, "s", _PRACTICE, "guess"),
    "how long a flooded screen stays open",
)

MESH_VOLUME = Known(
    Parameter(
        "ink.mesh_volume",
        1.0,
        0.75,
        1.05,
        "of the theoretical volume",
        "as the mesh's own figures have it",
        "from memory",
        at_least=0.5,
        at_most=1.2,
    ),
    "how much ink the mesh holds",
    "Write the maker's own figures (opening, open_area, thickness, volume) into shop.toml.",
)
"""A template: each mesh has its own, of the same draws as for its ink."""

TABLE: tuple[Known, ...] = (
    FACTOR,
    AIR_OFF,
    VAPOUR_OFF,
    AIR_SPEED,
    FAN_SPEED,
    RADIANT,
    WARMER,
    PLATEN_OVER,
    PLATEN_TRANSFER,
    PLATEN_SHARE,
    HUMECTANT,
    CRITICAL_LOSS,
    RETARDER,
    CLEARED,
    WELL_FILLED,
    FLOOD_LAYER,
    EXCHANGE,
    RIM_CLEARED,
    RIM_FLOODED,
    BEAD_SURFACE,
    PRINT_TIME,
    LAYING_TIME,
    FLASH_TIME,
)
"""All that are used where the shop has measured nothing."""


def measured(
    known: Known,
    value: float,
    low: float | None,
    high: float | None,
    source: str = "stated in shop.toml",
) -> Known:
    """Give a parameter the shop's own value, with its own range or +-10 %."""
    low = value * (1 - MEASURED) if low is None else low
    high = value * (1 + MEASURED) if high is None else high
    most = known.parameter.at_most
    parameter = replace(
        known.parameter,
        default=value,
        low=low,
        high=max(value, min(high, most)),
        at_least=min(known.parameter.at_least, low),
        source=source,
        status="measured here",
        spread="lognormal" if low > 0 else "normal",
    )
    return replace(known, parameter=parameter, remedy="")


def centred(known: Known, value: float, source: str) -> Known:
    """Give a parameter another default, its range in the same proportion."""
    one = known.parameter
    scale = value / one.default
    parameter = replace(
        one, default=value, low=one.low * scale, high=one.high * scale, source=source
    )
    return replace(known, parameter=parameter)
