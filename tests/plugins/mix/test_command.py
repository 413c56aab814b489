"""``prep mix`` as it is typed."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from prep.cli import run

SHOP = """
name = "Shed"
balance = { readability = "0.1 g" }
inks = [
    { name = "finch red", density = "1.06 g/ml" },
    { name = "white", density = "1.25 g/ml", in_stock = "200 g" },
    { name = "bare" },
]
[mix]
pots = ["250 ml", "500 ml"]
[[mix.component]]
name = "clear base"
density = "1.05 g/ml"
[[mix.component]]
name = "red pigment"
density = "1.2 g/ml"
in_stock = "10 g"
[[mix.additive]]
name = "retarder"
density = "1.036 g/ml"
of = "ink"
by = "mass"
usual = "2.5 %"
most = "5 %"
[[mix.additive]]
name = "cross-linker"
of = "mix"
by = "mass"
most = "3 %"
discard_after = "8 h"
[[mix.additive]]
name = "thinner"
density = "1 g/ml"
of = "ink"
by = "volume"
most = "10 %"
[[mix.recipe]]
ink = "finch red"
by = "mass"
parts = { "clear base" = 94, "red pigment" = 6 }
additives = { retarder = "1 %" }
"""
Mix = Callable[..., tuple[int, str, str]]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "shop.toml").write_text(SHOP, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


@pytest.fixture
def mix(shop: Path, capsys: pytest.CaptureFixture[str]) -> Mix:
    def typed(*arguments: str) -> tuple[int, str, str]:
        status = run(["mix", *arguments])
        said = capsys.readouterr()
        return status, said.out, said.err

    return typed


def _document(mix: Mix, *arguments: str) -> dict[str, Any]:
    status, said, complaint = mix(*arguments, "--json")
    assert status == 0, complaint
    document = json.loads(said)
    assert document["schema"] == "firstpull.mix/1"
    return document  # type: ignore[no-any-return]  # it is a document


def _row(document: dict[str, Any], name: str) -> dict[str, Any]:
    return next(row for row in document["rows"] if row["name"] == name)


def test_a_recipe_on_one_screen(mix: Mix) -> None:
    """202 g in all: 200 g of ink (188 and 12) and 1 % of that, 2 g; readings 188, 200, 202."""
    status, said, complaint = mix("finch red", "202 g")
    assert status == 0
    assert complaint == "- The shop's settings were read from shop.toml.\n"
    lines = said.splitlines()
    assert len(lines) + 2 <= 24
    assert max(len(line) for line in lines) <= 80
    # the list's own density stands before that of the parts: 200 / 1.06 + 2 / 1.036 = 190.6 ml
    assert lines[0] == "finch red: 202.0 g in all, 191 ml by its stated density"
    assert lines[3].split()[:4] == ["clear", "base", "188.0", "188.0"]
    assert lines[4].split()[:4] == ["red", "pigment", "12.0", "200.0"]
    assert lines[5].split()[:3] == ["retarder", "2.0", "202.0"]
    # 2 × 0.0408 g of 2 g
    assert lines[5].split()[-4:] == ["0.99", "%", "4.1", "%"]
    assert "Additives: retarder 1 % of the ink by mass (at most 5 %)." in said
    assert "Pot: 500 ml, filled to 70 % at most." in said  # 191 / 0.7 = 272 ml
    assert "Not enough red pigment in stock: 12 g are needed, there are 10 g." in said
    assert "safety data sheets" in said
    assert "never used for food" in " ".join(said.split())
    assert "Use within" not in said


def test_the_same_as_a_document(mix: Mix) -> None:
    document = _document(mix, "finch red", "202 g")
    assert (document["total_g"], document["ink_g"]) == (202.0, 200.0)
    assert document["pots"] == {"count": 1, "pot_ml": 500.0}
    assert [row["weigh_g"] for row in document["rows"]] == [188.0, 12.0, 2.0]
    assert [row["reading_g"] for row in document["rows"]] == [188.0, 200.0, 202.0]
    assert _row(document, "retarder")["share"] == pytest.approx(2 / 202)


def test_more_of_what_a_recipe_holds(mix: Mix) -> None:
    """1 % of its own and 2.5 %, the usual share: 3.5 % of 200 g of ink are 7 g."""
    document = _document(mix, "finch red", "207 g", "--add", "retarder")
    assert _row(document, "retarder")["mass_g"] == pytest.approx(7.0)


def test_what_reacts_goes_in_last_and_is_thrown_away(mix: Mix) -> None:
    """2 % of 250 g of mix are 5 g; 245 g are ink with 1 % of retarder: 242.57 and 2.43 g."""
    status, said, _ = mix("finch red", "250 g", "--add", "cross-linker=2 %")
    assert status == 0
    rows = [line.split()[0] for line in said.splitlines()[3:7]]
    assert rows == ["clear", "red", "retarder", "cross-linker"]
    assert "Use within 8 h of mixing (cross-linker), then discard; never back into stock." in said
    assert "gloves" in said
    document = _document(mix, "finch red", "250 g", "--add", "cross-linker=2 %")
    assert document["discard_after_s"] == 8 * 3600
    assert _row(document, "cross-linker")["mass_g"] == pytest.approx(5.0)
    assert _row(document, "retarder")["mass_g"] == pytest.approx(245 / 101)


def test_an_amount_by_volume(mix: Mix) -> None:
    """250 ml of white at 1.25 g/ml weigh 312.5 g; 8 fl oz are 236.588 ml, so 295.7 g."""
    assert _document(mix, "white", "250 ml")["total_g"] == pytest.approx(312.5)
    assert _document(mix, "white", "8 fl oz")["total_g"] == pytest.approx(8 * 29.5735295625 * 1.25)
    assert _document(mix, "white", "8 oz")["total_g"] == pytest.approx(8 * 28.349523125)


def test_an_additive_by_volume(mix: Mix) -> None:
    """10 % of 100 ml: 125 g of white and 10 g of a thinner of 1 g/ml."""
    document = _document(mix, "white", "110 ml", "--add", "thinner=10 %")
    assert document["total_g"] == pytest.approx(135.0)
    assert _row(document, "thinner")["mass_g"] == pytest.approx(10.0)


def test_a_recipe_that_is_not_written_down(mix: Mix) -> None:
    document = _document(mix, "teal", "200 g", "--part", "clear base=3", "--part", "blue=1")
    assert [row["weigh_g"] for row in document["rows"]] == [150.0, 50.0]
    assert document["volume_ml"] is None
    bare = " ".join(mix("bare", "200 g", "--add", "cross-linker=2 %")[1].split())
    assert "of bare and cross-linker; write it into [[inks]] and [[mix.additive]] of" in bare
    said = mix("teal", "200 g", "--part", "clear base=3", "--part", "blue=1")[1]
    assert (
        "as no density is known of blue; write it into [[mix.component]] of shop.toml"
        in " ".join(said.split())
    )
    by_volume = ("--part", "clear base=1", "--part", "red pigment=1", "--by", "volume")
    # 1.05 and 1.2 g of each ml: 225 g are 105 and 120
    document = _document(mix, "teal", "225 g", *by_volume)
    assert [(row["name"], row["weigh_g"]) for row in document["rows"]] == [
        ("red pigment", 120.0),
        ("clear base", 105.0),
    ]


def test_what_is_in_already_is_not_weighed_again(mix: Mix) -> None:
    """5 % of 200 g are 10 g, of which 4 are in; the reading leaves them out."""
    document = _document(
        mix, "white", "210 g", "--add", "retarder=5 %", "--already", "retarder=4 g"
    )
    assert _row(document, "retarder")["weigh_g"] == 6.0
    assert document["rows"][-1]["reading_g"] == 206.0
    document = _document(mix, "white", "210 g", "--already", "retarder=4 g")
    assert _row(document, "retarder")["weigh_g"] == 0.0
    assert _row(document, "white")["weigh_g"] == 206.0


def test_by_way_of_a_pre_mix(mix: Mix) -> None:
    """0.59 g on a balance of 0.1 g: too little by itself; the pre-mix holds it to 5 %."""
    status, said, _ = mix("finch red", "60 g", "--pre-mix")
    assert status == 0
    assert "Pre-mix for retarder: stir " in said
    assert "retarder pre-mix" in said
    document = _document(mix, "finch red", "60 g", "--pre-mix")
    row = _row(document, "retarder")
    way = row["pre_mix"]
    held = way["take_g"] * way["own_g"] / (way["own_g"] + way["carrier_g"])
    assert held == pytest.approx(60 / 101)
    assert row["error"] <= 0.05
    assert document["rows"][-1]["reading_g"] == pytest.approx(60.0)
    assert "No pre-mix is needed" in mix("finch red", "202 g", "--pre-mix")[1]
    words = " ".join(
        mix("finch red", "2 kg", "--pre-mix", "--set", "balance.readability=2 g")[1].split()
    )
    assert "Pre-mix for retarder, once for all 6 pots: stir" in words
    assert "of the pre-mix for each of the 6 pots hold" in words


def test_a_pre_mix_at_the_maximum_says_what_is_weighed(mix: Mix) -> None:
    """What the sentence takes is what the table weighs, and never above 5 % of the ink."""
    typed = ("white", "29.2 g", "--add", "retarder=5 %", "--pre-mix")
    status, said, complaint = mix(*typed)
    assert status == 0, complaint
    row = _row(_document(mix, *typed), "retarder")
    way = row["pre_mix"]
    words = " ".join(said.split())
    assert f"{row['weigh_g']:.1f} g of the pre-mix hold" in words
    (line,) = (one for one in said.splitlines() if one.startswith("retarder pre-mix"))
    assert line.split()[2] == f"{row['weigh_g']:.1f}"
    held_g = row["weigh_g"] * way["own_g"] / (way["own_g"] + way["carrier_g"])
    assert held_g <= 0.05 * (29.2 - held_g) * (1 + 1e-6)
    assert row["error"] + abs(row["off"]) <= 0.05


def test_more_than_a_pot_holds(mix: Mix) -> None:
    """1000 g of white are 800 ml; 500 ml hold 350, so three pots of 333.3 g, stirred together."""
    status, said, _ = mix("white", "1 kg")
    assert status == 0
    assert "in each of 3 pots" in said
    assert "stir all together" in " ".join(said.split())
    assert "Not enough white in stock: 1000 g are needed, there are 200 g." in said
    document = _document(mix, "white", "1 kg")
    assert document["total_g"] == pytest.approx(1000 / 3)


def test_ounces_on_the_balance(mix: Mix) -> None:
    """On a balance of 0.01 oz all is told as it shows it, never as a bare ounce."""
    _, said, _ = mix("white", "12 oz", "--add", "retarder", "--set", "balance.readability=0.01 oz")
    assert said.startswith("white: 12.00 oz by weight (340 g) in all, 9.25 fl oz")
    assert "retarder          0.29    12.00" in said  # 12 × 0.025 / 1.025 = 0.2927
    assert "Pot: 500 ml (16.91 fl oz), filled to 70 % at most." in said
    _, said, _ = mix("white", "12 oz", "--set", "units=inch")
    assert said.startswith("white: 340.2 g (12.00 oz by weight) in all, 9.20 fl oz")


@pytest.mark.parametrize("paper", ["A4", "US Letter"])
def test_the_page(mix: Mix, shop: Path, paper: str) -> None:
    """One page with every row, and a column to write into."""
    status, said, complaint = mix(
        *("finch red", "250 g", "--add", "cross-linker=2 %", "--pdf", "mix.pdf"),
        *("--set", f"paper={paper}"),
    )
    assert status == 0, complaint
    assert "Written: mix.pdf" in said
    with pdfplumber.open(io.BytesIO((shop / "mix.pdf").read_bytes())) as pdf:
        (page,) = pdf.pages
        text = page.extract_text()
        width_mm = float(page.width) * 25.4 / 72
    assert width_mm == pytest.approx({"A4": 210.0, "US Letter": 215.9}[paper], abs=0.1)
    for word in ("clear base", "red pigment", "retarder", "cross-linker", "weighed", "Mixed on"):
        assert word in text
    assert "never back into stock" in text


def test_long_and_strange_names_stay_on_the_page(mix: Mix, shop: Path) -> None:
    """A name of 78 letters without a gap, and a letter that the bundled font lacks."""
    parts = [("--part", f"part {number}=5") for number in range(12)]
    typed = [word for part in parts for word in part]
    status, _, complaint = mix(
        "лак 緑", "2 kg", *typed, "--part", f"{78 * 'x'}=30", "--pdf", "mix.pdf"
    )
    assert status == 0, complaint
    with pdfplumber.open(io.BytesIO((shop / "mix.pdf").read_bytes())) as pdf:
        (page,) = pdf.pages
        assert "U+7DD1" in page.extract_text()
        words = page.extract_words()
    name = [word for word in words if set(word["text"]) == {"x"}]
    reading = next(word for word in words if word["text"] == "reading")
    assert sum(len(word["text"]) for word in name) == 78
    assert max(word["x1"] for word in name) < reading["x0"]


def test_a_shop_without_recipes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Parts are enough; the balance of a usual shop shows 1 g."""
    monkeypatch.chdir(tmp_path)
    assert run(["mix", "teal", "400 g", "--part", "clear=9", "--part", "blue=1"]) == 0
    said = capsys.readouterr()
    assert "clear  360" in said.out
    assert said.err == ""


