"""What is said of a changed order is to the letter what is said of the same order opened afresh."""

from __future__ import annotations

from pathlib import Path

from prep.digest import digest_of
from prep.line import Line, open_line
from prep.remembered import forget
from prep.request import Request

# two colours that meet, one of them with letters too fine, an island, and bare shirt between
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
    '<path fill="#f2b632" d="M2 2H30V38H2Z M8 8V20H20V8Z M11 11H12V12H11Z" fill-rule="evenodd"/>'
    '<path fill="#d9472f" d="M30 2H50V38H30Z"/><path fill="#d9472f" d="M54 2H54.3V38H54Z"/></svg>'
)
ORDER = """
name = "changed"

[[print]]
place = "front"
artwork = "design.svg"
width = "60 mm"

[[print.colour]]
hex = "#f2b632"
mesh = "43-80"

[[garment]]
name = "tee"
colour = "#1d2b4f"
fibre = "100 % cotton"
sizes = { M = 20 }
prints = ["front"]

[ink]
reserve = "15 %"
"""
CHANGES = (
    ("M = 20", "M = 30"),
    ('reserve = "15 %"', 'reserve = "25 %"'),
    ('mesh = "43-80"', 'mesh = "62-64"'),
    ('colour = "#1d2b4f"', 'colour = "#f3ead7"'),
    ('width = "60 mm"', 'width = "66 mm"'),
    ("M = 30", "M = 20"),  # what was said of as many shirts holds for another print
)


def _said(line: Line) -> list[str]:
    (report,) = line.reports()
    named = [
        *((f"finding {one.kind}", digest_of(one)) for one in report.findings),
        *((f"section {one.by} {one.title}", digest_of(one)) for one in report.sections),
        *((f"mark {one.name}", digest_of(one)) for one in report.marks),
    ]
    return [f"{name}: {digest}" for name, digest in named]


def test_changes_say_what_a_fresh_start_says(tmp_path: Path) -> None:
    """One setting after the other, each against a line that remembers nothing."""
    (tmp_path / "design.svg").write_text(DRAWING)
    file, text = tmp_path / "order.toml", ORDER
    file.write_text(text)
    said = []
    with open_line(Request(file, no_proof=True)) as line:
        said.append(_said(line))
        for old, new in CHANGES:
            text = text.replace(old, new)
            file.write_text(text)
            line = line.changed(Request(file, no_proof=True))
            said.append(_said(line))
            forget()
            with open_line(Request(file, no_proof=True)) as fresh:
                assert said[-1] == _said(fresh)
    assert len({tuple(one) for one in said}) == len(said)  # each change changes something
