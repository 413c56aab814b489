"""Every fine detail of every screen, gathered from its measures and judged by all causes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from prep.cracks import HAIRLINE_MM
from prep.garments import style_of
from prep.job import Job, ReadSettings
from prep.measures import Limits, NarrowPlaces, Places, measure
from prep.measures.result import AS_WIDE_MM, tip_losses
from prep.order import SetUp
from prep.press_error import press_error
from prep.remembered import remembered
from prep.screens import Mark, Screen
from prep.shop import Shop
from prep_fill_in.answers import IslandLimits
from prep_fill_in.asked import Asked
from prep_fill_in.covered import covered, covered_whole, covers_of
from prep_fill_in.drying import Dries
from prep_fill_in.judge import PASSES, Floats, Ints, Judged, Rule, Size, judge, release_ratio
from prep_fill_in.leftovers import Leftovers, Painted, carried_over, leftovers_of
from prep_fill_in.limits import Bound, Conditions, Fabric, in_force
from prep_fill_in.remedy import Resolution
from prep_fill_in.rules import island_rules, opening_rules, strip_rules
from prep_fill_in.settings import FillIn, FillInOrder

Sort = Literal["opening", "small opening", "film strip", "island"]

ROUND: frozenset[Sort] = frozenset({"small opening", "island"})
"""Sorts that are small all over."""
_COUNTED = "test pulls and spoilt shirts among them"
_SHIRTS_ALONE = "on shirts alone: no plugin that counts test pulls and spoilt shirts is installed"
_NOTHING = MultiPolygon()
_SLIVER_MM = 0.05
"""A piece narrower than this over all, with a touch in it, is a crack and not a detail. Guess."""

TIP_ROUNDED_BELOW = "cutting"
"""Topic whose limit says how much of a tip is lost."""


@dataclass(frozen=True, slots=True, eq=False)
class Details:
    """Details of one sort on one screen.

    :param width_mm: (N,)
    :param at_mm: (N, 2)
    :param area_mm2: (N,) of islands; empty for other sorts
    :param rules: what they were judged by
    """

    sort: Sort
    width_mm: Floats
    at_mm: Floats
    area_mm2: Floats
    rules: tuple[Rule, ...]
    judged: Judged

    def causes(self, which: Ints) -> tuple[Rule, ...]:
        """Give the rules that any of these details breaks: the one that decides, then by growth asked."""
        broken = np.atleast_1d((self.judged.levels[which] > PASSES).any(axis=0)).tolist()
        first = int(self.judged.decides[which[0]])
        asks = np.atleast_1d(self.judged.grow[which].max(axis=0))
        rest = [i for i, hit in enumerate(broken) if hit and i != first]
        rest.sort(key=lambda i: -float(asks[i]))
        return tuple(self.rules[i] for i in (first, *rest))

    def suffers_from(self, cause: str) -> bool:
        """Tell whether any of these details breaks a rule of that cause."""
        of = [i for i, rule in enumerate(self.rules) if rule.cause == cause]
        return bool((self.judged.levels[:, of] > PASSES).any())

    def signature(self) -> Ints:
        """Give (N,) a number for each distinct set of broken rules."""
        weights = 3 ** np.arange(len(self.rules), dtype=np.intp)
        signed: Ints = self.judged.levels.astype(np.intp) @ weights * len(self.rules)
        return signed + self.judged.decides


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """Places that have no width to judge: sharp tips, or touches.

    :param at_mm: (N, 2)
    :param size_mm: (N,) length lost at a tip, or width of a touch
    :param area_mm2: lost in all
    """

    at_mm: Floats
    size_mm: Floats
    area_mm2: float = 0.0


@dataclass(frozen=True, slots=True)
class HeldBy:
    """What holds for all details of a screen.

    :param mesh: ``None`` where nobody knows it; the mesh's causes are not judged then
    :param cloth_um: its thickness; 0 where nobody knows it
    :param dries: ``None`` where nobody knows it; drying is not judged then
    :param reached_mm: a width that misses a limit by less has reached it
    :param helps: what keeps the ink open best
    """

    bounds: Mapping[str, Bound]
    conditions: Conditions
    mesh: Resolution | None
    cloth_um: float
    dries: Dries | None
    reached_mm: float = AS_WIDE_MM
    helps: tuple[str, ...] = ()

    @property
    def depth_mm(self) -> float:
        """Film, or film and mesh: what the ink must let go of."""
        return (self.conditions.film_um + self.cloth_um) / 1000.0


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """All that was found on one screen, or among the marks.

    :param screen: ``None`` for the marks
    :param leftovers: what peeks out from under other shapes; in none of the other lists
    :param places_to_mm: no wider strip was listed
    :param covers: what is printed on a base; empty for any other screen
    :param unseen: narrow film of a base that lies wholly beneath that; in none of the other lists
    """

    screen: Screen | None
    held_by: HeldBy
    details: tuple[Details, ...]
    tips: Mapping[Literal["opening", "film"], Points]
    touches: Mapping[Literal["opening", "film"], Points]
    leftovers: Leftovers
    places_to_mm: float
    covers: MultiPolygon
    unseen: Points

    @property
    def bounds(self) -> Mapping[str, Bound]:
        """The bounds in force."""
        return self.held_by.bounds

    @property
    def conditions(self) -> Conditions:
        """What decided which limits hold."""
        return self.held_by.conditions

    @property
    def mesh(self) -> Resolution | None:
        """Its mesh, where known."""
        return self.held_by.mesh

    @property
    def depth_mm(self) -> float:
        """What the ink must let go of."""
        return self.held_by.depth_mm

    def beside_limit_mm(self, sort: Sort) -> float:
        """Give how wide what lies beside such a detail must stay: film, or openings."""
        topics = ("strip", "gap") if sort in ("opening", "small opening") else ("weeding", "stroke")
        return max(self.bounds[topic].at_risk_below for topic in topics)


def reached_mm(flattening_mm: float) -> float:
    """Give by how much less a width may miss a limit and has reached it: both its edges may be curves.

    :param flattening_mm: largest distance between a curve and the polygon that stands for it
    """
    return max(AS_WIDE_MM, 2.0 * flattening_mm)


def stock_of(shop: Shop) -> tuple[Resolution, ...]:
    """Give the meshes in stock; an opening the maker doesn't state is pitch less thread."""
    stock = []
    for mesh in shop.mesh:
        pitch = 10_000.0 / mesh.count_per_cm
        opening = mesh.opening_um if mesh.opening_um is not None else pitch - mesh.thread_um
        stock.append(Resolution(mesh.name, pitch, opening, mesh.thread_um))
    return tuple(stock)


