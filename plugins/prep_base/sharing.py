"""Which colours can be printed side by side through one film."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations

import shapely
from shapely.geometry.base import BaseGeometry

from prep.colour_difference import lab_of
from prep.frames import Printed, frame_by_frame, never_turned
from prep.job import Job
from prep.remembered import remembered
from prep.screens import AddScreen
from prep_base.settings import Base

Groups = Sequence[Sequence[int]]


def sharing_of(job: Job, tops: Sequence[AddScreen]) -> tuple[tuple[int, ...], ...]:
    """Give the colours that share a film, as numbers of their screens, rising.

    They have one mesh, a straight lane lies between any two of them, and their frame comes down once:
    no colour that meets one of them must be printed after the one and before the other. A colour too
    fine to print gets no share.

    Where no lane is left, one film could still carry both, one's openings taped off while the other is
    printed. That isn't proposed: the frame would come down twice and be cleaned between, every shirt be
    laid again, with the greater error of that, and tape would have to follow a ring or a letter.

    :param tops: screens of the colours
    """
    chosen = job.settings(Base)
    bold = [k for k, top in enumerate(tops) if _prints(top.region, chosen.thinnest_mm)]
    keys, before = _in_order(job, tops)

    def comes_down_once(groups: Groups) -> bool:
        films = {top.key: top.key for top in tops}
        for group in groups:
            films |= {tops[bold[k]].key: tops[bold[group[0]]].key for k in group}
        return frame_by_frame(keys, films, before) is not None

    groups = far_groups(
        [tops[k].region for k in bold],
        [tops[k].mesh or "" for k in bold],
        chosen.apart_mm,
        comes_down_once,
    )
    return tuple(tuple(bold[k] for k in group) for group in groups if len(group) > 1)


def far_groups(
    regions: Sequence[BaseGeometry],
    meshes: Sequence[str],
    apart_mm: float,
    fits: Callable[[Groups], bool] = lambda _: True,
) -> tuple[tuple[int, ...], ...]:
    """Put regions together that have a straight lane between them, in few groups.

    A squeegee is pulled straight over all its ink's openings. So a region within a ring, or one of two
    that reach around each other, has no lane, however far from the other it lies. Those with the fewest
    others they can stand beside choose first; so the groups are few, though not always the fewest.

    :param meshes: only regions of one mesh go together
    :param apart_mm: least width of the lane, along x or along y
    :param fits: says whether groups can be; asked of each before it is made
    :return: numbers of the regions of each group, rising
    """
    count = len(regions)
    bounds = shapely.bounds(list(regions)).reshape(count, 4)
    near = {
        frozenset((one, other))
        for one, other in combinations(range(count), 2)
        if meshes[one] != meshes[other]
        or max(*(bounds[one, :2] - bounds[other, 2:]), *(bounds[other, :2] - bounds[one, 2:]))
        < apart_mm
    }
    crowd = [sum(k in pair for pair in near) for k in range(count)]
    groups: list[list[int]] = []
    for k in sorted(range(count), key=lambda k: (-crowd[k], k)):
        for group in groups:
            if all(frozenset((k, other)) not in near for other in group) and fits(
                [[*g, k] if g is group else g for g in groups]
            ):
                group.append(k)
                break
        else:
            groups.append([k])
    return tuple(sorted(tuple(sorted(group)) for group in groups))


@remembered(kept=64)
def _prints(region: BaseGeometry, thinnest_mm: float) -> bool:
    """Tell whether some part of a region is wide enough to print."""
    parts = shapely.get_parts(region)
    if not len(parts):
        return False
    largest = parts[
        shapely.area(parts).argmax()
    ]  # nearly always it does, and one part is soon looked at
    return not all(
        shapely.is_empty(shapely.buffer(some, -thinnest_mm / 2.0)) for some in (largest, region)
    )


def _in_order(job: Job, tops: Sequence[AddScreen]) -> tuple[list[str], list[tuple[str, str]]]:
    """Give screens light before dark, and the pairs that mustn't be printed the other way round."""
    asked, as_light = _sequence(job)
    kinds = {ink.name: job.shop.kind_of(ink) for ink in job.shop.inks}
    printed = []
    for top in tops:
        called = (top.key.casefold(), top.colour.casefold(), top.ink.casefold())
        place = next((k for k, name in enumerate(asked) if name in called), len(asked))
        discharge = kinds.get(top.ink, top.kind) == "discharge"
        lightness = float(lab_of(top.colour)[0])
        screen = Printed(top.key, top.region, lightness, place < len(asked), discharge)
        printed.append(((place, not discharge, -lightness), screen))
    order = [screen for _, screen in sorted(printed, key=lambda pair: pair[0])]
    return [screen.key for screen in order], never_turned(order, as_light)


def _sequence(job: Job) -> tuple[tuple[str, ...], float]:
    """Give what the order names first, and the lightness from which it matters what is printed first."""
    try:
        from prep_sequence.settings import Sequence as Rule
        from prep_sequence.settings import SequenceOrder
    except ModuleNotFoundError:
        return (), 0.0
    names = tuple(name.casefold() for name in job.settings(SequenceOrder).order)
    return names, job.settings(Rule).as_light
