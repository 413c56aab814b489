"""Judges whether drawings are read as an independent renderer draws them: by shares and by place.

Each drawing is read as the command does it, in the guard's worker. What was read is compared twice: each
colour's share of the artboard with the renderer's pixel count (:mod:`renderer`), and place by place with
the proof (:mod:`prep.svg.proof`). Both look at further sizes only where the first one disagrees, so that
what the rasteriser alone is to blame for doesn't count; then at the surroundings of what differs, from
near; then the drawing is said in other words (:mod:`rewording`).
"""

from __future__ import annotations

import re
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import shapely
from lxml import etree
from renderer import difference
from rewording import reworded

from prep.artwork import Artwork, PrintSize
from prep.errors import ArtworkRefused, InputError, PrepError, WorkStopped
from prep.guard import Guard
from prep.reading import read_and_separate
from prep.separations import Separation
from prep.solid_count import LEAD
from prep.svg.artboard import artboard_of
from prep.svg.document import parse
from prep.svg.features import FEATURES, Treatment
from prep.svg.notation import inverse
from prep.svg.proof import proof
from prep.svg.proof_differences import Difference

VERDICTS = ("right", "refused", "unproven", "wrong", "failed")
TOLERANCE = 0.005
READING_SECONDS = 10.0
_CLOCK_SECONDS = 60.0  # the reading, and what proves it
_WORKERS = 2
_NEAR = 8  # times


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing to be judged.

    :param width_mm: to read it at; None leaves it to the file
    :param counted: whether shares are compared with pixel counts too, not by the proof alone
    """

    name: str
    data: bytes
    width_mm: float | None = None
    counted: bool = True


@dataclass(frozen=True, slots=True)
class Judgement:
    """What became of one drawing.

    :param verdict: one of :data:`VERDICTS`; unproven: the renderer itself refuses it
    :param reasons: features that it was refused for, or the refusal without its numbers
    :param seconds: for reading and separating
    """

    name: str
    verdict: str
    detail: str
    reasons: tuple[str, ...] = ()
    seconds: float = 0.0


def judge(drawing: Drawing) -> Judgement:
    """Read one drawing and compare it; runs in the worker."""
    began = time.process_time()
    try:
        artwork, separations = read_and_separate(
            drawing.data, drawing.name, PrintSize(width_mm=drawing.width_mm)
        )
    except InputError as error:
        made = _refused(drawing.name, error)
    else:
        made = Judgement(drawing.name, "", "", (), 0.0)
    took = time.process_time() - began
    if took > READING_SECONDS:
        return Judgement(drawing.name, "failed", f"took {took:.1f} s", (), took)
    if not made.verdict:
        made = _compared(drawing, artwork, separations)
    return replace(made, seconds=took)


def _refused(name: str, error: InputError) -> Judgement:
    lines = error.lines()
    detail = " | ".join(lines)
    clear = all(
        line.startswith(f"{name}: ") and "; " in line and "\n" not in line for line in lines
    )
    if not clear:
        return Judgement(name, "failed", f"refused in an unclear line: {detail}")
    return Judgement(name, "refused", detail, tuple(dict.fromkeys(_reasons(error))))


def _reasons(error: InputError) -> Iterator[str]:
    if not isinstance(error, ArtworkRefused):
        what = "is not a whole SVG" if error.what.startswith("is not a whole SVG") else error.what
        yield re.sub(r"\(.*\)|\"[^\"]*\"|[0-9][0-9.e+]*", "…", what)
        return
    refused = [f for f in FEATURES.values() if f.treatment is Treatment.REFUSED]
    for reason in error.reasons:
        if reason.what.startswith(LEAD):  # no reason of its own
            continue
        yield next(
            feature.key
            for feature in refused
            if reason.what == feature.what or reason.what.startswith(f"{feature.what} (")
        )


def _compared(drawing: Drawing, artwork: Artwork, separations: Sequence[Separation]) -> Judgement:
    name = drawing.name
    broken = [s.source for s in artwork.shapes if not s.region.is_valid or s.region.is_empty]
    broken += [s.colour for s in separations if not shapely.is_valid(s.region)]
    if broken:
        return Judgement(name, "failed", f"no valid region: {broken[0]}")
    visible = [(one.colour, one.region) for one in separations]
    shown = _on_whole_pixels(drawing.data, artwork)
    page_mm2 = artwork.width_mm * artwork.height_mm
    shares = {one.colour: one.region.area / page_mm2 for one in separations}
    share = difference(shares, shown, TOLERANCE) if drawing.counted else (0.0, "")
    try:
        places = proof(drawing.data, artwork, visible).differences
    except InputError as error:
        return Judgement(name, "unproven", str(error))
    if (
        places
        and not _gone_from_near(drawing, artwork, places)
        and proof(reworded(drawing.data, name), artwork, visible).differences
    ):
        return Judgement(name, "wrong", "; ".join(one.what for one in places))
    if share is None:
        return Judgement(name, "unproven", "the renderer refuses it")
    off, colour = share
    detail = f"{100 * off:.2f} % in {colour or 'nothing'}"
    return Judgement(name, "right" if off <= TOLERANCE else "wrong", detail)


def _gone_from_near(drawing: Drawing, artwork: Artwork, places: Sequence[Difference]) -> bool:
    """Say whether the differences are gone when looked at from near, so that pixels made them.

    The surroundings of each are read and compared again, enlarged to the whole page. A difference of the
    drawing only gets larger by that; what lines finer than a pixel look like doesn't.
    """
    if any(one.at_mm is None for one in places):
        return False
    size = PrintSize(artwork.width_mm, artwork.height_mm)
    for one in places:
        assert one.at_mm is not None
        root = parse(drawing.data, drawing.name)
        back = inverse(artboard_of(root, (None, None), size, drawing.name).matrix)
        x, y = one.at_mm
        x, y = back[0] * x + back[2] * y + back[4], back[1] * x + back[3] * y + back[5]
        width, height = back[0] * artwork.width_mm / _NEAR, back[3] * artwork.height_mm / _NEAR
        root.set("viewBox", f"{x - width / 2} {y - height / 2} {width} {height}")
        root.set("width", f"{artwork.width_mm!r}mm")
        root.set("height", f"{artwork.height_mm!r}mm")
        data = etree.tostring(root)
        try:
            near, separations = read_and_separate(data, drawing.name, PrintSize())
            if proof(data, near, [(s.colour, s.region) for s in separations]).differences:
                return False
        except InputError:
            return False
    return True


def _on_whole_pixels(data: bytes, artwork: Artwork) -> bytes:
    """Enlarge the page of a drawing: the renderer rounds its size to whole units before it scales it."""
    root = etree.fromstring(data)
    if root.get("viewBox") is None:
        return data
    root.set("width", f"{10 * artwork.width_mm!r}")
    root.set("height", f"{10 * artwork.height_mm!r}")
    return etree.tostring(root)


def guarded() -> Guard:
    """Give a guard to judge under."""
    return Guard(seconds=_CLOCK_SECONDS)


def judged(guard: Guard, drawing: Drawing) -> Judgement:
    """Judge a drawing in the guard's worker."""
    try:
        return guard.run(judge, drawing)
    except WorkStopped as error:
        return Judgement(drawing.name, "failed", str(error))
    except PrepError as error:
        notes = "".join(getattr(error, "__notes__", ()))
        return Judgement(drawing.name, "failed", f"{error}\n{notes}".strip())