def island_limits(job: Job, asked: Asked) -> IslandLimits:
    """Give the limits that islands are judged by on each screen."""
    own, found = job.settings(FillIn).own(), {}
    for screen in job.screens:
        bounds = in_force(own, conditions_of(job, screen, asked))
        found[screen.key] = bounds["island"].at_risk_below, bounds["island_area"].at_risk_below
    return IslandLimits(found)


def fabric_of(settings: ReadSettings, setup: SetUp) -> Fabric:
    """Give what is printed on: as the order says, else by the garments; one of fleece decides for all."""
    said = settings(FillInOrder).fabric
    if said is not None:
        return said
    return "fleece" if any(style_of(batch) != "tee" for batch in setup.batches) else "tee"


def conditions_of(job: Job, screen: Screen, asked: Asked) -> Conditions:
    """Give what decides which limits hold on a screen of a job; see :func:`conditions_for`."""
    prints, wet_s = asked.prints, asked.wet_s.get(screen.key)
    strokes = asked.strokes.get(screen.key, 0)
    return conditions_for(
        job.settings, job.setup, job.shop, screen.passes, prints, strokes=strokes, wet_s=wet_s
    )


def conditions_for(
    settings: ReadSettings,
    setup: SetUp,
    shop: Shop,
    hits: int,
    prints: int | None,
    *,
    strokes: int = 0,
    wet_s: float | None = None,
) -> Conditions:
    """Give what decides which limits hold on a screen printed so many times a shirt.

    The passes of one screen follow each other without the shirt being laid again; a turn of the frame
    between them is left out.

    :param prints: test pulls and spoilt shirts among them; ``None`` = nobody counts these
    :param strokes: each time, without drying between; 0 = not known
    :param wet_s: time that the screen lies wet; ``None`` = not known
    """
    own = settings(FillIn)
    return Conditions(
        pulls=(setup.shirts if prints is None else prints) * hits,
        counted=_COUNTED if prints is not None else _SHIRTS_ALONE,
        long_run_pulls=own.long_run_pulls,
        wet_s=wet_s,
        long_run_wet_s=own.long_run_wet_s,
        film_um=shop.film.thickness_um,
        thin_film_um=own.thin_film_um,
        fabric=fabric_of(settings, setup),
        hits=hits,
        strokes=strokes,
        scatter_mm=press_error(shop.press, films=1).scatter_mm,
        between_strokes=own.between_strokes,
        removable=shop.film.adhesive == "removable",
    )