REFUSED = [
    (("", "250 g"), "the ink has no name"),
    (("green", "250 g"), "green: is neither a recipe nor an ink of the shop; there are finch red"),
    (("finch rde", "250 g"), 'did you mean "finch red"?'),
    (("white", "250"), '"250" has no unit'),
    (("white", "250 furlong"), '"250 furlong" is no amount to mix; write a mass like "250 g"'),
    (("white", "0 g"), "there is nothing to mix"),
    (("white", "--", "-5 g"), "there is nothing to mix"),
    (("white", "0.02 g"), "is less than the balance shows (0.1 g)"),
    (("bare", "250 ml"), "no density is known of bare; state density in shop.toml"),
    (("bare", "250 g", "--add", "thinner=1 %"), "no density is known of bare"),
    (
        ("white", "250 g", "--add", "softener=2 %"),
        'there is no additive "softener"; there are retarder',
    ),
    (
        ("white", "250 g", "--add", "retarder=6 %"),
        "6 % of retarder is above its maker's maximum of 5 %",
    ),
    (
        ("finch red", "250 g", "--add", "retarder=4.5 %"),
        "with the 1 % that the recipe holds already is above its maker's maximum of 5 % of the ink by"
        " mass; take up to 4 % more",
    ),
    (
        ("white", "250 g", "--add", "cross-linker"),
        "no usual share of cross-linker is stated; say how",
    ),
    (("white", "250 g", "--add", "retarder=lots"), "--add retarder=lots"),
    (("white", "250 g", "--add", "retarder=0 %"), "0 % adds nothing"),
    (("white", "250 g", "--add", "retarder", "--add", "retarder=1 %"), "retarder is given twice"),
    (("white", "250 g", "--already", "retarder=2 fl oz"), 'ounces by weight are written "2 oz"'),
    (
        ("white", "250 g", "--already", "blue=2 g"),
        'there is no "blue" in this mix; there are white',
    ),
    (("white", "250 g", "--already", "retarder"), "is not NAME=AMOUNT"),
    (("white", "250 g", "--already", "retarder=-2 g"), "must not be negative"),
    # 5 % of the ink: 20 g need 400 g of it
    (("white", "250 g", "--already", "retarder=20 g"), "mix 420.0 g or more"),
    (("white", "250 g", "--already", "white=300 g"), "mix 300.0 g or more"),
    (
        ("white", "1 kg", "--already", "white=3 g"),
        "takes 3 pots of 500 ml, and one holds some already",
    ),
    (
        ("teal", "250 g", "--part", "cl\near=1"),
        "must be plain text on one line of at most 80 letters",
    ),
    (("teal", "250 g", "--part", f"{81 * 'x'}=1"), "must be plain text on one line"),
    ((81 * "x", "250 g", "--part", "clear=1"), "must be plain text on one line"),
    (("teal", "250 g", "--part", "clear=-1"), '"-1" is no number of parts'),
    (("teal", "250 g", "--part", "clear=0", "--part", "blue=0"), "the parts are all 0"),
    (("teal", "250 g", "--part", "clear=1", "--part", "clear=2"), "clear is given twice"),
    (("teal", "250 g", "--part", "retarder=1"), "retarder is an additive; give it with --add"),
    (("teal", "250 g", "--part", "clear=1", "--by", "weight"), "parts are by mass or by volume"),
    (("teal", "250 g", "--part", "clear=1", "--by", "volume"), "no density is known of clear"),
    (("white", "250 g", "--by", "volume"), "says what --part counts, and there is none"),
    (("finch red", "250 g", "--part", "clear=1"), '"finch red" has a recipe in shop.toml'),
    # 2.5 % of the ink: 1.633 g are 65.3 g of it, 67.0 g with the retarder
    (
        ("white", "40 g", "--add", "retarder"),
        "can't be weighed to 5 % on a balance that shows 0.1 g",
    ),
    (
        ("white", "40 g", "--add", "retarder"),
        "mix 67.0 g or more at once, or go by a pre-mix (--pre-mix)",
    ),
    (("white", "3 g", "--add", "retarder", "--pre-mix"), "nor by a pre-mix in so small a batch"),
    (("white", "250 g", "--set", "mix.pots=['8 oz']"), 'fluid ounces are written "8 fl oz"'),
    (("white", "250 g", "--set", "mix.additives.retarder=2 %"), "speaks of an order"),
    (("white", "250 g", "--shop", "none.toml"), "there is no such file"),
    (("white", "250 g", "--pdf", "none/mix.pdf"), "--pdf none/mix.pdf: can't be written"),
    (
        ("white", "100 g", "--add", "retarder", "--set", "mix.pots=['20 ml']"),
        "g or more in one pot, larger than these",
    ),
    (("white", "250 g", "--set", "balance.readability=0 g"), "must be more than 0"),
]


