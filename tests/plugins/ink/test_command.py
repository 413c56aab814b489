"""``prep ink`` from a file to standard output."""

from __future__ import annotations

import json

import pytest

from prep.cli import run

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
<rect width="100" height="50" fill="#1f3a5f"/>
<rect y="55" width="100" height="1" fill="#f2c14e"/>
</svg>"""

ORDER = """
name = "two places"
[ink]
reserve = "20 %"
[[print]]
place = "front"
artwork = "front.svg"
width = "100 mm"
[[print.colour]]
hex = "#1f3a5f"
ink = "deep blue"
[[print]]
place = "sleeve"
artwork = "front.svg"
width = "50 mm"
[[print.colour]]
hex = "#1f3a5f"
ink = "deep blue"
[[garment]]
colour = "#f4f1ea"
sizes = { M = 10, L = 10 }
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "front.svg").write_text(DRAWING)
    (tmp_path / "order.toml").write_text(ORDER)
    return tmp_path


def test_json_of_one_artwork(folder, capsys):
    """A 100 x 50 mm rectangle: the area is in the basis, the grams are positive and in order."""
    assert run(["ink", str(folder / "front.svg"), "--shirts", "48", "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert (made["schema"], made["shirts"]) == ("firstpull.ink/1", 48)
    gold, blue = made["colours"]  # light before dark
    assert (gold["hex"], blue["hex"]) == ("#f2c14e", "#1f3a5f")
    assert blue["basis"][0] == "50.0 cm² printed, 30 cm of edge"
    for colour in made["colours"]:
        assert 0 < colour["per_print_low_g"] < colour["per_print_g"] < colour["per_print_high_g"]
        assert colour["for_run_g"] < colour["to_mix_g"]
    # fifty times the area, but the strip is all edge: it takes more than a fiftieth
    assert blue["per_print_g"] / 50 < gold["per_print_g"] < blue["per_print_g"] / 20


def test_words_of_an_order_with_two_set_ups(folder, capsys):
    """Each set-up has its table; an ink of both is mixed once; garments are counted once."""
    assert run(["ink", str(folder / "order.toml")]) == 0
    text = capsys.readouterr().out
    assert text.count("26 prints" if "26 prints" in text else "25 prints") == 2
    assert "To mix before the run, over all set-ups:" in text
    after = text.split("over all set-ups:")[1]
    after = after.split("Of what stays")[0]
    mixed = [line.split()[0] for line in after.splitlines() if " g " in line]
    assert sorted(mixed) == ["#f2c14e", "deep"]
    assert run(["ink", str(folder / "order.toml"), "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert made["shirts"] == 20
    assert len(made["colours"]) == 4
    assert [ink["ink"] for ink in made["inks"]] == ["#f2c14e", "deep blue"]


def test_more_shirts_need_more_ink(folder, capsys):
    """The run follows the count; a print doesn't."""
    made = []
    for shirts in ("24", "96"):
        assert run(["ink", str(folder / "front.svg"), "--shirts", shirts, "--json"]) == 0
        made.append(json.loads(capsys.readouterr().out)["colours"][-1])
    assert made[0]["per_print_g"] == made[1]["per_print_g"]
    assert 3 < made[1]["for_run_g"] / made[0]["for_run_g"] < 4
    assert made[0]["to_mix_g"] < made[1]["to_mix_g"]


def test_settings_reach_the_figures(folder, capsys):
    """A reserve, a weighed transfer and one stroke set on the command line change what is said."""
    made = {}
    for name, sets in {
        "plain": [],
        "reserve": ["ink.reserve=15%"],
        "weighed": ["ink.transfer=0.5"],
        "one stroke": ["ink.strokes=1"],
    }.items():
        options = [part for text in sets for part in ("--set", text)]
        assert run(["ink", str(folder / "front.svg"), "--json", *options]) == 0
        made[name] = json.loads(capsys.readouterr().out)["colours"][-1]
    assert made["reserve"]["to_mix_g"] < made["plain"]["to_mix_g"]
    assert made["weighed"]["per_print_g"] == pytest.approx(
        made["plain"]["per_print_g"] * 0.5 / 0.9, rel=1e-3
    )
    assert made["plain"]["per_print_g"] == pytest.approx(
        1.45 * made["one stroke"]["per_print_g"], rel=1e-3
    )


@pytest.mark.parametrize(
    "options",
    [
        ["--shirts", "0"],
        ["--set", "ink.transfer=-1"],
        ["--set", "ink.reserve=lots"],
        ["--set", "ink.strokes=0"],
    ],
)
def test_bad_input_is_one_line(folder, capsys, options):
    """No shirts, a transfer below 0, a reserve that is no share: exit status 2, one line, no output."""
    assert run(["ink", str(folder / "front.svg"), *options]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(said.err.strip().splitlines()) == 1


@pytest.mark.parametrize(
    ("said", "part", "names"),
    [
        ({"mesh": "48-80"}, "mesh", '"43-80", "62-64"'),
        ({"mesh": "43-80", "ink": "cobalt"}, "ink", '"white"'),
    ],
)
def test_what_a_transfer_was_weighed_with_must_be_known(folder, capsys, said, part, names):
    """A mesh or an ink mistyped would never be that of a screen: one line with the names there are."""
    shop = folder / "weighed.toml"
    given = ", ".join(f'{key} = "{value}"' for key, value in said.items())
    shop.write_text(
        f"[ink]\ntransfer = {{ value = 0.8, {given} }}\n"
        '[[mesh]]\nname = "43-80"\ncount = "43/cm"\nthread = "80 um"\n'
        '[[mesh]]\nname = "62-64"\ncount = "62/cm"\nthread = "64 um"\n'
        '[[inks]]\nname = "white"\nkind = "opaque white"\n',
        encoding="utf-8",
    )
    assert run(["ink", str(folder / "front.svg"), "--shop", str(shop)]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert "weighed.toml" in line
    assert f'ink.transfer.{part} = "{said[part]}": the shop has no such {part}' in line
    assert f"write one of {names}" in line


def test_a_transfer_may_be_weighed_with_an_ink_that_only_the_order_names(folder, capsys):
    """The ink of a screen, by its name in the order or its colour, is known without a list."""
    order = str(folder / "order.toml")
    for ink in ("deep blue", "#f2c14e"):
        assert run(["ink", order, "--set", f"ink.transfer={{ value = 0.8, ink = '{ink}' }}"]) == 0
