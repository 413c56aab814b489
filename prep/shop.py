"""What stands in the shop: equipment and stock, as plain figures. Formulas live in the plugins."""

from __future__ import annotations

from typing import Annotated, Literal, Self, get_args

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from prep.cloth import ImpossibleMeshError, MeshFigures, figures
from prep.fibres import Fibre
from prep.tables import Day, Label, Table, measured_source
from prep.units import (
    Allowance_mm,
    Area_mm2,
    Coat_cm3_per_m2,
    Count_per_cm,
    Density_g_per_ml,
    Duration_s,
    Hex,
    Length_mm,
    Mass_g,
    Memory_mb,
    Share,
    Speed_m_per_s,
    Temperature_c,
    Thickness_um,
    Turn_deg,
)

InkKind = Literal["opaque white", "opaque colour", "transparent colour", "discharge", "low-cure"]
INK_KINDS: tuple[InkKind, ...] = get_args(InkKind)
Adhesive = Literal["wet-proof", "removable"]
PressKind = Literal["press with fine adjustment", "simple press", "hinged frame", "plain table"]
Working = Literal["shirt by shirt", "colour by colour"]
_ONE_FRAME: frozenset[PressKind] = frozenset(("hinged frame", "plain table"))

MOST_SCREENS = 6
"""Screens a small shop prints one over the other without trouble. Guess."""
TINY_SCREEN_MM2 = 25.0
"""A square of 5 mm: less is seldom worth a film and a set-up of its own. Guess."""


class Mesh(Table):
    """A mesh in stock: its label, and the maker's own figures where the shop has them."""

    name: Label = Field(description="label on the frame, like 43-80")
    count_per_cm: Count_per_cm = Field(alias="count", description="threads per cm or inch")
    thread_um: Thickness_um = Field(alias="thread", description="thread before weaving")
    opening_um: Thickness_um | None = Field(None, alias="opening")
    open_area: Share | None = None
    thickness_um: Thickness_um | None = Field(None, alias="thickness", description="of the cloth")
    volume_cm3_per_m2: Coat_cm3_per_m2 | None = Field(None, alias="volume")

    @property
    def pitch_um(self) -> float:
        """Thread to thread: 10 mm over the count (definition)."""
        return 10_000.0 / self.count_per_cm

    @model_validator(mode="after")
    def _can_exist(self) -> Self:
        """Refuse figures that contradict each other; see :func:`prep.cloth.figures`."""
        try:
            self.figures()
        except ImpossibleMeshError as error:
            raise ValueError(f'mesh "{self.name}" can\'t be: {error}') from error
        return self

    def figures(self) -> MeshFigures:
        """Give all its figures, the maker's where they are stated.

        :raises ImpossibleMeshError: one that wasn't checked as it was made, and can't exist
        """
        return figures(
            self.name,
            self.count_per_cm,
            self.thread_um,
            opening_um=self.opening_um,
            open_area=self.open_area,
            thickness_um=self.thickness_um,
            volume_um=self.volume_cm3_per_m2,
        )


class Film(Table):
    """The knife-cut film."""

    name: Label = "adhesive film"
    width_mm: Length_mm = Field(500.0, alias="width", description="of the roll or sheet")
    thickness_um: Thickness_um = Field(80.0, alias="thickness", description="film and adhesive")
    side: Literal["shirt", "squeegee"] = Field("shirt", description="side of the mesh it goes on")
    cut_face_up: bool = Field(True, description="the blade enters the face, the liner lies below")
    margin_mm: Length_mm = Field(50.0, alias="margin", description="film around the print")
    adhesive: Adhesive = Field("wet-proof", description="how its adhesive takes wet ink")


class Frame(Table):
    """A frame in stock."""

    name: Label
    inside_width_mm: Length_mm = Field(alias="inside_width")
    inside_height_mm: Length_mm = Field(alias="inside_height")
    count: int | None = Field(
        None, ge=1, le=1000, description="how many of it there are; none = as many as are needed"
    )


_PRESS_ERROR = (
    "set_up_error",
    "scatter",
    "set_up_turn",
    "scatter_turn",
    "scatter_laid_again",
    "scatter_turn_laid_again",
)


class HowMeasured(Table):
    """When a figure was measured, and by how many readings."""

    measured_on: Day | None = None
    n: int | None = Field(None, ge=1)

    @property
    def source(self) -> str:
        """In words."""
        return measured_source(self.measured_on, self.n)