@pytest.mark.parametrize(("typed", "said"), REFUSED)
def test_what_can_not_be_mixed_is_told_in_one_line(
    mix: Mix, typed: tuple[str, ...], said: str
) -> None:
    status, output, complaint = mix(*typed)
    assert (status, output) == (2, "")
    (line,) = complaint.splitlines()
    assert said in line


RED_TOO = '[[mix.recipe]]\nink = "finch red"\nby = "mass"\nparts = { white = 1 }\n'
BAD_SHOPS = [
    ('most = "5 %"', "", "mix.additive[1].most: is missing; write most = ... in it"),
    ('of = "ink"\nby = "mass"\nusual', 'by = "mass"\nusual', "mix.additive[1].of: is missing"),
    ('by = "mass"\nusual', "usual", "mix.additive[1].by: is missing"),
    ('usual = "2.5 %"', 'usual = "7 %"', "usual share of retarder, 7 %, is more than its maker's maximum"),
    ('by = "mass"\nparts', "parts", "mix.recipe[1].by: is missing"),
    ('"red pigment" = 6', '"red pigment" = -6', "must be at least 0"),
    ('"clear base" = 94, "red pigment" = 6', '"clear base" = 0', "has parts that are all 0; give one part"),
    ('"clear base" = 94, "red pigment" = 6', "", "has no parts; give one part"),
    ('"red pigment" = 6', "rust = 6", "has a part that isn't known, \"rust\"; there are clear base"),
    ('"red pigment" = 6', '"finch red" = 6', 'has "finch red" itself as a part'),
    ('"red pigment" = 6', "retarder = 6", "an additive belongs under its additives"),
    ('retarder = "1 %"', 'softener = "1 %"', "an additive that isn't known, softener; there are retarder"),
    ('retarder = "1 %"', 'retarder = "6 %"', "more than its maker's maximum of 5 % of the ink by mass"),
    ('retarder = "1 %"', 'cross-linker = "usual"', "takes cross-linker as usual, and none is stated"),
    ('retarder = "1 %"', 'retarder = "a lot"', '"a lot" is not a share'),
    ('density = "1 g/ml"\nof', "of", "thinner is dosed by volume and has no density"),
    ('most = "3 %"', 'most = "100 %"', "cross-linker can't be the whole mix"),
    ('name = "red pigment"', 'name = "clear base"', 'two components or additives are called "clear base"'),
    ('name = "red pigment"', 'name = "white"', '"white" stands under [[inks]] too; keep it there'),
    ('name = "thinner"', 'name = "white"', '"white" stands under [[inks]] too'),
    ('ink = "finch red"', 'ink = "finch rad"', 'the shop lists inks, and no "finch rad"; did you mean'),
    ('"red pigment" = 6', "white = 6", 'leads back to "finch red" itself by way of its parts'),
    ("[[mix.recipe]]", f"{RED_TOO}[[mix.recipe]]", 'two recipes make "finch red"; keep one'),
    ('in_stock = "10 g"', 'in_stock = "10 fl oz"', 'ounces by weight are written "10 oz"'),
    ('pots = ["250 ml", "500 ml"]', 'pots = ["8 oz"]', 'fluid ounces are written "8 fl oz"'),
    ('pots = ["250 ml", "500 ml"]', 'pots = ["0 ml"]', "must be more than 0"),
    ('pots = ["250 ml", "500 ml"]', 'dose_error = "0 %"', "must be more than 0"),
    ('discard_after = "8 h"', 'discard_after = "8 g"', "is not of the right kind"),
    ("[[mix.component]]", "[[mix.componant]]", "there is no such key here; did you mean component?"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "said"), BAD_SHOPS)