def judge_all(drawings: Sequence[Drawing], workers: int = _WORKERS) -> list[Judgement]:
    """Judge drawings with several warm workers, and give the judgements in the same order."""
    made: list[Judgement | None] = [None] * len(drawings)

    def run(start: int) -> None:
        with guarded() as guard:
            for number in range(start, len(drawings), workers):
                made[number] = judged(guard, drawings[number])

    with ThreadPoolExecutor(workers) as pool:
        list(pool.map(run, range(workers)))
    return [one for one in made if one is not None]


def counted_verdicts(judgements: Iterable[Judgement]) -> Counter[str]:
    """Count verdicts."""
    return Counter(one.verdict for one in judgements)


def table(groups: Iterable[tuple[str, Iterable[Judgement]]]) -> str:
    """Give the counts of verdicts by group, and the longest time of a reading."""
    lines = [f"{'':32}" + "".join(f"{verdict:>10}" for verdict in VERDICTS) + f"{'slowest':>10}"]
    whole: list[Judgement] = []
    for name, group in groups:
        members = list(group)
        whole += members
        lines.append(_row(name, members))
    lines.append(_row("all", whole))
    return "\n".join(lines)


def _row(name: str, members: Sequence[Judgement]) -> str:
    counts = counted_verdicts(members)
    slowest = max((one.seconds for one in members), default=0.0)
    return f"{name:32}" + "".join(f"{counts[v]:>10}" for v in VERDICTS) + f"{slowest:>8.1f} s"


def reasons_table(judgements: Iterable[Judgement]) -> str:
    """Give how many drawings were refused for each reason; one may have several."""
    refused = [one for one in judgements if one.verdict == "refused"]
    counts = Counter(reason for one in refused for reason in one.reasons)
    alone = Counter(one.reasons[0] for one in refused if len(one.reasons) == 1)
    lines = [f"{'refused for':50}{'drawings':>10}{'only for':>10}"]
    for reason, count in counts.most_common():
        lines.append(f"{reason[:49]:50}{count:>10}{alone[reason]:>10}")
    return "\n".join(lines)