class Press(Table):
    """The press, or the table that serves as one."""

    kind: PressKind = "hinged frame"
    set_up_error_mm: Allowance_mm | None = Field(
        None,
        alias="set_up_error",
        description="how far a screen lies off for a whole run, each way, in two of three; none = usual",
    )
    scatter_mm: Allowance_mm | None = Field(
        None,
        alias="scatter",
        description="how far one print strays from its run, each way, two of three; none = usual",
    )
    set_up_turn_deg: Turn_deg | None = Field(
        None,
        alias="set_up_turn",
        description="how far a screen is turned for a whole run, in two runs of three; none = usual",
    )
    scatter_turn_deg: Turn_deg | None = Field(
        None,
        alias="scatter_turn",
        description="how far one print is turned from its run, for two prints of three; none = usual",
    )
    scatter_laid_again_mm: Allowance_mm | None = Field(
        None,
        alias="scatter_laid_again",
        description="scatter where shirts are taken up and laid again between screens; none = usual",
    )
    scatter_turn_laid_again_deg: Turn_deg | None = Field(
        None,
        alias="scatter_turn_laid_again",
        description="how far one print is turned where shirts are laid again between screens; none = usual",
    )
    measured: dict[str, HowMeasured] = Field(
        {}, description="by the name of one of the figures above: when it was measured, how often"
    )
    visible_gap_mm: Length_mm = Field(
        0.2, alias="visible_gap", le=5, description="a gap between colours that shows"
    )
    gap_share: Share = Field(
        0.05, gt=0, lt=1, description="share of prints that may show a gap between two colours"
    )
    stations: int | None = Field(
        None, ge=1, le=20, description="screens it holds at a time; none = not stated"
    )
    working: Working | None = Field(
        None,
        description="each shirt to its end, or all shirts in one colour and laid again for the next;"
        " none = shirt by shirt where it holds the frames",
    )
    platen_width_mm: Length_mm | None = Field(
        None,
        alias="platen_width",
        le=5000,
        description="of the board shirts lie on; none = not stated",
    )
    platen_height_mm: Length_mm | None = Field(
        None, alias="platen_height", le=5000, description="from its collar end; none = not stated"
    )
    set_up_again: bool = Field(
        True,
        description="frames can be changed and lined up again on shirts that are printed already;"
        " false: more films of a set-up than it holds are refused",
    )

    @model_validator(mode="after")
    def _counts(self) -> Self:
        if not self.set_up_again and self.holds is None:
            raise ValueError(
                "set_up_again = false needs stations to count; state stations, or take it out"
            )
        unknown = sorted(set(self.measured) - set(_PRESS_ERROR))
        if unknown:
            raise ValueError(f"measured names {unknown[0]}; it can name {', '.join(_PRESS_ERROR)}")
        return self

    @property
    def measured_here(self) -> str:
        """A sentence on figures whose day is known; empty where none is."""
        told = [
            f"{name.replace('_', ' ')} {how.source.removeprefix('measured here ')}"
            for name, how in self.measured.items()
            if how.measured_on is not None
        ]
        return f"The press's error was measured here: {'; '.join(told)}." if told else ""

    @property
    def holds(self) -> int | None:
        """Frames it holds at a time: as stated, else one where its kind holds one; ``None``: unknown."""
        if self.stations is not None:
            return self.stations
        return 1 if self.kind in _ONE_FRAME else None

    def lays_again(self, films: int) -> bool:
        """Tell whether each shirt of a set-up is taken up and laid again between some of its films."""
        if films < 2:
            return False
        held = self.holds
        return self.working == "colour by colour" or (held is not None and films > held)


class Balance(Table):
    """The balance ink is weighed on."""

    readability_g: Mass_g = Field(1.0, alias="readability")


class Room(Table):
    """The air at the screen."""

    temperature_c: Temperature_c = Field(21.0, alias="temperature", ge=-20, le=60)
    humidity: Share = 0.5
    air_speed_m_per_s: Speed_m_per_s = Field(0.1, alias="air_speed", le=20)


class Work(Table):
    """What one artwork may cost the computer before its reading is stopped."""

    time_s: Duration_s = Field(120.0, alias="time", le=86_400)
    memory_mb: Memory_mb = Field(2048, alias="memory", ge=512, le=1_000_000)


class InkFigures(Table):
    """What the maker's sheet says of an ink or of a whole kind; none = as usual for its kind."""

    density_g_per_ml: Density_g_per_ml | None = Field(None, alias="density", ge=0.7, le=3.0)
    water_share: Share | None = Field(None, gt=0, le=0.98, description="of its mass, as it comes")
    strokes: int | None = Field(
        None, ge=1, le=6, description="strokes each time it is printed, without drying between"
    )
    fibres: tuple[Fibre, ...] | None = Field(None, min_length=1, description="that it is made for")
    flash_s: Duration_s | None = Field(
        None, alias="flash", le=600, description="until it is dry to the touch under your dryer"
    )
    pot_life_s: Duration_s | None = Field(
        None,
        alias="pot_life",
        le=31_536_000,
        description="after which it is thrown away, once mixed; none = it keeps in a closed pot",
    )