def test_what_a_shop_can_not_say_is_told_in_one_line(
    mix: Mix, shop: Path, old: str, new: str, said: str
) -> None:
    """With the file it was written in."""
    assert old in SHOP
    written = SHOP.replace(old, new, 1)
    if "leads back" in said:
        written += RED_TOO.replace('ink = "finch red"', 'ink = "white"').replace(
            "white =", '"finch red" ='
        )
    (shop / "shop.toml").write_text(written, encoding="utf-8")
    status, output, complaint = mix("white", "200 g")
    assert (status, output) == (2, "")
    assert said in complaint
    assert complaint.startswith("prep: shop.toml: mix")
    assert len(complaint.splitlines()) == 1


def test_what_reacts_is_never_stock(mix: Mix, shop: Path) -> None:
    """A recipe with a cross-linker, and the mix stated as stock."""
    reacting = SHOP.replace('retarder = "1 %"', 'cross-linker = "2 %"')
    (shop / "shop.toml").write_text(reacting, encoding="utf-8")
    assert mix("finch red", "202 g")[0] == 0
    stocked = reacting.replace('"1.06 g/ml"', '"1.06 g/ml", in_stock = "1 kg"')
    (shop / "shop.toml").write_text(stocked, encoding="utf-8")
    status, _, complaint = mix("white", "200 g")
    assert status == 2
    assert complaint.startswith('prep: shop.toml: mix.recipe[1].additives: "finch red" holds')
    assert "it is never stock" in complaint


