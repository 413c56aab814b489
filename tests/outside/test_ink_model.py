"""The ink model against what it doesn't share: points scattered over real drawings, and a trade journal.

The drawings are fetched by ``fetch_art.py``. Each is read 120 mm wide, and a patch of the colour with the
most vertices is taken where half of these lie on either side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
import shapely
from fetch_art import art_folder
from shapely import MultiPolygon, box

from prep.artwork import PrintSize
from prep.cloth import MeshFigures, figures
from prep.measures import Limits, measure
from prep.separations import separate
from prep.svg import read_svg
from prep.testing import as_multipolygon
from prep_ink.deposit import edge_integral_mm2, open_field_um
from prep_ink.parameters import TRANSFER

DRAWINGS = (
    "circle-flags/fr-20r.svg",
    "flag-icons/cefta.svg",
    "iconify-json-noto/falafel.svg",
    "openmoji/1F939-1F3FF-200D-2640-FE0F.svg",
    "svg-country-flags/ug.svg",
    "twemoji-svg/1f1ed-1f1f0.svg",
)
REACHES = np.array([0.1, 0.2, 0.35, 0.7, 1.5])
PATCH_MM = 14.0
CELL_MM = 0.04
LIMITS = Limits(
    places_to_mm=0.02, search_to_mm=0.02
)  # depths don't depend on how places are searched

needs_art = pytest.mark.skipif(
    not art_folder().is_dir(), reason="no drawings fetched; run tests/outside/fetch_art.py"
)


def patch_of(name: str) -> MultiPolygon:
    file = art_folder() / name
    art = read_svg(file.read_bytes(), name=file.name, size=PrintSize(width_mm=120.0))
    region = max((one.region for one in separate(art)), key=shapely.get_num_coordinates)
    x, y = np.median(shapely.get_coordinates(region), axis=0)
    half = PATCH_MM / 2
    window = box(x - half, y - half, x + half, y + half)
    return as_multipolygon(shapely.intersection(region, window))


@dataclass(frozen=True, slots=True)
class Scattered:
    """Edge integrals by points, one for each reach, and their standard error. Both (m,) in mm²."""

    edge_mm2: np.ndarray
    error_mm2: np.ndarray


def scattered(region: MultiPolygon, cell_mm: float) -> Scattered:
    """Sum over points, four at random in each cell of a grid, knowing nothing of how depths are measured.

    What is summed is 1 - exp(-distance / reach), which is nothing at the edge, so that it doesn't matter
    how many points of the cells there fall inside; the area, which shapely knows, less this sum is the
    integral. Two points of a cell lie opposite each other about its middle. The difference of the two
    pairs of a cell tells the standard error of their mean.
    """
    x0, y0, x1, y1 = region.bounds
    columns, rows = np.arange(x0, x1, cell_mm), np.arange(y0, y1, cell_mm)
    corner = np.stack(np.meshgrid(columns, rows), axis=-1).reshape(-1, 2)
    points, ring = shapely.get_coordinates(
        shapely.get_rings(shapely.get_parts(region)), return_index=True
    )
    same = ring[1:] == ring[:-1]
    edges = np.stack([points[:-1][same], points[1:][same]], axis=1)
    tree = shapely.STRtree(shapely.linestrings(edges))
    shapely.prepare(region)
    random = np.random.default_rng(11)
    pairs = np.zeros((2, len(REACHES), len(corner)))
    for pair in pairs:
        off = random.uniform(0, cell_mm, corner.shape)
        for at in (corner + off, corner + cell_mm - off):
            inside = np.flatnonzero(shapely.contains_xy(region, *at.T))
            _, away = tree.query_nearest(
                shapely.points(at[inside]), return_distance=True, all_matches=False
            )
            pair[:, inside] += -np.expm1(-away / REACHES[:, None]) / 2
    missing = cell_mm**2 * pairs.mean(axis=0).sum(axis=1)
    error = cell_mm**2 * np.sqrt(((pairs[0] - pairs[1]) ** 2).sum(axis=1)) / 2
    return Scattered(region.area - missing, error)


@needs_art
@pytest.mark.parametrize("name", DRAWINGS)
def test_edge_integral_of_patches_of_art(name: str) -> None:
    """The measured integral is that of the points to a thousandth, with twice their error counted in."""
    region = patch_of(name)
    bands = measure(region, LIMITS).bands
    ours = edge_integral_mm2(bands.area_mm2, bands.depth_mm, bands.spread_mm, REACHES)
    theirs = scattered(region, CELL_MM)
    assert (theirs.error_mm2 < 3e-4 * theirs.edge_mm2).all()
    assert (np.abs(ours - theirs.edge_mm2) + 2 * theirs.error_mm2 < 1e-3 * theirs.edge_mm2).all()


def test_points_know_a_rectangle() -> None:
    """What the drawings are held against: 4 x 2 mm at 0.5 mm is 4 mm² by calculus, within three errors."""
    found = scattered(MultiPolygon([box(0, 0, 4, 2)]), 0.05)
    q = np.exp(-1 / REACHES)
    exact = 12 * REACHES * (1 - q) - 8 * REACHES**2 * (1 - q) + 8 * REACHES * q
    assert (np.abs(found.edge_mm2 - exact) < 3 * found.error_mm2 + 1e-9).all()
    assert (found.error_mm2 < 1e-3 * exact).all()
    assert (found.error_mm2 > 0).all()


# The two worked examples of *Screen Printing*, "How Much Ink Do You Need?" (April 2000), Figure 1: wet
# height I by thread D and count M, I = 1.82 D (1 - M D)^2, for plain weave up to 42 threads/cm, and
# I = 0.285 F by the thickness F of the fabric from 43 to 139 threads/cm. The second names no thread; one of
# 50 / 1.6 um makes a fabric 50 um thick by our rule for a thickness that nobody states.
COARSE, FINE = figures("39-55", 39, 55), figures("120-31", 120, 50 / 1.6, thickness_um=50)
THEIRS_UM = {COARSE.name: 61.76, FINE.name: 14.25}


def coarse_rule_um(count_per_cm: float, thread_um: float) -> float:
    return 1.82 * thread_um * (1 - count_per_cm * thread_um / 10_000) ** 2


def fine_rule_um(thickness_um: float) -> float:
    return 0.285 * thickness_um


def ours_um(mesh: MeshFigures) -> float:
    transfer = TRANSFER.parameter.default
    return float(open_field_um(transfer, mesh.volume_um, mesh.void_um))


def test_published_rules_give_the_published_heights() -> None:
    """61.76 and 14.25 um as printed there, so that their rules are read as they are meant."""
    coarse = coarse_rule_um(COARSE.count_per_cm, COARSE.thread_um)
    assert coarse == pytest.approx(THEIRS_UM[COARSE.name], abs=0.01)
    assert fine_rule_um(FINE.thickness_um) == pytest.approx(THEIRS_UM[FINE.name], abs=0.005)


@pytest.mark.parametrize(
    ("mesh", "ours", "share_of_theirs", "their_transfer"),
    [(COARSE, 48.9, 0.79, 1.14), (FINE, 17.6, 1.23, 0.73)],
    ids=["39 threads/cm", "120 threads/cm"],
)
def test_our_open_field_beside_two_worked_examples(
    mesh: MeshFigures, ours: float, share_of_theirs: float, their_transfer: float
) -> None:
    """One stroke far from any edge: 48.9 um where they have 61.76, 17.6 um where they have 14.25.

    Theirs are two rules for two kinds of mesh: as shares of the theoretical volume, open area times
    thickness, they come to 1.14 for the coarse one and 0.73 for the fine one. We have one share for all
    meshes, 0.9, which lies between: a fifth less than theirs on the coarse mesh and a quarter more on the
    fine one. That is no disagreement about the mesh but about what passes over, and their rules don't
    agree with each other either (see below). Theirs are for an even layer on smooth ground; jersey drinks
    ink that is driven in, which speaks for more than their 0.73 on fine mesh. For 1.14, more than straight
    openings hold, ink must flow in from beside the round threads; where threads bed into cloth that isn't
    flat there is less room for it (own explanation, no source). Both theirs lie within our interval, 0.5
    to 1.4.
    """
    theirs = THEIRS_UM[mesh.name]
    assert ours_um(mesh) == pytest.approx(ours, abs=0.05)
    assert ours_um(mesh) / theirs == pytest.approx(share_of_theirs, abs=0.005)
    assert theirs / mesh.volume_um == pytest.approx(their_transfer, abs=0.005)
    transfer = TRANSFER.parameter
    assert transfer.low * mesh.volume_um < theirs < transfer.high * mesh.volume_um


def test_ours_does_not_jump_where_theirs_does() -> None:
    """From 42 to 43 threads/cm of 80 um their wet height falls by 43 %, ours by what the openings lose.

    42 threads/cm: 1.82 x 80 (1 - 0.336)^2 = 64.2 um; 43: 0.285 of a fabric 128 um thick = 36.5 um.
    """
    coarser, finer = figures("42-80", 42, 80), figures("43-80", 43, 80)
    before, after = coarse_rule_um(42, 80), fine_rule_um(finer.thickness_um)
    assert (before, after) == (pytest.approx(64.2, abs=0.05), pytest.approx(36.5, abs=0.05))
    assert after / before == pytest.approx(0.57, abs=0.005)
    assert ours_um(finer) / ours_um(coarser) == pytest.approx((0.656 / 0.664) ** 2, rel=1e-6)
