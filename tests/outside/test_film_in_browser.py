"""A cut file opened in a browser, which knows nothing of ours: its lengths in CSS millimetres."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from shapely import box

from prep.job import Report
from prep.testing import make_ask, make_job
from prep_stencils import prep_documents

CHROMIUM = shutil.which("chromium")

# 96 CSS pixels are one inch (CSS Values and Units Level 3, section 6.2)
SCRIPT = """<script>
addEventListener("load", () => {
  const read = [document.querySelector("svg"), document.querySelector("#openings path")]
    .map(one => one.getBoundingClientRect())
    .map(box => [box.width, box.height].map(px => (px * 25.4 / 96).toFixed(4)).join(" "));
  document.body.textContent = "read " + read.join(" ");
});
</script>"""


@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this computer")
def test_an_edge_of_100_mm_measures_100_mm(tmp_path: Path) -> None:
    """The sheet is 200 × 140 mm, the opening 100 × 40: within 0.01 mm, a fraction of a pixel."""
    job = make_job({"#1f3a5f": box(0, 0, 100, 40)})
    svg = next(iter(prep_documents(Report(job, (), (), ()), make_ask({})))).data.decode()
    svg = svg.partition("?>")[2]
    page = tmp_path / "film.html"
    page.write_text(f"<!DOCTYPE html><body style='margin:0'>{svg}{SCRIPT}", encoding="utf-8")
    command = [
        str(CHROMIUM),
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--window-size=1200,900",
    ]
    done = subprocess.run(
        [*command, f"--user-data-dir={tmp_path}/profile", "--dump-dom", page.as_uri()],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    found = re.search(r"read ([\d. ]+)", done.stdout)
    assert found is not None, done.stderr
    read = [float(number) for number in found[1].split()]
    assert read == pytest.approx([200.0, 140.0, 100.0, 40.0], abs=0.01)
