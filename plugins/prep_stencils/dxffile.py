"""The cut file as DXF in its oldest, plainest form (R12), and a plain reader of what we write.

Imports nothing of prep. POLYLINEs of straight lines only, closed where they are outlines: readers disagree
on arcs and splines, and agree on these. A HEADER section says AC1009, millimetres and metric; some readers
refuse a file without one, and some ignore the units, so the sheet's edge has a known size and the file's
name says it. y runs upwards. R12 names of layers hold letters, digits, ``$``, ``-`` and ``_`` only, up to
31 (the format's own reference, from memory), so there are no spaces in them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

import numpy as np

from prep_stencils.outlines import DECIMALS, Layer
from prep_stencils.sheet import Points

_COLOURS = {"weeding": 8, "openings": 7, "marks": 1, "sheet-edge": 5}
_NO_COLOUR = 7
_LONGEST_COMMENT = 250


def layer_name(name: str) -> str:
    """Give a layer's name in the DXF: ``sheet-edge`` becomes ``SHEET_EDGE``."""
    return re.sub(r"[^A-Z0-9]", "_", name.upper())[:31]


def write_dxf(
    layers: Iterable[Layer], *, across_mm: float, along_mm: float, title: str, about: str
) -> bytes:
    """Give the cut file; ``title`` and ``about`` stand in it as comments."""
    layers, along_mm = tuple(layers), round(along_mm, DECIMALS)
    parts = [
        *(f"999\n{comment}\n" for text in (title, about) for comment in _comments(text)),
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n9\n$INSUNITS\n70\n4\n9\n$MEASUREMENT\n70\n1\n"
        "9\n$EXTMIN\n10\n0.00000\n20\n0.00000\n30\n0.00000\n"
        f"9\n$EXTMAX\n10\n{across_mm:.5f}\n20\n{along_mm:.5f}\n30\n0.00000\n"
        f"9\n$LIMMIN\n10\n0.00000\n20\n0.00000\n9\n$LIMMAX\n10\n{across_mm:.5f}\n20\n{along_mm:.5f}\n"
        "0\nENDSEC\n0\nSECTION\n2\nTABLES\n"
        "0\nTABLE\n2\nLTYPE\n70\n1\n0\nLTYPE\n2\nCONTINUOUS\n70\n0\n3\nsolid line\n72\n65\n73\n0\n40\n0.0\n"
        f"0\nENDTAB\n0\nTABLE\n2\nLAYER\n70\n{len(layers)}\n",
        *(
            f"0\nLAYER\n2\n{layer_name(layer.name)}\n70\n0\n"
            f"62\n{_COLOURS.get(layer.name, _NO_COLOUR)}\n6\nCONTINUOUS\n"
            for layer in layers
        ),
        "0\nENDTAB\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n",
    ]
    for layer in layers:
        name = layer_name(layer.name)
        for stroke in layer.strokes:
            upwards = np.column_stack((stroke[:, 0], along_mm - stroke[:, 1])) + 0.0
            parts.append(
                f"0\nPOLYLINE\n8\n{name}\n66\n1\n70\n{int(layer.closed)}\n10\n0.0\n20\n0.0\n30\n0.0\n"
                + f"0\nVERTEX\n8\n{name}\n10\n%.5f\n20\n%.5f\n"
                * len(stroke)
                % tuple(upwards.ravel().tolist())
                + f"0\nSEQEND\n8\n{name}\n"
            )
    parts.append("0\nENDSEC\n0\nEOF\n")
    return "".join(parts).encode("ascii")


def _comments(text: str) -> Iterator[str]:
    """Give a text as short lines of ASCII; other letters are written ``\\U+XXXX`` as R12 readers expect."""
    plain = "".join(
        c if " " <= c <= "~" else " " if c < " " or c == "\x7f" else f"\\U+{ord(c):04X}"
        for c in text
    )
    for start in range(0, len(plain), _LONGEST_COMMENT):
        yield plain[start : start + _LONGEST_COMMENT]


def read_dxf(data: bytes) -> tuple[tuple[float, float], tuple[Layer, ...]]:
    """Read a cut file of ours back, y downwards again.

    :return: (width, height) in mm, and the layers under their names in the DXF
    :raises ValueError: it isn't what :func:`write_dxf` writes
    """
    lines = data.decode("ascii").split("\n")
    codes, values = lines[0:-1:2], lines[1::2]
    size = (0.0, 0.0)
    layers: dict[str, list[Points]] = {}
    closed: dict[str, str] = {}
    outline: list[float] | None = None
    table = variable = kind = owner = ""
    units = metric = ""
    for code, value in zip(codes, values, strict=True):
        if code == "0":
            if value == "SEQEND":
                if outline is None:
                    raise ValueError("an outline ends that never began")
                layers[owner].append(np.array(outline).reshape(-1, 2))
                outline = None
            elif value == "POLYLINE":
                outline = []
            kind, variable = value, ""
        elif kind == "VERTEX" and outline is not None:
            if code == "10":
                outline.append(float(value))
            elif code == "20":
                outline.append(size[1] - float(value))
        elif code == "8":
            owner = value
            if value not in layers:
                raise ValueError(f"layer {value} isn't declared")
        elif kind == "POLYLINE" and code == "70":
            if closed.setdefault(owner, value) != value:
                raise ValueError("some outlines of a layer are closed and some aren't")
        elif code == "9":
            variable = value
        elif variable == "$EXTMAX" and code in {"10", "20"}:
            size = (float(value), size[1]) if code == "10" else (size[0], float(value))
        elif variable == "$INSUNITS":
            units = value
        elif variable == "$MEASUREMENT":
            metric = value
        elif code == "2":
            table = value if kind == "TABLE" else table
            if kind == "LAYER" and table == "LAYER":
                layers[value] = []
    if outline is not None or (units, metric) != ("4", "1"):
        raise ValueError("an outline never ends, or the units aren't millimetres")
    return size, tuple(
        Layer(name, tuple(strokes), closed.get(name, "1") == "1")
        for name, strokes in layers.items()
    )
