"""The line from a request to reports and a folder, with several set-ups and failing plugins."""

from __future__ import annotations

import json
import types
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError, PluginFailed, Unanswered
from prep.findings import Finding
from prep.hookspecs import hookimpl
from prep.line import Line, open_line
from prep.plugins import Plugin, Plugins
from prep.request import Request
from prep.sections import Document, Paragraph, Section

FISH = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">'
    '<rect width="60" height="50" fill="#1d2b4f"/>'
    '<rect x="40" width="60" height="50" fill="#c0392b"/></svg>'
)
ORDER = """
name = "two places"
[[print]]
place = "front"
artwork = "fish.svg"
width = "200 mm"
width_by_size = { "youth S" = "150 mm" }
[[print]]
place = "sleeve"
artwork = "fish.svg"
width = "60 mm"
[[print.colour]]
hex = "#c0392b"
ink = "signal red"
mesh = "62-64"
passes = 2
[[garment]]
name = "tee"
colour = "#f4f1e8"
sizes = { M = 10, "youth S" = 4 }
[[garment]]
name = "night tee"
colour = "#101820"
sizes = { M = 6 }
prints = ["front"]
"""


def plugin(name: str, **hooks: object) -> Plugin:
    """Make a plugin from functions."""
    module = types.ModuleType(name)
    for hook, function in hooks.items():
        setattr(module, hook, hookimpl(function))
    return Plugin(name, module, f"{name} 1.0")


def sections(job: Any) -> list[Section]:
    """Say how many shirts there are."""
    return [Section("job", "Shirts", (Paragraph(f"{job.setup.shirts} shirts"),), 10)]


def documents(report: Any) -> list[Document]:
    """Give one file for each set-up."""
    return [Document("shirts.txt", str(report.job.setup.shirts).encode())]


def whole(reports: Any) -> list[Document]:
    """Give one file over all set-ups."""
    return [Document("all.txt", str(sum(r.job.setup.shirts for r in reports)).encode())]


def told(sections: Any) -> list[Document]:
    """Give a file with what stands on the page over all set-ups."""
    return [Document("told.txt", "; ".join(s.blocks[0].text for s in sections).encode())]


TELLER = plugin(
    "teller", prep_sections=sections, prep_documents=documents, prep_order_documents=whole
)


@pytest.fixture
def order(tmp_path: Path) -> Path:
    """An order of one drawing at two places, on light and dark, in youth and adult sizes."""
    (tmp_path / "fish.svg").write_text(FISH)
    (tmp_path / "order.toml").write_text(ORDER)
    return tmp_path / "order.toml"


def test_parts_of_the_page_over_all_set_ups(order: Path, tmp_path: Path) -> None:
    """They are asked for once, with all jobs; one that lacks an answer says so on the page."""

    def over_all(jobs: Any, ask: Any) -> list[Section]:
        shirts = sum(job.setup.shirts for job in jobs)
        return [Section("job", "All", (Paragraph(f"{shirts} prints"),), 10)]

    def lacking(jobs: Any, ask: Any) -> list[Section]:
        return [ask(jobs[-1])(int)]

    line_of = partial(open_line, Request(order))
    plugins = Plugins(
        [
            plugin("a", prep_order_sections=over_all),
            plugin("b", prep_order_sections=lacking),
            plugin("c", prep_order_documents=told),
        ]
    )
    with line_of(plugins=plugins) as line:
        files = line.documents(line.reports(), tmp_path)
    said = files["told.txt"].decode()
    assert said.startswith("34 prints; b gave no order_sections: ")

    def elsewhere(jobs: Any) -> list[Section]:
        return [Section("closing", "Odd", (Paragraph("lost"),), 10)]

    with (
        line_of(plugins=Plugins([plugin("d", prep_order_sections=elsewhere)])) as line,
        pytest.raises(PluginFailed, match='"Odd" isn\'t of the chapter job or why'),
    ):
        line.documents(line.reports(), tmp_path)


def test_an_order_becomes_set_ups(order: Path) -> None:
    """Width and shade part the set-ups; garments keep their sizes."""
    with open_line(Request(order), plugins=Plugins()) as line:
        setups = line.setups
    assert [(s.place, s.size.width_mm, s.shade, s.shirts) for s in setups] == [
        ("front", 200, "light", 10),
        ("front", 200, "dark", 6),
        ("front", 150, "light", 4),
        ("sleeve", 60, "light", 14),
    ]
    assert len({s.key for s in setups}) == 4