def judge_screen(job: Job, screen: Screen, asked: Asked) -> Judgement:
    """Judge all details of one screen."""
    conditions = conditions_of(job, screen, asked)
    held_by = HeldBy(
        bounds=in_force(job.settings(FillIn).own(), conditions),
        conditions=conditions,
        mesh=asked.meshes.get(screen.key, (None, 0.0))[0],
        cloth_um=asked.meshes.get(screen.key, (None, 0.0))[1],
        dries=asked.dries.get(screen.key),
        reached_mm=reached_mm(job.artwork.flattening_mm),
        helps=asked.helps,
    )
    left, covers = leftovers_on(job, screen), covers_of(job, screen)
    return judge_region(screen, screen.region, screen.measures, held_by, left, covers)


def leftovers_on(job: Job, screen: Screen) -> Leftovers:
    """Find what is left of covered shapes on a screen: in what shows, before it was spread or cut."""
    shown = {design.colour: design for design in job.design}.get(screen.colour)
    if screen.does == "base" or shown is None:
        return no_leftovers(screen.region, screen.measures)
    left = _leftovers(shown.region, shown.measures, painted_as(job, screen.colour))
    if screen.region is shown.region:
        return left
    if not len(left.at_mm):
        return no_leftovers(screen.region, screen.measures)
    return carried_over(left, shown.region, screen.region, screen.measures)


def no_leftovers(region: MultiPolygon, measures: NarrowPlaces) -> Leftovers:
    """Give leftovers of a region that holds none."""
    return _leftovers(region, measures, Painted((), ()))


def _leftovers(region: MultiPolygon, measures: NarrowPlaces, painted: Painted) -> Leftovers:
    across = across_mm(shapely.get_parts(region), HAIRLINE_MM) if painted.shapes else np.zeros(0)
    return leftovers_of(region, measures, across, painted)


def joined_in(setup: SetUp) -> Mapping[str, str]:
    """Give colours that are printed as another, with that other."""
    return {c.colour: c.print_as for c in setup.colours if c.print_as is not None}


def painted_as(job: Job, colour: str) -> Painted:
    """Give the shapes printed in a colour as they were drawn, and what shows of other colours."""
    joined = joined_in(job.setup)
    return Painted(
        shapes=tuple(
            s.region
            for s in job.artwork.shapes
            if joined.get(s.colour, s.colour) == colour and not s.region.is_empty
        ),
        others=tuple(
            (s.colour, s.region)
            for s in job.separations
            if joined.get(s.colour, s.colour) != colour
        ),
    )


def judge_marks(job: Job, marks: Sequence[Mark], asked: Asked) -> Judgement | None:
    """Judge the marks cut beside the image; the coarsest mesh they lie on decides.

    Marks print on the test pulls only, so neither fabric nor a long run is held against them.
    """
    if not marks:
        return None
    region = _polygons(shapely.union_all([mark.region for mark in marks]))
    if region.is_empty:
        return None
    conditions = Conditions(
        pulls=1,
        film_um=job.shop.film.thickness_um,
        thin_film_um=job.settings(FillIn).thin_film_um,
    )
    bounds = in_force(job.settings(FillIn).own(), conditions)
    known = list(asked.meshes.values())
    mesh, cloth_um = max(known, key=lambda m: m[0].pitch_um, default=(None, 0.0))
    measures = measure(region, Limits())
    held_by = HeldBy(bounds, conditions, mesh, cloth_um, None)
    return judge_region(None, region, measures, held_by, no_leftovers(region, measures))


