"""The paper master: a drawing at true size in tiles of paper, with an overview before them."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from prep.job import Ask, Job
from prep.paper import SHEETS, Size, document
from prep.phrases import several
from prep.pictures import Bounds, Canvas, Picture
from prep.screens import Mark
from prep.sections import Document
from prep_placing.settings import PlacingShop
from prep_placing.spots import Guide, guide_of, insides_of
from prep_placing.strokes import Stroke, cut_bounds, ink_styles, platen_bounds, strokes_of
from prep_placing.tiles import Join, Tile, Tiling, tiled

NAME = "paper-master"
_AROUND_MM = 9.0
_FOOT_MM = 15.0
_TEXT_MM, _SMALL_MM, _TINY_MM = 3.2, 2.7, 2.2
_WIDE = 0.6  # mean width of a letter of DejaVu Sans, as a share of its height, rather too much
_CROSS_MM = 4.0
_LEAST_MAP_MM = 60.0
_NAMED = 12  # tiles left out that are named
_IN_TWO_COLUMNS = 20
_CAPTION_MM = 92.0  # of the check bar
_INK, _SOFT = "#1a1a1a", "#6b6660"
_BARS = {"metric": (50.0, 10.0, "50 mm"), "inch": (50.8, 12.7, "2 in")}


@dataclass(frozen=True, slots=True)
class Sheets:
    """How the drawing lies on paper.

    :param paper: upright or across
    :param left_out: names of tiles on which there is nothing
    """

    paper: Size
    tiling: Tiling
    shown: tuple[Tile, ...]
    left_out: tuple[str, ...]

    @property
    def joins(self) -> tuple[Join, ...]:
        """The crosses of tiles that are both shown."""
        names = {tile.name for tile in self.shown}
        return tuple(join for join in self.tiling.joins if set(join.tiles) <= names)


def documents_of(job: Job, marks: tuple[Mark, ...], ask: Ask) -> Iterator[Document]:
    """Give the paper master of a set-up; none when nothing is printed."""
    guide = guide_of(job)
    if guide is not None:
        pages = pages_of(job, marks, ask, guide)
        yield document(NAME, pages, title=f"Paper master: {job.order.name}, {job.setup.name}")


def pages_of(job: Job, marks: tuple[Mark, ...], ask: Ask, guide: Guide) -> tuple[Picture, ...]:
    """Give the overview and the tiles, row by row."""
    strokes = strokes_of(job, marks, ask, guide)
    chosen = job.settings(PlacingShop)
    sheets = laid_out(strokes, SHEETS[job.shop.paper], chosen.paper_edge_mm, chosen.overlap_mm)
    tiles = (_tile_page(job, strokes, sheets, tile) for tile in sheets.shown)
    return (*_overview(job, marks, ask, guide, strokes, sheets), *tiles)


def laid_out(strokes: Sequence[Stroke], paper: Size, edge_mm: float, overlap_mm: float) -> Sheets:
    """Lay the drawing on paper, upright or across, whichever takes fewer sheets."""
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds([s.lines for s in strokes]))
    bounds = (x0 - _AROUND_MM, y0 - _AROUND_MM, x1 + _AROUND_MM, y1 + _AROUND_MM)
    found = []
    for size in (paper, Size(paper.height_mm, paper.width_mm)):
        room = size.width_mm - 2.0 * edge_mm, size.height_mm - 2.0 * edge_mm - _FOOT_MM
        tiling = tiled(bounds, room, overlap_mm)
        drawn = [stroke.lines for stroke in strokes]
        shown = tuple(
            tile
            for tile in tiling.tiles
            if bool(shapely.intersects(drawn, shapely.box(*tile.window_mm)).any())
        )
        left_out = tuple(tile.name for tile in tiling.tiles if tile not in shown)
        found.append(Sheets(size, tiling, shown, left_out))
    return min(found, key=lambda one: len(one.shown))


def _tile_page(job: Job, strokes: Sequence[Stroke], sheets: Sheets, tile: Tile) -> Picture:
    """Draw one tile: what its window shows, crosses to join it by, and a foot."""
    edge = job.settings(PlacingShop).paper_edge_mm
    paper, window = sheets.paper, tile.window_mm
    shift = edge - window[0], edge - window[1]
    frame = (edge, edge, edge + window[2] - window[0], edge + window[3] - window[1])
    canvas = Canvas((0.0, 0.0, paper.width_mm, paper.height_mm))
    canvas.rectangle(frame, stroke="#b5b0aa", stroke_mm=0.1)
    seen = [_moved(shapely.intersection(one.lines, shapely.box(*window)), shift) for one in strokes]
    inks, others = (
        [lines for lines, one in zip(seen, strokes, strict=True) if (one.kind == "ink") is inked]
        for inked in (True, False)
    )
    pen = _Pen(canvas, frame, inks, others)
    for join in sheets.joins:
        if tile.name in join.tiles:
            pen.cross((join.at_mm[0] + shift[0], join.at_mm[1] + shift[1]), join.name)
    for lines, stroke in zip(seen, strokes, strict=True):
        pen.draw(lines, stroke)
    _foot(canvas, job, paper, edge, _tile_title(job, sheets, tile))
    alt = f"Tile {tile.name} of the paper master of {job.setup.name}, true size."
    return canvas.picture(alt)


def _tile_title(job: Job, sheets: Sheets, tile: Tile) -> tuple[str, str]:
    return (
        f"Tile {tile.name}: column {tile.name.rstrip('0123456789')} of {sheets.tiling.columns},"
        f" row {tile.row + 1} of {sheets.tiling.rows}",
        f"{job.order.name}: {job.setup.name}",
    )


class _Pen:
    """Draws lines on a page, each with its label where that has room."""

    def __init__(
        self,
        canvas: Canvas,
        frame: Bounds,
        inks: Sequence[BaseGeometry],
        others: Sequence[BaseGeometry],
    ) -> None:
        """Draw inside a frame.

        :param inks: lines that labels cover only where there is no other place
        :param others: lines that labels cover rather than those
        """
        self._canvas, self._frame = canvas, shapely.box(*frame)
        self._avoided = [[one for one in lines if not one.is_empty] for lines in (inks, others)]
        self._written: list[BaseGeometry] = []
        shapely.prepare(self._avoided[0])

    def cross(self, at: tuple[float, float], name: str) -> None:
        """Draw a cross to join tiles by."""
        x, y = at
        self._canvas.line(((x - _CROSS_MM, y), (x + _CROSS_MM, y)), stroke_mm=0.2)
        self._canvas.line(((x, y - _CROSS_MM), (x, y + _CROSS_MM)), stroke_mm=0.2)
        wide = _WIDE * _TINY_MM * len(name)
        left = x + 1.0 if self._frame.bounds[2] - x > wide + 1.0 else x - 1.0 - wide
        self._canvas.text(name, (left, y - 1.0), height_mm=_TINY_MM, halo="#ffffff")
        self._written.append(shapely.box(left, y - 1.0 - _TINY_MM, left + wide, y))

    def draw(self, lines: BaseGeometry, stroke: Stroke) -> None:
        """Draw what a tile shows of a stroke."""
        for part in shapely.get_parts(shapely.line_merge(lines) if lines.length else lines):
            points = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(part))
            if len(points) > 1:
                look = stroke.style
                self._canvas.line(
                    points, stroke=look.colour, stroke_mm=look.wide_mm, dash_mm=look.dash_mm
                )
        if stroke.label and lines.length > 0.0:
            self._write(lines, stroke)

    def _write(self, lines: BaseGeometry, stroke: Stroke) -> None:
        """Write the label at the first of some places along the lines that covers nothing.

        Centre lines cross so much that they go without rather than hide what is printed.
        """
        high = _SMALL_MM
        wide = _WIDE * high * len(stroke.label)
        x0, y0, x1, y1 = (float(v) for v in lines.bounds)
        tried = [
            *(((x0 - wide - 1.5, (y0 + y1) / 2.0),) if stroke.kind == "stop" else ()),
            (x0 + 1.5, y0 - 1.0),
            (x0 + 1.5, y0 + high + 0.8),
            (x1 - wide - 1.5, y0 - 1.0),
            ((x0 + x1 - wide) / 2.0, y0 - 1.0),
            (x0 + 1.5, y1 + high + 0.8),
            (x0 + 1.5, y1 - 1.0),
            (x1 + 1.5, (y0 + y1) / 2.0),
            (x0 - wide - 1.5, (y0 + y1) / 2.0),
            (x1 + 1.5, y0 + 0.25 * (y1 - y0)),
            (x0 - wide - 1.5, y0 + 0.25 * (y1 - y0)),
            (x1 + 1.5, y0 + 0.75 * (y1 - y0)),
            (x0 - wide - 1.5, y0 + 0.75 * (y1 - y0)),
        ]
        boxes = [shapely.box(x, y - high, x + wide, y + 0.3 * high) for x, y in tried]
        free = [
            (*(bool(shapely.intersects(lines, box).any()) for lines in self._avoided), i)
            for i, box in enumerate(boxes)
            if self._frame.covers(box) and not shapely.intersects(self._written, box).any()
        ]
        covers_ink = free and min(free)[0]
        if free and not (covers_ink and stroke.kind == "centre"):
            *_, i = min(free)
            self._written.append(boxes[i])
            self._canvas.text(
                stroke.label, tried[i], height_mm=high, fill=stroke.style.colour, halo="#ffffff"
            )


def _moved(lines: BaseGeometry, shift: tuple[float, float]) -> BaseGeometry:
    return shapely.transform(lines, lambda points: points + shift)


def _foot(canvas: Canvas, job: Job, paper: Size, edge: float, lines: tuple[str, str]) -> None:
    """Draw the check bar and what the sheet is."""
    length, step, said = _BARS[job.shop.units]
    left, y = edge, paper.height_mm - edge - 3.0
    canvas.line(((left, y), (left + length, y)), stroke_mm=0.25)
    for i in range(round(length / step) + 1):
        high = 3.0 if i in (0, round(length / step)) else 1.6
        canvas.line(((left + i * step, y), (left + i * step, y - high)), stroke_mm=0.25)
    canvas.text(
        f"This bar is {said} long. Print at 100 %, not fitted to the page.",
        (left, y + 3.0),
        height_mm=2.4,
        fill=_SOFT,
    )
    right = paper.width_mm - edge
    room = right - left - _CAPTION_MM
    for i, line in enumerate(lines):
        canvas.text(
            _cut(line, room, _SMALL_MM),
            (right, y - 1.2 + 4.2 * i),
            height_mm=_SMALL_MM,
            bold=i == 0,
            anchor="end",
        )


def _cut(text: str, room_mm: float, high_mm: float) -> str:
    most = max(4, int(room_mm / (_WIDE * high_mm)))
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _overview(
    job: Job,
    marks: tuple[Mark, ...],
    ask: Ask,
    guide: Guide,
    strokes: Sequence[Stroke],
    sheets: Sheets,
) -> Iterator[Picture]:
    """Draw what comes before the tiles: what it is for, what its lines mean, and how the tiles lie."""
    edge = job.settings(PlacingShop).paper_edge_mm + 4.0
    paper = SHEETS[job.shop.paper]
    room, foot = paper.width_mm - 2.0 * edge, paper.height_mm - edge - _FOOT_MM
    alt = f"Overview of the paper master of {job.setup.name}"

    def page() -> Canvas:
        canvas = Canvas((0.0, 0.0, paper.width_mm, paper.height_mm))
        about = f"{job.order.name}: {job.setup.name}"
        _foot(canvas, job, paper, edge - 4.0, ("Overview", about))
        return canvas

    canvas, y = page(), edge + 6.0
    for part in _wrapped(f"Paper master: {job.setup.name}", room, 6.0, bold=True):
        canvas.text(part, (edge, y), height_mm=6.0, bold=True)
        y += 8.0
    y = _paragraph(canvas, f"{job.order.name}. As seen from above: it reads right.", edge, y, room)
    for use in _uses(job, sheets, guide):
        y = _paragraph(canvas, use, edge, y + 1.0, room)
    y += 3.0
    canvas.text("Lines", (edge, y + 2.0), height_mm=4.0, bold=True)
    y = _legend(canvas, job, marks, ask, guide, (edge, y + 8.0), room)
    if foot - y < _LEAST_MAP_MM:
        yield canvas.picture(f"{alt}: what it is for, and its lines.")
        canvas, y = page(), edge
    canvas.text("Tiles", (edge, y + 4.0), height_mm=4.0, bold=True)
    _map(canvas, strokes, sheets, (edge, y + 8.0, edge + room, foot))
    yield canvas.picture(f"{alt}: what it is for, its lines, its tiles.")


def _uses(job: Job, sheets: Sheets, guide: Guide) -> Iterator[str]:
    count = len(sheets.shown)
    left_out = (
        f" Left out, as nothing is on them: {_few(sheets.left_out)}." if sheets.left_out else ""
    )
    yield (
        f"{count} {'sheet' if count == 1 else 'sheets'} of {job.shop.paper}. Print at 100 % and measure a"
        " bar. Lay neighbours over each other so that crosses of one name coincide, hold them to the light,"
        f" and tape them.{left_out}"
    )
    yield (
        "Placing film on the mesh: lay the frame over the master, its inside on the frame's lines, squeegee"
        " side up. The film's notches lie on the centre lines."
    )
    yield (
        "Lining up on the platen or the plain table: tape the master down, lay the frame on its lines, and"
        f" fix a stop against it at the three triangles. {_laid(guide)} on the line of its size."
    )
    yield "Trying on: cut out the print's outline or fold the master to it, and hold it to the garment."


def _laid(guide: Guide) -> str:
    """Say which line of the master the garment's fold goes on, up to its collar's, hem's or cuff's."""
    if guide.place == "sleeve":
        turned = guide.reads in ("down the arm", "up the arm")
        ends = " or ".join(dict.fromkeys(spot.sleeve_ends for spot in guide.spots))
        line = "level" if turned else "upright"
        return f"The sleeve's upper fold goes on the {line} centre line, its {ends}"
    if guide.place == "chest":
        return "The garment's fold goes on the line of its centre, beside the print, its collar"
    return "The garment's fold goes on the upright centre line, its collar"


def _few(names: Sequence[str]) -> str:
    if len(names) <= _NAMED:
        return several(names)
    return f"{len(names)} tiles, crossed out below"


def _legend(
    canvas: Canvas,
    job: Job,
    marks: tuple[Mark, ...],
    ask: Ask,
    guide: Guide,
    at: tuple[float, float],
    room: float,
) -> float:
    """Draw a sample of each screen's line with its ink, in columns; the rest is labelled in place."""
    left, y = at
    columns = 2 if len(job.screens) <= _IN_TWO_COLUMNS else 4
    part, sample = room / columns, 26.0 if columns == 2 else 14.0
    styles = ink_styles(job.screens)
    rows = [
        (style, f"{'screen ' if columns == 2 else ''}{screen.number}: {screen.ink}")
        for screen, style in zip(job.screens, styles, strict=True)
    ]
    for i, (style, said) in enumerate(rows):
        x, line = left + part * (i % columns), y + 5.0 * (i // columns)
        canvas.line(
            ((x, line - 1.0), (x + sample, line - 1.0)),
            stroke=style.colour,
            stroke_mm=style.wide_mm,
            dash_mm=style.dash_mm,
        )
        named = _cut(said, part - sample - 6.0, _SMALL_MM)
        canvas.text(named, (x + sample + 3.0, line), height_mm=_SMALL_MM)
    y += 5.0 * -(-len(rows) // columns)
    for said in _missing(job, marks, ask, guide):
        y = _paragraph(canvas, said, left, y + 1.0, room, high=_SMALL_MM)
    return y


def _missing(job: Job, marks: tuple[Mark, ...], ask: Ask, guide: Guide) -> Iterator[str]:
    yield "The other lines are named where they lie."
    if not insides_of(ask):
        yield "No frame is drawn: none in stock holds this print, or shop.toml states none."
    if platen_bounds(job, guide, cut_bounds(guide, marks)) is None:
        yield (
            "No platen is drawn: a sleeve has a board of its own."
            if guide.place == "sleeve"
            else "No platen is drawn: shop.toml doesn't state its size (platen_width and platen_height"
            " under [press])."
        )


def _map(canvas: Canvas, strokes: Sequence[Stroke], sheets: Sheets, box: Bounds) -> None:
    """Draw all tiles small, with their names and the drawing under them."""
    windows = [shapely.box(*tile.window_mm) for tile in sheets.tiling.tiles]
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(windows))
    scale = min((box[2] - box[0]) / (x1 - x0), (box[3] - box[1]) / (y1 - y0))
    shift_x = box[0] + (box[2] - box[0] - scale * (x1 - x0)) / 2.0

    def small(shape: BaseGeometry) -> BaseGeometry:
        return shapely.transform(
            shape, lambda points: (points - (x0, y0)) * scale + (shift_x, box[1])
        )

    for stroke in strokes:
        lines = small(shapely.simplify(stroke.lines, 0.2 / scale))
        for part in shapely.get_parts(lines):
            points = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(part))
            if len(points) > 1:
                canvas.line(points, stroke=stroke.style.colour, stroke_mm=0.12)
    names = {tile.name for tile in sheets.shown}
    for tile, window in zip(sheets.tiling.tiles, windows, strict=True):
        bounds = small(window).bounds
        canvas.rectangle(bounds, stroke=_SOFT, stroke_mm=0.15, dash_mm=(1.0, 0.7))
        middle = (bounds[0] + bounds[2]) / 2.0, (bounds[1] + bounds[3]) / 2.0
        if tile.name in names:
            high = min(5.0, 0.4 * (bounds[3] - bounds[1]))
            canvas.text(
                tile.name, middle, height_mm=high, anchor="middle", bold=True, halo="#ffffff"
            )
        else:
            canvas.line(((bounds[0], bounds[1]), (bounds[2], bounds[3])), stroke_mm=0.1)
            canvas.line(((bounds[0], bounds[3]), (bounds[2], bounds[1])), stroke_mm=0.1)


def _paragraph(
    canvas: Canvas, text: str, left: float, y: float, room: float, *, high: float = _TEXT_MM
) -> float:
    for line in _wrapped(text, room, high):
        canvas.text(line, (left, y), height_mm=high)
        y += 1.45 * high
    return y


def _wrapped(text: str, room: float, high: float, *, bold: bool = False) -> list[str]:
    share = _WIDE * (1.12 if bold else 0.93)
    return textwrap.wrap(text, max(10, int(room / (share * high))))