def test_each_set_up_has_its_own_size_and_settings(order: Path) -> None:
    """The red is 60 x 50 of 100 units wherever it is printed; its mesh is named on the sleeve only."""
    with open_line(Request(order), plugins=Plugins()) as line:
        jobs = [line.job(setup) for setup in line.setups]
    for job in jobs:
        navy, red = job.screens
        width = job.artwork.width_mm
        assert navy.measures.area_mm2 == pytest.approx(0.4 * 0.5 * width**2)
        assert red.measures.area_mm2 == pytest.approx(0.6 * 0.5 * width**2)
    assert [job.screens[1].ink for job in jobs] == ["#c0392b"] * 3 + ["signal red"]
    assert (jobs[3].screens[1].mesh, jobs[3].screens[1].passes) == ("62-64", 2)


def test_the_folder_holds_one_part_for_each_set_up(order: Path, tmp_path: Path) -> None:
    """Several set-ups: a folder each, and what belongs to all of them at the top."""
    with open_line(Request(order), plugins=Plugins([TELLER])) as line:
        line.write(tmp_path / "job")
        keys = [s.key for s in line.setups]
    assert (tmp_path / "job" / "all.txt").read_text() == "34"
    counts = [(tmp_path / "job" / key / "shirts.txt").read_text() for key in keys]
    assert counts == ["10", "6", "4", "14"]
    for folder in (tmp_path / "job", *(tmp_path / "job" / key for key in keys)):
        assert (folder / "order.toml").is_file()
        json.loads((folder / "job.json").read_text())


def test_a_single_set_up_lies_at_the_top(tmp_path: Path) -> None:
    """One set-up needs no folder of its own."""
    (tmp_path / "fish.svg").write_text(FISH)
    with open_line(Request(tmp_path / "fish.svg"), plugins=Plugins([TELLER])) as line:
        line.write(tmp_path / "job")
    names = sorted(p.name for p in (tmp_path / "job").iterdir())
    assert names == ["job.json", "order.toml", "shirts.txt"]


def test_what_a_plugin_lacks_is_said(order: Path) -> None:
    """A plugin that needs an answer nobody gives is noted, and the others go on."""

    def lacking(ask: Any) -> list[Finding]:
        raise Unanswered("no plugin answers Weight")

    plugins = Plugins([plugin("scale", prep_findings=lacking), TELLER])
    with open_line(Request(order), plugins=plugins) as line:
        report = line.report(line.job(line.setups[0]))
    assert report.lacking == ("scale gave no findings: no plugin answers Weight.",)
    assert [s.by for s in report.sections] == ["teller"]


def test_a_failing_answer_ends_the_run_under_its_own_name(order: Path) -> None:
    """Even when the asker could do without, a fault isn't covered up."""

    class Weight:
        """A question."""

    def asks(ask: Any) -> list[Finding]:
        try:
            ask(Weight)
        except Unanswered:
            return []
        raise AssertionError

    plugins = Plugins(
        [
            plugin("scale", prep_answers=lambda: {Weight: lambda job, ask: 1 / 0}),
            plugin("user", prep_findings=asks),
        ]
    )
    with (
        open_line(Request(order), plugins=plugins) as line,
        pytest.raises(PluginFailed, match="plugin scale: .*ZeroDivisionError.*--without scale"),
    ):
        line.report(line.job(line.setups[0]))


def test_a_plugin_that_cannot_be_imported_stops_a_job(order: Path) -> None:
    """Never silently without it; on request, with a note."""
    broken = Plugins(failures=[PluginFailed("scale", "can't be imported: no such module")])
    with pytest.raises(PluginFailed, match="--without scale"):
        open_line(Request(order), plugins=broken)
    left_out = Plugins(failures=broken.failures, without=["scale"])
    with open_line(Request(order, without=("scale",)), plugins=left_out) as line:
        assert line.job(line.setups[0]).without == ("scale",)


def test_a_colour_that_is_not_in_the_artwork(order: Path) -> None:
    """The order's slip is said with the colours there are."""
    order.write_text(ORDER.replace('hex = "#c0392b"', 'hex = "#c0392c"'))
    with (
        open_line(Request(order), plugins=Plugins()) as line,
        pytest.raises(InputError, match=r"#c0392c.*#1d2b4f, #c0392b"),
    ):
        line.job(line.setups[-1])


def test_two_plugins_cannot_give_one_file(order: Path, tmp_path: Path) -> None:
    """Names decide nothing: a file given twice, or one of the core's, is an error that says whose."""
    twin = plugin("twin", prep_documents=lambda: [Document("Shirts.txt", b"7")])
    with (
        open_line(Request(order), plugins=Plugins([TELLER, twin])) as line,
        pytest.raises(
            PluginFailed, match="plugin twin: gives the file Shirts.txt, and so does teller"
        ),
    ):
        line.write(tmp_path / "job")
    grabs = plugin("grabs", prep_documents=lambda: [Document("order.toml", b"")])
    with (
        open_line(Request(order), plugins=Plugins([grabs])) as line,
        pytest.raises(PluginFailed, match="plugin grabs: gives order.toml"),
    ):
        line.write(tmp_path / "job")
    assert not (tmp_path / "job").exists()