def test_what_is_left_over_of_a_mixed_ink(mix: Mix) -> None:
    said = mix("finch red", "202 g", "--set", "inks=[{name='finch red', in_stock='5 g'}]")[1]
    assert "5 g of finch red are left over in stock, which aren't counted." in said


def test_parts_by_volume_need_densities(mix: Mix, shop: Path) -> None:
    by_volume = SHOP.replace('by = "mass"\nparts', 'by = "volume"\nparts')
    (shop / "shop.toml").write_text(by_volume, encoding="utf-8")
    # 94 × 1.05 = 98.7 and 6 × 1.2 = 7.2 by mass, so 186.4 and 13.6 g of 200 g of ink
    rows = _document(mix, "finch red", "202 g")["rows"]
    assert [row["weigh_g"] for row in rows] == [186.4, 13.6, 2.0]
    without = by_volume.replace('density = "1.2 g/ml"\nin_stock', "in_stock")
    (shop / "shop.toml").write_text(without, encoding="utf-8")
    status, _, complaint = mix("finch red", "200 g")
    assert status == 2
    assert 'the recipe of "finch red" is by volume, and "red pigment" has no density' in complaint
    assert complaint.startswith("prep: shop.toml: mix.recipe[1].parts: ")


NESTED = """
inks = [{ name = "teal" }, { name = "black" }, { name = "fade", kind = "discharge" }]
mix.component = [{ name = "base" }]
mix.additive = [
    { name = "cross-linker", of = "mix", by = "mass", most = "3 %", usual = "2 %", discard_after = "8 h" },
]
mix.recipe = [
    { ink = "black", by = "mass", parts = { base = 1 }, additives = { cross-linker = "usual" } },
    { ink = "teal", by = "mass", parts = { base = 90, black = 6, fade = 4 } },
]
"""


