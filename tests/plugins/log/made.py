"""A run made by hand: two screens on one set-up, with figures."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from prep_log.entries import LASTS, Run, ScreenOfRun, SetUpOfRun
from prep_log.store import Figure

DAY = date(2026, 11, 2)
ORDER = """
name = "Tide tables"
[ink]
reserve = "15 %"
[shop.ink]
transfer = { value = 0.4, low = 0.3, high = 0.5 }
[[shop.mesh]]
name = "43-80"
[[print]]
place = "front"
artwork = "ARTWORK"
[[garment]]
colour = "#ffffff"
sizes = { M = 20 }
"""


def screen(key: str = "#1f3a5f", **changed: Any) -> ScreenOfRun:
    made = ScreenOfRun(key, "deep blue", "43-80", 1, 24, "01-deep-blue", "cut 1")
    return replace(made, **changed)


def made_run(
    artwork: Path | str = "/drawings/tide.svg", sha256: str = "0" * 64, **changed: Any
) -> Run:
    base = screen("base", ink="white", stencil="02-white", cut="cut 2", passes=2, pulls=48)
    setup = SetUpOfRun(
        "front", "front, 280 mm, on dark", "front", str(artwork), sha256, 20, (screen(), base)
    )
    figures = (
        Figure("ink per print", "g", 1.5, 1.0, 2.25, "front", "#1f3a5f", "deep blue"),
        Figure("ink to mix", "g", 60.0, ink="deep blue"),
        Figure(LASTS, "pulls", 80.0, setup="front"),
    )
    run = Run(
        name="Tide tables",
        day=DAY,
        order=ORDER.replace("ARTWORK", str(artwork)),
        learnt=(
            ("shop", "ink", "transfer", "value"),
            ("shop", "ink", "transfer", "low"),
            ("shop", "ink", "transfer", "high"),
        ),
        program="0.1.0",
        setups=(setup,),
        figures=figures,
    )
    return replace(run, **changed)