def test_a_fault_of_one_set_up_is_not_kept_for_the_next(order: Path) -> None:
    """An answer that fails on dark shirts only leaves the light ones their report."""

    @dataclass(frozen=True)
    class Weight:
        """A question."""

    def weigh(job: Any, ask: Any) -> Weight:
        if job.setup.shade == "dark":
            raise ZeroDivisionError
        return Weight()

    def finds(ask: Any) -> list[Finding]:
        ask(Weight)
        return []

    plugins = Plugins([plugin("scale", prep_answers=lambda: {Weight: weigh}, prep_findings=finds)])
    with open_line(Request(order), plugins=plugins) as line:
        light, dark = (line.job(s) for s in (line.setups[0], line.setups[1]))
        for _ in range(2):
            with pytest.raises(PluginFailed, match="ZeroDivisionError"):
                line.report(dark)
        assert line.report(light).lacking == ()


def test_a_changed_order_is_reckoned_from_what_is_remembered(tmp_path: Path) -> None:
    """What a change doesn't touch isn't read or measured again; all comes out as on a fresh line."""
    (tmp_path / "fish.svg").write_text(FISH)
    file = tmp_path / "order.toml"
    asked: list[str] = []

    def counted(job: Any) -> list[Section]:
        asked.append(job.setup.place)
        return sections(job)

    plugins = Plugins([plugin("a", prep_sections=counted)])

    def said(line: Line) -> list[tuple[str, str, float]]:
        reports = [line.report(line.job(setup)) for setup in line.setups]
        return [
            (r.sections[0].blocks[0].text, s.ink, s.measures.area_mm2)  # type: ignore[union-attr]
            for r in reports
            for s in r.job.screens
        ]

    file.write_text(ORDER)
    told: list[str] = []
    line = open_line(Request(file), plugins=plugins, tell=lambda what, *_: told.append(what))
    said(line)
    told.clear()
    asked.clear()
    for old, new, reads, again in (
        ('ink = "signal red"', 'ink = "plain red"', 0, ["sleeve"]),
        (
            "M = 10",
            "M = 11",
            0,
            ["front", "sleeve"],
        ),  # the children's and the dark front count none of them
        ('width = "60 mm"', 'width = "61 mm"', 1, ["sleeve"]),
    ):
        file.write_text(ORDER.replace(old, new))
        line = line.changed(Request(file))
        got = said(line)
        with open_line(
            Request(file), plugins=Plugins([plugin("a", prep_sections=sections)])
        ) as new_line:
            assert got == said(new_line)
        assert sum(what.startswith("reading") for what in told) == reads
        assert asked == again
        told.clear()
        asked.clear()
    file.write_text("name = 3")
    with pytest.raises(InputError):
        line.changed(Request(file))
    with pytest.raises(ValueError, match="keeps its plugins"):
        line.changed(Request(file, without=("a",)))
    with line:
        assert said(line)


def test_a_drawing_that_was_not_compared_is_compared_when_asked_for(tmp_path: Path) -> None:
    """Read without proof and then with it: compared then, once; the note of it goes."""
    (tmp_path / "fish.svg").write_text(FISH)
    told: list[str] = []
    request = Request(tmp_path / "fish.svg", no_proof=True)
    line = open_line(request, plugins=Plugins(), tell=lambda what, *_: told.append(what))
    assert any("Not proofed" in note for note in line.draft(line.setups[0]).notes)
    assert not any(what.startswith("comparing") for what in told)
    for _ in range(2):
        line = line.changed(Request(tmp_path / "fish.svg"))
        assert not any("Not proofed" in note for note in line.draft(line.setups[0]).notes)
    with line:
        assert [what for what in told if what.startswith("comparing")] == [
            "comparing with fish.svg"
        ]
        assert sum(what.startswith("reading") for what in told) == 1


def test_changed_orders_do_not_remember_without_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The latest readings and measures are taken over, and no more."""
    monkeypatch.setattr("prep.line._READ_KEPT", 2)
    monkeypatch.setattr("prep.line._MEASURED_KEPT", 3)
    (tmp_path / "fish.svg").write_text(FISH)
    told: list[str] = []
    line = open_line(
        Request(tmp_path / "fish.svg", width="100 mm", no_proof=True),
        plugins=Plugins(),
        tell=lambda what, *_: told.append(what),
    )
    for width in ("100 mm", "101 mm", "102 mm", "103 mm", "103 mm", "102 mm", "100 mm"):
        line = line.changed(Request(tmp_path / "fish.svg", width=width, no_proof=True))
        line.draft(line.setups[0])
    with line:
        assert sum(what.startswith("reading") for what in told) == 5  # the last one anew