def test_what_reacts_in_a_part_with_a_recipe_of_its_own(mix: Mix, shop: Path) -> None:
    """The time runs since the part was mixed, and gloves are needed for what it holds."""
    (shop / "shop.toml").write_text(NESTED, encoding="utf-8")
    for typed in (("teal", "1 kg"), ("x", "1 kg", "--part", "base=9", "--part", "teal=1")):
        status, said, complaint = mix(*typed)
        assert status == 0, complaint
        words = " ".join(said.split())
        assert "Use within 8 h of mixing black, not of stirring it in (cross-linker)" in words
        assert "cross-linker in black: wear gloves and eye protection" in words
        assert "fade: discharge gives off fumes that harm" in words
        assert "only with extraction" in words
        assert "never on children's wear" in words
    words = mix("x", "1 kg", "--part", "base=1")[1]
    assert "gloves" not in words
    assert "fumes" not in words


def test_what_reacts_in_the_pot_already(mix: Mix) -> None:
    """7 g of 300 are 2.33 %, where 2 % are asked for; the time runs since they were stirred in."""
    typed = ("white", "300 g", "--add", "cross-linker=2 %", "--already", "cross-linker=7 g")
    status, said, complaint = mix(*typed)
    assert status == 0, complaint
    words = " ".join(said.split())
    assert (
        "cross-linker 2.33 % of the mix by mass, as so much is in already, in place of 2 %" in words
    )
    assert "Use within 8 h of when it was first stirred in, not of now (cross-linker)" in words
    assert "Tare the balance with the pot and what is in it; the reading" in words
    words = " ".join(mix("white", "300 g", "--already", "retarder=3 g")[1].split())
    # 3 g in 297 g of ink
    assert (
        "Additives: retarder 1.01 % of the ink by mass, what is in already (at most 5 %)." in words
    )
    assert mix("white", "300 g", "--already", "retarder=0 g")[0] == 0