def judge_region(
    screen: Screen | None,
    region: MultiPolygon,
    measures: NarrowPlaces,
    held_by: HeldBy,
    left: Leftovers,
    covers: MultiPolygon = _NOTHING,
) -> Judgement:
    """Judge all details of a region.

    :param screen: whose region it is, at whatever size; ``None`` for marks, which print on no shirt
    :param covers: what is printed on it, where it is a base
    """
    fabric = screen is not None
    film, unseen = _film(measures, held_by, left, covers, fabric=fabric)
    details = (*_openings(region, measures, held_by, left, fabric=fabric), *film)
    openings, gaps = measures.openings.take(~left.openings), measures.gaps.take(~left.gaps)
    rounded = held_by.bounds[TIP_ROUNDED_BELOW].at_risk_below
    return Judgement(
        screen=screen,
        held_by=held_by,
        details=tuple(d for d in details if len(d.width_mm)),
        tips={
            "opening": _tips(openings, rounded),
            "film": _tips(gaps, rounded),
        },
        touches={"opening": _touches(openings), "film": _touches(gaps)},
        leftovers=left,
        places_to_mm=measures.places_to_mm,
        covers=covers,
        unseen=unseen,
    )


def _openings(
    region: MultiPolygon,
    measures: NarrowPlaces,
    held_by: HeldBy,
    left: Leftovers,
    *,
    fabric: bool,
) -> tuple[Details, ...]:
    """Give narrow places of openings, and small openings, like a dot or a triangle.

    A place about as wide as its whole opening, where that is no line, is that opening.

    A place is judged for release by the area ratio of its whole opening where that is at most five
    times as long as wide, else as an endless slot, w / (2 T).
    """
    pieces = shapely.get_parts(region)
    if not len(pieces):
        return ()
    area, around = shapely.area(pieces), shapely.length(pieces)
    depth_mm = held_by.depth_mm
    ratio = release_ratio(area, around, depth_mm)
    held = held_by.bounds, held_by.mesh, depth_mm
    rules = opening_rules(*held, long=False, fabric=fabric, dries=held_by.dries)
    whole_mm = across_mm(pieces, _widest(rules))
    strips = measures.openings.take(~left.openings).strips()
    compact = area[strips.piece] <= 5.0 * strips.width_mm**2
    itself = compact & (whole_mm[strips.piece] <= 1.15 * strips.width_mm)
    strips, compact = strips.take(~itself), compact[~itself]
    narrow = _details(
        "opening",
        strips.at_mm,
        {
            "width": strips.width_mm,
            "ratio": np.where(compact, ratio[strips.piece], strips.width_mm / (2.0 * depth_mm)),
        },
        opening_rules(*held, long=True, fabric=fabric, dries=held_by.dries),
        held_by.reached_mm,
    )
    rest = ~_slips(pieces, measures.openings.touches().piece)
    rest[strips.piece] = False
    rest &= ~left.pieces
    inside = shapely.get_coordinates(shapely.point_on_surface(pieces[rest]))
    sizes: dict[Size, Floats] = {"width": whole_mm[rest], "ratio": ratio[rest]}
    return narrow, _details("small opening", inside, sizes, rules, held_by.reached_mm)