class OwnKind(InkFigures):
    """A kind of ink of the shop's own, and which of the usual kinds it is printed like."""

    name: Label
    like: InkKind


class Ink(InkFigures):
    """An ink in stock. Its kind is one of the usual ones or of the shop's own."""

    name: Label
    colour: Hex | None = Field(None, alias="hex")
    kind: Label = "opaque colour"
    in_stock_g: Mass_g | None = Field(None, alias="in_stock")


def _differ(
    things: tuple[Mesh | Frame | Ink | OwnKind, ...],
) -> tuple[Mesh | Frame | Ink | OwnKind, ...]:
    names = [thing.name for thing in things]
    for name in names:
        if names.count(name) > 1:
            raise ValueError(f'two are called "{name}"; give each a name of its own')
    return things


def _usual_mesh(name: str, count_per_cm: float, thread_um: float) -> Mesh:
    # built without parsing, so that the defaults don't start pint
    return Mesh.model_construct(name=name, count_per_cm=count_per_cm, thread_um=thread_um)


def _spelt_as_sold(paper: object) -> object:
    """Take "Letter" for "US Letter", in any case."""
    known = {"a4": "A4", "letter": "US Letter", "us letter": "US Letter"}
    return known.get(paper.strip().lower(), paper) if isinstance(paper, str) else paper


class Shop(Table):
    """Everything shop.toml may say apart from the plugins' own tables."""

    name: Label = "this shop"
    paper: Annotated[Literal["A4", "US Letter"], BeforeValidator(_spelt_as_sold)] = "A4"
    double_sided: bool = Field(
        True, description="sheets are printed on both sides, so that each screen begins on a front"
    )
    units: Literal["metric", "inch"] = "metric"
    dark_below: float = Field(
        50.0,
        ge=0,
        le=100,
        description="a garment darker than this counts as dark; 0 is black, 100 is white (CIE L*)",
    )
    most_screens: int = Field(
        MOST_SCREENS,
        ge=1,
        le=1000,
        description="more screens of one set-up are warned of where it isn't said how many the press holds",
    )
    tiny_screen_mm2: Area_mm2 = Field(
        TINY_SCREEN_MM2, alias="tiny_screen", description="a screen that prints less is warned of"
    )
    mesh: Annotated[tuple[Mesh, ...], AfterValidator(_differ)] = Field(
        (
            _usual_mesh("43-80", 43.0, 80.0),
            _usual_mesh("62-64", 62.0, 64.0),
            _usual_mesh("77-55", 77.0, 55.0),
        ),
        min_length=1,
        description="meshes in stock, the usual one first",
    )
    film: Film = Film()
    frame: Annotated[tuple[Frame, ...], AfterValidator(_differ)] = ()
    press: Press = Press()
    balance: Balance = Balance()
    room: Room = Room()
    work: Work = Work()
    inks: Annotated[tuple[Ink, ...], AfterValidator(_differ)] = Field(
        (), description="inks in stock; [[inks]], because [ink] is a plugin's to use"
    )
    ink_kinds: Annotated[tuple[OwnKind, ...], AfterValidator(_differ)] = Field(
        (), description="kinds of ink of the shop's own"
    )

    @model_validator(mode="after")
    def _kinds_are_known(self) -> Self:
        for own in self.ink_kinds:
            if own.name in INK_KINDS:
                raise ValueError(
                    f'"{own.name}" is a usual kind of ink; give the kind of your own another name'
                )
        known = (*INK_KINDS, *(own.name for own in self.ink_kinds))
        for ink in self.inks:
            if ink.kind not in known:
                raise ValueError(
                    f'ink "{ink.name}" is of a kind that isn\'t known, "{ink.kind}"; write one of'
                    f" {', '.join(known)}, or add yours as [[ink_kinds]]"
                )
        return self

    def listed_ink(self, name: str) -> Ink | None:
        """Give the ink of this name from the list; ``None`` where it isn't there."""
        return next((ink for ink in self.inks if ink.name == name), None)

    def own_kind(self, ink: Ink) -> OwnKind | None:
        """Give the shop's own kind that an ink is of; ``None`` where it is of a usual one."""
        return next((own for own in self.ink_kinds if own.name == ink.kind), None)

    def kind_of(self, ink: Ink) -> InkKind:
        """Give the usual kind that an ink is printed like."""
        own = self.own_kind(ink)
        if own is not None:
            return own.like
        return next(kind for kind in INK_KINDS if kind == ink.kind)