def test_a_density_that_its_parts_contradict(mix: Mix, shop: Path) -> None:
    """94 g at 1.05 and 6 g at 1.2 g/ml are 94.5 ml, so 1.06 g/ml; 1.18 is a tenth more."""

    def stated(was: str, now: str) -> None:
        text = SHOP.replace(f'density = "{was} g/ml"', f'density = "{now} g/ml"', 1)
        (shop / "shop.toml").write_text(text, encoding="utf-8")

    stated("1.06", "1.18")
    status, said, complaint = mix("finch red", "400 ml")
    assert (status, said) == (2, "")
    assert len(complaint.splitlines()) == 1
    assert (
        '"finch red" is stated to have 1.18 g/ml under [[inks]], and its parts come to' in complaint
    )
    assert "1.06 g/ml (1.05 g/ml of clear base and 1.2 g/ml of red pigment" in complaint
    assert "[[mix.component]]" in complaint
    stated("1.06", "1.15")
    near = mix("finch red", "202 g")
    assert near[0] == 0, near[2]
    # 200 / 1.15 + 2 / 1.036 = 175.8 ml
    assert near[1].startswith("finch red: 202.0 g in all, 176 ml by its stated density\n")
    typed = ("--part", "clear base=1", "--part", "red pigment=1")
    status, said, complaint = mix("finch", "90 g", *typed)
    assert "as volumes add up (assumed)" in said
    stated("1.25", "1.5")
    status, said, complaint = mix("white", "90 g", *typed)
    assert (status, said) == (2, "")
    assert "is stated to have 1.5 g/ml" in complaint


