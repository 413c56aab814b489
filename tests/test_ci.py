"""The script that checks everything: what of it can be held without running all of it."""

from __future__ import annotations

import subprocess
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_lint_waits_until_all_is_installed(tmp_path: Path) -> None:
    """Though a .venv is there from before; then it runs, and the tests after the install."""
    script = (ROOT / ".ci" / "run").read_text()
    begun = script.index("tests=$(sed")
    ended = script.index('step "what ran beside it')
    bin_ = tmp_path / ".venv" / "bin"
    bin_.mkdir(parents=True)
    for name in ("prep", "ruff", "mypy"):
        (bin_ / name).write_text(f'#!/bin/sh\necho {name} "$1" >>said.txt\n')
    (bin_ / "python").write_text("#!/bin/sh\necho tests >>said.txt\n")
    (bin_ / "pip").write_text("#!/bin/sh\nsleep 0.4\necho installed >>said.txt\n")
    for file in bin_.iterdir():
        file.chmod(0o755)
    readme = (ROOT / "README.md").read_text()
    assert "python3 -m venv .venv && " in readme
    (tmp_path / "README.md").write_text(readme.replace("python3 -m venv .venv && ", ""))
    text = f'scratch=$PWD\n{script[begun:ended]}\nwait "$lint"\n'
    subprocess.run(
        ["bash", "-euo", "pipefail", "-c", text],
        cwd=tmp_path,
        check=True,
        timeout=60,
        stdout=subprocess.DEVNULL,
    )
    said = (tmp_path / "said.txt").read_text().split("\n")[:-1]
    assert said[0] == "installed"
    assert sorted(said[1:]) == ["mypy ", "ruff check", "ruff format", "tests"]