def _film(
    measures: NarrowPlaces,
    held_by: HeldBy,
    left: Leftovers,
    covers: MultiPolygon,
    *,
    fabric: bool,
) -> tuple[tuple[Details, ...], Points]:
    """Give narrow strips of film, and islands; and apart, those that nobody would see lift.

    A strip about as wide as the island it lies in is that island, and is judged as such only.
    """
    strips = measures.gaps.take(~left.gaps).strips()
    rules = island_rules(held_by.bounds, held_by.mesh, fabric=fabric)
    islands = np.array([island.region for island in measures.islands], dtype=object)
    across = across_mm(islands, _widest(rules))
    itself = np.zeros(len(strips), dtype=bool)
    inside = strips.piece > 0
    itself[inside] = across[strips.piece[inside] - 1] <= 1.15 * strips.width_mm[inside]
    kept = strips.take(~itself)
    hidden = covered(covers, kept.at_mm, kept.width_mm)
    narrow = hidden & (kept.width_mm < held_by.bounds["strip"].at_risk_below)
    kept, unseen = kept.take(~hidden), kept.take(narrow)
    film = _details(
        "film strip",
        kept.at_mm,
        {"width": kept.width_mm},
        strip_rules(held_by.bounds, held_by.mesh, fabric=fabric),
        held_by.reached_mm,
    )
    slip = _slips(islands, measures.gaps.touches().piece - 1) | left.islands
    beneath = covered_whole(covers, islands) & ~slip
    slip |= beneath
    at = np.array([island.at_mm for island in measures.islands]).reshape(-1, 2)[~slip]
    area = np.array([island.area_mm2 for island in measures.islands])[~slip]
    sizes: dict[Size, Floats] = {"width": across[~slip], "area": area}
    told = Points(
        np.concatenate(
            [
                unseen.at_mm.reshape(-1, 2),
                np.array([one.at_mm for one in measures.islands]).reshape(-1, 2)[beneath],
            ]
        ),
        np.concatenate([unseen.width_mm, across[beneath]]),
    )
    return (film, _details("island", at, sizes, rules, held_by.reached_mm)), told


def _details(
    sort: Sort,
    at_mm: Floats,
    sizes: Mapping[Size, Floats],
    rules: tuple[Rule, ...],
    reached_mm: float,
) -> Details:
    return Details(
        sort=sort,
        width_mm=sizes["width"],
        at_mm=at_mm,
        area_mm2=sizes.get("area", np.zeros(0)),
        rules=rules,
        judged=judge(sizes, rules, reached_mm),
    )


def across_mm(polygons: NDArray[np.object_], up_to_mm: float) -> Floats:
    """Give the diameter of the largest disc in each polygon, where it may be under a limit.

    A polygon without holes holds a disc of 2 A / P at least (plane geometry, from memory); where
    that reaches the limit it is given instead, so that bold shapes cost nothing. Around holes it
    may be too large; what is narrow there is a strip and judged as one.
    """
    across = np.asarray(2.0 * shapely.area(polygons) / shapely.length(polygons))
    near = np.flatnonzero(across < up_to_mm)
    if len(near):
        across[near] = np.maximum(_discs_mm(polygons[near]), across[near])
    return across


@remembered(kept=64)
def _discs_mm(polygons: NDArray[np.object_]) -> Floats:
    """Give the diameter of the largest disc in each polygon."""
    diameters: Floats = 2.0 * shapely.length(
        shapely.maximum_inscribed_circle(polygons, tolerance=0.001)
    )
    return diameters


def _widest(rules: Sequence[Rule]) -> float:
    return max(rule.at_risk_below for rule in rules if rule.size == "width")


def _slips(polygons: NDArray[np.object_], touching: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Say which polygons are nothing but a sliver that is already told as a touch."""
    slips = np.zeros(len(polygons), dtype=bool)
    slips[touching[touching >= 0]] = True
    if len(polygons):
        slips &= 4.0 * shapely.area(polygons) / shapely.length(polygons) < _SLIVER_MM
    return slips


def _tips(places: Places, rounded_mm: float) -> Points:
    tips = places.tips()
    length, area = tip_losses(tips.tip_angle_deg, rounded_mm)
    # the formula is for edges without end
    length = np.minimum(length, tips.length_mm)
    area = np.minimum(area, length * rounded_mm / 2.0)
    return Points(tips.at_mm, length, float(area.sum()))


def _touches(places: Places) -> Points:
    touches = places.touches()
    return Points(touches.at_mm, touches.width_mm)


def _polygons(geometry: BaseGeometry) -> MultiPolygon:
    parts = shapely.get_parts(geometry)
    return MultiPolygon([part for part in parts if isinstance(part, shapely.Polygon)])