def test_a_part_that_is_mistyped(mix: Mix) -> None:
    """Near a name of the shop it is refused; a new one is told, and so is a listed ink made from parts."""
    status, said, complaint = mix("x", "400 g", "--part", "clear bse=3", "--part", "white=1")
    assert (status, said) == (2, "")
    assert 'the shop knows no "clear bse"; did you mean "clear base"?' in complaint
    typed = ("--part", "clear base=3", "--part", "blue=1")
    words = " ".join(mix("white", "400 g", *typed)[1].split())
    assert "Not in shop.toml, and taken as typed: blue." in words
    assert "white stands in the shop's list as it comes; here it is mixed from" in words
    assert "stands in the shop's list" not in mix("x", "400 g", *typed)[1]


@pytest.mark.parametrize(
    ("typed", "complaint"),
    [
        (("white", "1000000 kg"), "1000000 kg: is more than 100 kg, the most that is weighed out"),
        (("white", "101 l"), "101 l: is more than 100 l"),
        (("white", "-5 g"), "-5 g: an amount must be more than 0; write a mass like"),
        (("white", "250 g", "--pdf", "zz.txt"), 'isn\'t the name of a PDF file; name it "zz.pdf"'),
    ],
)
def test_amounts_and_files_that_make_no_sense(
    mix: Mix, shop: Path, typed: tuple[str, ...], complaint: str
) -> None:
    status, said, told = mix(*typed)
    assert (status, said) == (2, "")
    assert len(told.splitlines()) == 1
    assert complaint in told
    assert not (shop / "zz.txt").exists()


def test_the_smallest_batch_is_of_one_pot(mix: Mix) -> None:
    """3 kg in pots of 350 ml, of which none holds what 1 % of retarder needs on a balance of 10 g."""
    status, _, complaint = mix("finch red", "3 kg", "--set", "balance.readability=10 g")
    assert status == 2
    assert "g or more in one pot, larger than these" in complaint


def test_all_that_is_said_of_additives_is_in_the_document(mix: Mix) -> None:
    """2 % of the mix asked for and at most 3 %, thrown away after 8 h, with gloves."""
    document = _document(mix, "white", "250 g", "--add", "cross-linker=2 %")
    assert _row(document, "cross-linker")["dosed"] == {
        "share": 0.02,
        "asked": 0.02,
        "of": "mix",
        "by": "mass",
        "most": 0.03,
    }
    assert _row(document, "white")["dosed"] is None
    assert document["discard"].startswith("Use within 8 h of mixing (cross-linker)")
    assert "cross-linker: wear gloves" in document["cautions"][0]


def test_fluid_ounces_are_said_to_be_us_ones_once(mix: Mix) -> None:
    assert mix("white", "12 oz", "--set", "units=inch")[1].count("US") == 1
    assert "US" not in mix("white", "250 g")[1]
