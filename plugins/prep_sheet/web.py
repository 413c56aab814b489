"""The sheet as one web page that needs nothing else: no script, no outside file."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Iterator
from html import escape
from importlib import resources

from prep_sheet.layout import (
    Beside,
    Cell,
    CheckBar,
    Danger,
    Grid,
    Heading,
    Image,
    Lines,
    Notice,
    Page,
    Piece,
    Points,
    Prose,
    Row,
    Sheet,
    Steps,
    Together,
    Trouble,
    Troubles,
    Turn,
    Values,
    Work,
)

# Pictures come in as images, where a browser runs no script and loads nothing, whatever is in them.
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def page(sheet: Sheet) -> bytes:
    """Write the sheet as HTML, UTF-8."""
    style = resources.files("prep_sheet").joinpath("sheet.css").read_text("utf-8")
    bar = _bar(sheet.bar)
    pages = "".join(_page(part, bar) for part in sheet.pages)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(sheet.title)}</title>\n"
        f"<style>\n@page {{ size: {sheet.paper.css}; margin: 15mm; }}\n{style}</style>\n</head>\n"
        f"<body>\n<main>\n{pages}</main>\n</body>\n</html>\n"
    ).encode()


def _page(part: Page, bar: str) -> str:
    flags = f"<strong>{escape('; '.join(part.flags))}</strong>" if part.flags else ""
    body = "".join(_piece(piece) for piece in part.pieces)
    return (
        f'<section class="page">\n<p class="running"><span>{escape(part.running)}</span>{flags}</p>\n'
        f"<h1>{_swatch(part.swatch)}{escape(part.title)}</h1>\n"
        f'<p class="subtitle">{escape(part.subtitle)}</p>\n{body}{bar}</section>\n'
    )


def _piece(piece: Piece) -> str:
    match piece:
        case Heading(text):
            return f"<h2>{escape(text)}</h2>\n"
        case Prose(text):
            return f"<p>{escape(text)}</p>\n"
        case Points(items):
            return f"<ul>{_items(items)}</ul>\n"
        case Steps(items, first):
            numbered = "".join(
                f"<li><b>{number}</b> {escape(item)}</li>"
                for number, item in enumerate(items, start=first)
            )
            return f'<ul class="steps">{numbered}</ul>\n'
        case Danger(text):
            return f'<p class="danger"><strong>Caution.</strong> {escape(text)}</p>\n'
        case Work(columns):
            inside = "".join(
                f"<div>{''.join(_piece(part) for part in column)}</div>" for column in columns
            )
            return f'<div class="work">{inside}</div>\n'
        case Notice(title, items):
            lines = "".join(f"<p>{escape(item)}</p>" for item in items)
            return f'<div class="notice"><p class="title">{escape(title)}</p>{lines}</div>\n'
        case Grid():
            return _grid(piece)
        case Values(rows, _):
            lines = "".join(_value(*row) for row in rows)
            return f'<table class="values"><tbody>{lines}</tbody></table>\n'
        case Troubles(items, _, True):
            return f'<div class="pictured">{"".join(map(_pictured, items))}</div>\n'
        case Troubles(items, head):
            return _troubles(items, head)
        case Turn(small):
            return '<hr class="turn small">\n' if small else '<hr class="turn">\n'
        case Image():
            return _image(piece)
        case Row(images):
            return f'<div class="beside">{"".join(map(_image, images))}</div>\n'
        case Lines(names, said):
            lines = "".join(f"<p><span></span>{escape(name)}</p>" for name in names)
            return f'<p>{escape(said)}</p>\n<div class="lines">{lines}</div>\n'
        case Together(blocks):
            return f'<div class="together">{"".join(map(_piece, blocks))}</div>\n'
        case Beside(image, blocks):
            right = "".join(_piece(block) for block in blocks)
            return f'<div class="beside">{_image(image)}<div>{right}</div></div>\n'


def _items(items: Iterable[str]) -> str:
    return "".join(f"<li>{escape(item)}</li>" for item in items)


def _swatch(colour: str) -> str:
    if not colour:
        return ""
    return f'<span class="swatch" style="background:{escape(colour)}"></span>'


def _value(name: str, value: str, rests: str) -> str:
    small = f"<br><small>{escape(rests)}</small>" if rests else ""
    return f'<tr><th scope="row">{escape(name)}</th><td><b>{escape(value)}</b>{small}</td></tr>'


def _grid(grid: Grid) -> str:
    head = "".join(_cells("th", grid, (Cell(text) for text in grid.head)))
    rows = "".join(f"<tr>{''.join(_cells('td', grid, row))}</tr>" for row in grid.rows)
    caption = f"<small>{escape(grid.caption)}</small>" if grid.caption else ""
    kind = ' class="roomy"' if grid.roomy else ""
    said = escape(", ".join(text for text in grid.head if text))
    return (
        f'<div class="scrolls" tabindex="0" role="region" aria-label="Table: {said}"><table{kind}><thead>'
        f"<tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>{caption}\n"
    )


def _cells(tag: str, grid: Grid, cells: Iterable[Cell]) -> Iterator[str]:
    for cell, side in zip(cells, grid.align, strict=True):
        right = ' class="right"' if side == "r" else ""
        yield f"<{tag}{right}>{_swatch(cell.swatch)}{escape(cell.text)}</{tag}>"


def _troubles(items: Iterable[Trouble], said: str) -> str:
    rows = "".join(
        f'<tr><th scope="row">{escape(t.letter)}</th>'
        f'<td><span class="{t.severity.replace(" ", "-")}">{t.severity}</span>'
        f"<br><small>{escape(t.where)}</small></td><td>{escape(t.what)}"
        + (f' <span class="why">{escape(t.why)}</span>' if t.why else "")
        + ("." if t.do and not t.what.endswith(".") else "")
        + (f" <strong>Do:</strong> {escape(t.do)}" if t.do else "")
        + "</td></tr>"
        for t in items
    )
    head = f"<th></th><th>How bad</th><th>{escape(said)}</th>"
    return f'<table class="troubles"><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>\n'


def _pictured(t: Trouble) -> str:
    """Give a finding beside a picture of its place."""
    return (
        f"<div>{_image(t.image) if t.image else ''}<p><b>{escape(t.letter)}</b>"
        f' <span class="{t.severity.replace(" ", "-")}">{t.severity}</span><br>{escape(t.what)}'
        + ("." if t.do and not t.what.endswith(".") else "")
        + (f" <strong>Do:</strong> {escape(t.do)}" if t.do else "")
        + "</p></div>"
    )


def _image(image: Image) -> str:
    data = base64.b64encode(image.svg.encode()).decode()
    caption = f"<figcaption>{escape(image.caption)}</figcaption>" if image.caption else ""
    return (
        f'<figure style="width:{image.column_mm:g}mm"><img style="width:{image.width_mm:g}mm"'
        f' src="data:image/svg+xml;base64,{data}" alt="{escape(image.alt)}">{caption}</figure>\n'
    )


def _bar(bar: CheckBar) -> str:
    steps = round(bar.length_mm / bar.step_mm)
    ticks = "".join(
        f"M{i * bar.step_mm:g},3V{0.4 if i in (0, steps) else 1.6:g}" for i in range(steps + 1)
    )
    wide = bar.length_mm + 1.0
    svg = (
        f'<svg class="bar" role="img" aria-label="{escape(bar.text)}" width="{wide:g}mm" height="4mm"'
        f' viewBox="-0.5 0 {wide:g} 4"><path d="M0,3H{bar.length_mm:g}{ticks}" fill="none"'
        ' stroke="#000" stroke-width="0.2"/></svg>'
    )
    return (
        f'<p class="check">{svg} {escape(bar.text)} Print at 100 %, not fitted to the page.</p>\n'
    )
