"""What the sheet and the check say of mixing, and where an order's wishes are refused."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from shapely import box

import prep_ink
import prep_mix
from prep.cli import run
from prep.errors import SettingsError, Unanswered
from prep.findings import Finding
from prep.job import Ask, Chosen, Job
from prep.line import open_line
from prep.plugins import Plugin, Plugins
from prep.request import Request
from prep.sections import Caution, CheckList, Figures, Paragraph, Section, Table
from prep.session import Session
from prep.shop import Balance, Shop
from prep.tables import Table as SettingsTable
from prep.testing import make_ask, make_job
from prep_drying.settings import DryingOrder
from prep_ink.answers import InkOnScreens
from prep_ink.settings import OrderInk
from prep_mix import prep_findings, prep_order_sections, prep_sections
from prep_mix.answers import Recipes
from prep_mix.settings import MixColour, MixOrder, MixShop

RED, GOLD, BLUE = "#d9472f", "#f2c14e", "#1f3a5f"
FINE = {"readability": "0.01 g"}
REGIONS = {RED: box(0, 0, 100, 50), GOLD: box(0, 60, 100, 110)}
MIX: dict[str, Any] = {
    "component": [{"name": "clear", "density": "1.05 g/ml"}, {"name": "rust", "in_stock": "1 g"}],
    "additive": [
        {"name": "retarder", "of": "ink", "by": "mass", "most": "5 %", "usual": "2.5 %"},
        {"name": "fixer", "of": "mix", "by": "mass", "most": "3 %", "discard_after": "8 h"},
    ],
    "recipe": [{"ink": "finch red", "by": "mass", "parts": {"clear": 9, "rust": 1}}],
}


def job_of(
    *tables: SettingsTable,
    readability_g: float = 0.01,
    inks: dict[str, str] | None = None,
    colours: dict[str, dict[str, Any]] | None = None,
    **mix: Any,
) -> Job:
    job = make_job(
        REGIONS,
        inks=inks or {RED: "finch red", GOLD: "straw"},
        shop=Shop(balance=Balance.model_construct(readability_g=readability_g)),
        tables=(MixShop.model_validate({**MIX, **mix}), *tables),
    )
    own = {
        (MixColour, colour): MixColour.model_validate({"additives": additives})
        for colour, additives in (colours or {}).items()
    }
    return replace(job, chosen=Chosen(job.chosen.tables, own, job.chosen.origins))


def wanted(**additives: Any) -> MixOrder:
    return MixOrder.model_validate({"additives": additives})


def ask_of(job: Job) -> Ask:
    return Session(Plugins([Plugin("ink", prep_ink, "firstpull")])).ask_for(job)


def sections_of(job: Job) -> dict[str, Section]:
    """The section with the table or the reference, by screen."""
    found = {s.screen: s for s in prep_sections(job, ask_of(job)) if s.title == "Mixing"}
    return {str(screen): section for screen, section in found.items()}


def findings_of(job: Job) -> list[Finding]:
    return list(prep_findings(job, ask_of(job)))


def _table(blocks: Iterable[Any]) -> Table:
    (table,) = (block for block in blocks if isinstance(block, Table))
    return table


def _grams(cell: str) -> float:
    return float(cell.removesuffix(" g"))


def test_each_ink_is_weighed_by_its_recipe() -> None:
    """Nine parts and one; what is mixed is what the ink plugin asks for; the last column is blank."""
    job = job_of()
    to_mix = {mix.ink: mix.to_mix_g for mix in ask_of(job)(InkOnScreens).inks}
    sections = sections_of(job)
    red, straw = (_table(sections[colour].blocks) for colour in (RED, GOLD))
    assert red.head == ("To weigh", "Target", "Weighed")
    assert [row[0] for row in red.rows] == ["clear", "rust", "in all"]
    assert [_grams(row[1]) for row in red.rows] == pytest.approx(
        [0.9 * to_mix["finch red"], 0.1 * to_mix["finch red"], to_mix["finch red"]], abs=0.006
    )
    assert [row[0] for row in straw.rows] == ["straw"]
    assert _grams(straw.rows[0][1]) == pytest.approx(to_mix["straw"])
    assert {row[2] for row in (*red.rows, *straw.rows)} == {""}
    assert all((s.rank, s.chapter) == (31, "screen") for s in sections.values())


def test_additives_of_the_order_and_of_a_colour() -> None:
    """A colour's own stands in place of the order's; the others follow the order."""
    job = job_of(wanted(retarder=0.02), colours={GOLD: {"retarder": "4 %"}})
    to_mix = {mix.ink: mix.to_mix_g for mix in ask_of(job)(InkOnScreens).inks}
    for colour, ink, share in ((RED, "finch red", 0.02), (GOLD, "straw", 0.04)):
        table = _table(sections_of(job)[colour].blocks)
        mass = {row[0]: _grams(row[1]) for row in table.rows}
        assert mass["retarder"] == pytest.approx(to_mix[ink] * share / (1 + share), abs=0.006)
        assert f"retarder {100 * share:g} % of the ink by mass" in table.caption
    none = job_of(wanted(retarder=0.02), colours={GOLD: {"retarder": 0}})
    assert [row[0] for row in _table(sections_of(none)[GOLD].blocks).rows] == ["straw"]


def test_retarder_that_drying_reckons_with_is_weighed_at_its_usual_share() -> None:
    job = job_of(DryingOrder(retarder=True))
    to_mix = {mix.ink: mix.to_mix_g for mix in ask_of(job)(InkOnScreens).inks}
    rows = {row[0]: row[1] for row in _table(sections_of(job)[GOLD].blocks).rows}
    assert _grams(rows["retarder"]) == pytest.approx(to_mix["straw"] * 0.025 / 1.025, abs=0.006)
    assert not any("retarder" in finding.kind for finding in findings_of(job))
    none = job_of(DryingOrder(retarder=False))
    assert [row[0] for row in _table(sections_of(none)[GOLD].blocks).rows] == ["straw"]


@pytest.mark.parametrize(
    ("additives", "wish", "do"),
    [
        ([], {}, "add it as [[mix.additive]] to shop.toml"),
        (
            [{"name": "slow retarder", "of": "ink", "by": "mass", "most": "5 %"}],
            {},
            "usual share of slow",
        ),
        (MIX["additive"], {"retarder": 0.0}, "usual share of retarder"),
    ],
)
def test_retarder_that_is_not_weighed_is_told_as_being_in_the_ink(
    additives: list[dict[str, Any]], wish: dict[str, float], do: str
) -> None:
    """On the table to mix by, on the job page, and with the notes, which say how to have it weighed."""
    said = "retarder: taken to be in the ink already, as the order says"
    job = job_of(DryingOrder(retarder=True), wanted(**wish), additive=additives)
    for section in sections_of(job).values():
        assert (said, "", "") in _table(section.blocks).rows
        assert [cell for column in section.columns for _, cell in column.cells] == [said]
    (note,) = (finding for finding in findings_of(job) if finding.kind == "retarder not weighed")
    assert note.what == f"finch red and straw: {said}."
    assert do in note.do


def test_mixing_is_a_step_before_the_ink_goes_on() -> None:
    """What is stirred in is named; an ink as it comes is weighed."""
    job = job_of(DryingOrder(retarder=True), additive=[])
    found = [s for s in prep_sections(job, ask_of(job)) if s.title == "Mix"]
    assert [section.rank for section in found] == [44, 44]
    by_table, plain = (
        block.steps[0] for s in found for block in s.blocks if isinstance(block, CheckList)
    )
    assert by_table.startswith(
        "Mix finch red by the table to weigh by, on this screen's first page: stir in"
    )
    assert plain.startswith("Weigh ")
    assert plain.endswith(
        "straw and stir it. Retarder: taken to be in the ink already, as the order says."
    )


def test_a_mix_that_reacts_is_thrown_away_and_asks_for_gloves() -> None:
    job = job_of(wanted(fixer="2 %"))
    found = list(prep_sections(job, ask_of(job)))
    tables = [_table(s.blocks) for s in found if s.title == "Mixing"]
    for table in tables:
        assert table.rows[-2][0] == "fixer"
        assert "Use within 8 h of mixing (fixer), then discard; never back into stock." in (
            table.caption
        )
    cautions = [b.text for s in found for b in s.blocks if isinstance(b, Caution)]
    assert len(cautions) == 2
    assert all("gloves" in text and "safety data sheet" in text for text in cautions)


def test_a_screen_for_discharge_ink_that_the_shop_does_not_list() -> None:
    """The caution stands on the page of that screen, and on no other."""
    job = job_of()
    screens = tuple(replace(s, kind="discharge") if s.colour == GOLD else s for s in job.screens)
    job = replace(job, screens=screens)
    found = list(prep_sections(job, ask_of(job)))
    told = [(s.screen, b.text) for s in found for b in s.blocks if isinstance(b, Caution)]
    assert [screen for screen, _ in told] == [GOLD]
    assert told[0][1].startswith("straw: discharge gives off fumes")


def test_the_pot_life_of_a_kind_of_ink() -> None:
    """Known to whoever reckons the ink, here of a kind that goes off 6 h after it is mixed."""
    shop = Shop.model_validate_json(
        '{"inks": [{"name": "straw", "pot_life": "6 h"}, {"name": "finch red"}]}'
    )
    job = make_job(REGIONS, inks={RED: "finch red", GOLD: "straw"}, shop=shop)
    sections = sections_of(job)
    assert "Use within 6 h of mixing (straw)" in _table(sections[GOLD].blocks).caption
    assert "Use within" not in _table(sections[RED].blocks).caption


def test_a_density_that_is_assumed_is_told() -> None:
    """A dose by volume of an ink whose density nobody states is reckoned with that of its kind."""
    thinner = {"name": "thinner", "of": "ink", "by": "volume", "most": "9 %", "density": "1 g/ml"}
    job = job_of(wanted(thinner="5 %"), additive=[thinner], recipe=())
    to_mix = {mix.ink: mix for mix in ask_of(job)(InkOnScreens).inks}["straw"]
    table = _table(sections_of(job)[GOLD].blocks)
    density = to_mix.density_g_per_ml.value
    mass = {row[0]: _grams(row[1]) for row in table.rows}
    assert mass["thinner"] == pytest.approx(0.05 * mass["straw"] / density, abs=0.006)
    assert f"Density of straw assumed, as usual for its kind: {density:.3g} g/ml" in table.caption


def test_the_usual_pot_life_of_a_kind() -> None:
    """Discharge ink goes off once mixed, whether or not the shop says after what time."""
    shop = Shop.model_validate_json('{"inks": [{"name": "straw", "kind": "discharge"}]}')
    job = make_job(REGIONS, inks={RED: "straw", GOLD: "straw"}, shop=shop)
    (mix,) = ask_of(job)(InkOnScreens).inks
    assert mix.pot_life_s is not None
    caption = _table(sections_of(job)[RED].blocks).caption
    assert f"Use within {mix.pot_life_s / 3600:g} h of mixing (straw), then discard" in caption


def test_one_ink_of_two_screens_is_mixed_once() -> None:
    job = job_of(inks={RED: "finch red", GOLD: "finch red"})
    sections = sections_of(job)
    table = _table(sections[RED].blocks)
    assert table.rows[-1][0] == "in all, for screens 1 and 2"
    (figures,) = sections[GOLD].blocks
    assert isinstance(figures, Figures)
    assert figures.rows == (
        ("Mixing", "finch red", "mixed together with that of screen 1, by its page"),
    )


def test_two_colours_of_one_ink_can_not_ask_for_two_mixes() -> None:
    inks = {RED: "finch red", GOLD: "finch red"}
    same = job_of(inks=inks, colours={RED: {"retarder": "2 %"}, GOLD: {"retarder": "2 %"}})
    assert "retarder" in [row[0] for row in _table(sections_of(same)[RED].blocks).rows]
    differing = job_of(inks=inks, colours={RED: {"retarder": "2 %"}, GOLD: {"retarder": "3 %"}})
    with pytest.raises(SettingsError) as refused:
        findings_of(differing)
    (line,) = refused.value.lines()
    assert "finch red is mixed once, and is asked for with different additives" in line
    assert f"order.toml: colour.{GOLD}.mix.additives.retarder: " in line


def test_a_colour_of_its_own_beside_one_by_the_order() -> None:
    """Both are told: neither share is taken for the other's; the same said in two ways is no conflict."""
    inks = {RED: "straw", GOLD: "straw"}
    own = job_of(wanted(retarder=0.02), inks=inks, colours={GOLD: {"retarder": "5 %"}})
    with pytest.raises(SettingsError) as refused:
        findings_of(own)
    (line,) = refused.value.lines()
    assert line.startswith(f"order.toml: colour.{GOLD}.mix.additives.retarder: straw is mixed once")
    assert f"2 % of retarder for {RED} (mix.additives.retarder)" in line
    assert f"5 % of retarder for {GOLD} (colour.{GOLD}.mix.additives.retarder)" in line
    alone = job_of(inks=inks, colours={RED: {"retarder": "5 %"}})
    with pytest.raises(SettingsError, match=f"no retarder for {GOLD}"):
        findings_of(alone)
    for colours in ({GOLD: {"retarder": "2.5 %"}}, {RED: {"fixer": 0}}):
        assert (
            findings_of(job_of(wanted(retarder="usual"), inks=inks, colours=colours, recipe=()))
            == []
        )


def test_what_is_known_of_inks_before_any_amount() -> None:
    """Nine parts of 1.05 and one of 1.2 g/ml are 1.0633; with 5 % by mass of 0.9 g/ml 1.0543 g/ml."""
    parts = [{"name": "clear", "density": "1.05 g/ml"}, {"name": "rust", "density": "1.2 g/ml"}]
    additives = [{"name": "oil", "of": "ink", "by": "mass", "most": "9 %", "density": "0.9 g/ml"}]
    recipe = {"ink": "finch red", "by": "mass", "parts": {"clear": 9, "rust": 1}}
    bare = {"ink": "bare", "by": "mass", "parts": {"clear": 1, "chalk": 1}}
    oiled = {**recipe, "ink": "oiled", "additives": {"oil": "5 %"}}
    job = job_of(
        wanted(fixer="2 %"),
        colours={GOLD: {"fixer": 0}},
        component=[*parts, {"name": "chalk"}],
        additive=[*MIX["additive"], *additives],
        recipe=[recipe, bare, oiled],
    )
    known = Session(Plugins([Plugin("mix", prep_mix, "firstpull")])).ask_for(job)(Recipes)
    assert known.made == {"finch red", "bare", "oiled"}
    ink = 10 / (9 / 1.05 + 1 / 1.2)
    assert known.density_g_per_ml["finch red"] == pytest.approx(ink)
    assert known.density_g_per_ml["oiled"] == pytest.approx(1.05 / (1 / ink + 0.05 / 0.9))
    assert known.density_g_per_ml["bare"] is None
    assert known.reacts_s == {"finch red": 8 * 3600.0}


def test_what_reacts_in_a_part_reacts_in_the_ink() -> None:
    """A fixer that belongs to a recipe counts wherever that ink is a part, printed or not."""
    fixed = {"ink": "base", "by": "mass", "parts": {"clear": 1}, "additives": {"fixer": "1 %"}}
    top = {"ink": "finch red", "by": "mass", "parts": {"base": 1, "rust": 1}}
    job = job_of(recipe=[fixed, top])
    listed = [{"name": name} for name in ("base", "finch red", "straw")]
    job = replace(job, shop=Shop.model_validate({"balance": FINE, "inks": listed}))
    ask = Session(Plugins([Plugin("mix", prep_mix, "firstpull")])).ask_for(job)
    assert ask(Recipes).reacts_s == {"base": 8 * 3600.0, "finch red": 8 * 3600.0}


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (wanted(softener="2 %"), 'there is no additive "softener"'),
        (wanted(retarder="9 %"), "9 % of retarder is above its maker's maximum of 5 %"),
    ],
)
def test_settings_that_are_refused_are_refused_to_whoever_asks(asked: MixOrder, words: str) -> None:
    """So that every command that reckons ink refuses them, with the layer they came from."""
    job = job_of(asked)
    origins = {"mix.additives": "--set mix.additives"}
    job = replace(job, chosen=replace(job.chosen, origins=origins))
    plugins = Plugins([Plugin("mix", prep_mix, "firstpull"), Plugin("ink", prep_ink, "firstpull")])
    for question in (Recipes, InkOnScreens):
        with pytest.raises(SettingsError, match=words) as refused:
            Session(plugins).ask_for(job)(question)
        assert refused.value.where == "--set mix.additives"


def test_what_the_order_asks_stands_in_place_of_the_recipes() -> None:
    """The recipe holds 1 % of retarder and 2 % of fixer; the order takes 3 % and none."""
    own = {"retarder": "1 %", "fixer": "2 %"}
    recipe = {**MIX["recipe"][0], "additives": own}
    job = job_of(wanted(retarder="3 %", fixer=0), recipe=[recipe])
    table = _table(sections_of(job)[RED].blocks)
    mass = {row[0]: _grams(row[1]) for row in table.rows}
    assert "fixer" not in mass
    assert mass["retarder"] / (mass["clear"] + mass["rust"]) == pytest.approx(0.03, abs=0.001)
    assert (
        "As the order asks: retarder 3 % in place of the recipe's 1 %, fixer none in place of the"
        " recipe's 2 %." in table.caption
    )
    assert "Use within" not in table.caption
    ask = Session(Plugins([Plugin("mix", prep_mix, "firstpull")])).ask_for
    assert ask(job)(Recipes).reacts_s == {}
    assert ask(job_of(recipe=[recipe]))(Recipes).reacts_s == {"finch red": 8 * 3600.0}
    usual = _table(sections_of(job_of(wanted(retarder="usual"), recipe=[recipe]))[RED].blocks)
    assert "retarder 2.5 % in place of the recipe's 1 %" in usual.caption
    same = _table(sections_of(job_of(wanted(retarder="1 %"), recipe=[recipe]))[RED].blocks)
    assert "As the order asks" not in same.caption


def test_none_for_one_colour_is_not_the_recipes_share_for_another() -> None:
    """Both colours print one ink, mixed once: the recipe's dose can't be both in and left out."""
    recipe = {**MIX["recipe"][0], "additives": {"retarder": "1 %"}}
    inks = {RED: "finch red", GOLD: "finch red"}
    job = job_of(inks=inks, colours={GOLD: {"retarder": 0}}, recipe=[recipe])
    with pytest.raises(SettingsError, match="the recipe's retarder for #d9472f, no retarder for"):
        findings_of(job)
    same = job_of(inks=inks, colours={GOLD: {"retarder": "1 %"}}, recipe=[recipe])
    assert "retarder 1 % of the ink" in _table(sections_of(same)[RED].blocks).caption


def test_what_is_left_of_a_mixed_ink_is_not_counted() -> None:
    """It is told, and what lacks is what its parts and theirs lack."""
    recipes = [
        {"ink": "base", "by": "mass", "parts": {"clear": 1}},
        {"ink": "finch red", "by": "mass", "parts": {"base": 4, "rust": 1}},
    ]
    component = [{"name": "clear", "in_stock": "2 g"}, {"name": "rust"}]
    listed = [{"name": "finch red", "in_stock": "5 g"}, {"name": "base", "in_stock": "1 g"}]
    job = job_of(inks={RED: "finch red", GOLD: "base"}, recipe=recipes, component=component)
    shop = Shop.model_validate({"balance": FINE, "inks": listed})
    job = replace(job, shop=shop)
    to_mix = {mix.ink: mix.to_mix_g for mix in ask_of(job)(InkOnScreens).inks}
    found = findings_of(job)
    (short,) = (one for one in found if one.kind == "not enough to mix from")
    needed_g = 0.8 * to_mix["finch red"] + to_mix["base"]
    assert short.what == f"clear: {needed_g:.3g} g for finch red and base, 2 g in stock."
    left = {one.colour: one.what for one in found if one.kind == "left over and not counted"}
    assert left[RED].startswith("finch red: 5 g are left over in stock, which aren't counted")
    assert left[GOLD].startswith("base: 1 g are left over in stock")
    assert len(found) == 3


def test_a_dose_too_small_to_weigh() -> None:
    """2 % of some 100 g on a balance of 1 g, which weighs 16.3 g and more to 5 %."""
    job = job_of(wanted(retarder="2 %"), readability_g=1.0, recipe=())
    found = {f.screen: f for f in findings_of(job) if f.kind == "dose too small to weigh"}
    assert set(found) == {RED, GOLD}
    least = 2 / 6**0.5 / 0.05
    for finding in found.values():
        assert finding.severity == "at risk"
        assert "of retarder can't be weighed to 5 % on a balance that shows 1 g" in finding.what
        assert "16.3 g is the least it can" in finding.what
        # 16.33 g at 2 % of the ink: 816.5 g of it and the retarder itself
        assert f"Mix {least / 0.02 * 1.02 // 1 + 1:.0f} g or more at once" in finding.do
    assert findings_of(job_of(wanted(retarder="2 %"), readability_g=0.01, recipe=())) == []


def test_the_table_goes_by_a_pre_mix_where_it_must() -> None:
    """What the pre-mix holds of the additive is its share of the batch, to the balance's steps."""
    job = job_of(wanted(retarder="2 %"), readability_g=0.1, recipe=(), dose_error="3 %")
    table = _table(sections_of(job)[GOLD].blocks)
    mass = {row[0]: _grams(row[1]) for row in table.rows}
    assert list(mass) == [
        "retarder, for its pre-mix",
        "straw, into it",
        "straw",
        "retarder pre-mix",
        "in all",
    ]
    own, into = mass["retarder, for its pre-mix"], mass["straw, into it"]
    held = mass["retarder pre-mix"] * own / (own + into)
    assert held / (mass["in all"] - held) == pytest.approx(0.02, rel=0.03)
    (finding,) = (f for f in findings_of(job) if f.screen == GOLD)
    assert "or go by a pre-mix" in finding.do


def test_too_little_to_mix_from() -> None:
    (finding,) = findings_of(job_of())
    assert (finding.severity, finding.kind) == ("at risk", "not enough to mix from")
    assert finding.what.startswith("rust: ")
    assert finding.what.endswith(" g for finch red, 1 g in stock.")


def test_an_ink_as_it_comes_is_told_of_by_who_reckons_it() -> None:
    """Too little of it in stock is no finding of mixing too."""
    shop = Shop.model_validate_json('{"inks": [{"name": "straw", "in_stock": "1 g"}]}')
    job = make_job(REGIONS, inks={RED: "straw", GOLD: "straw"}, shop=shop)
    assert findings_of(job) == []


def test_an_ink_that_is_used_as_it_comes_and_as_a_part() -> None:
    """What both take counts against one stock; what only one takes doesn't."""
    recipe = {"ink": "pink", "by": "mass", "parts": {"straw": 9, "rust": 1}}
    component = [{"name": "rust"}]

    def shorts(stock_g: float) -> list[Finding]:
        listed = [{"name": "straw", "in_stock": f"{stock_g} g"}, {"name": "pink"}]
        job = job_of(inks={RED: "pink", GOLD: "straw"}, recipe=[recipe], component=component)
        return findings_of(
            replace(job, shop=Shop.model_validate({"balance": FINE, "inks": listed}))
        )

    job = job_of(inks={RED: "pink", GOLD: "straw"}, recipe=[recipe], component=component)
    to_mix = {mix.ink: mix.to_mix_g for mix in ask_of(job)(InkOnScreens).inks}
    needed_g = to_mix["straw"] + 0.9 * to_mix["pink"]
    assert shorts(needed_g + 0.1) == []
    (finding,) = shorts(needed_g - 1.0)
    assert needed_g - 1.0 > max(to_mix.values())
    assert finding.kind == "not enough to mix from"
    assert finding.what.startswith("straw: ")
    assert " for pink and straw, " in finding.what


def test_a_batch_larger_than_all_pots() -> None:
    job = job_of(pots=["40 ml"], pot_full="50 %", component=MIX["component"][:1], recipe=())
    to_mix = {mix.ink: mix for mix in ask_of(job)(InkOnScreens).inks}["straw"]
    count = -(-to_mix.to_mix_g / to_mix.density_g_per_ml.value // 20)
    (finding,) = (f for f in findings_of(job) if f.screen == GOLD)
    assert (finding.severity, finding.kind) == ("note", "batch larger than the pots")
    assert f"takes {count:.0f} pots of 40 ml" in finding.what
    table = _table(sections_of(job)[GOLD].blocks)
    assert _grams(table.rows[0][1]) == pytest.approx(to_mix.to_mix_g / count, abs=0.006)
    assert "stir all together" in table.caption


def test_an_order_of_several_set_ups_is_mixed_once() -> None:
    """Two set-ups of one ink: its amount over both, and a reference on each screen's page."""
    job = job_of(wanted(retarder="2 %"), OrderInk(enough_at=0.9))
    order = job.order.model_copy(
        update={
            "garment": (
                *job.order.garment,
                job.order.garment[0].model_copy(update={"colour": "#000000"}),
            )
        }
    )
    light = replace(job, order=order)
    dark = replace(light, setup=replace(job.setup, key="dark", shade="dark"))
    session = Session(Plugins([Plugin("ink", prep_ink, "firstpull")]))
    for section in sections_of(light).values():
        (figures,) = section.blocks
        assert isinstance(figures, Figures)
        assert "once for the whole order" in figures.rows[0][2]
    short, elsewhere = prep_findings(light, session.ask_for(light))
    assert (short.severity, short.kind) == ("at risk", "not enough to mix from")
    assert (elsewhere.severity, elsewhere.kind) == ("note", "mixed for the whole order")
    assert elsewhere.what.startswith("finch red and straw: doses, pots and stock ")
    section, why = prep_order_sections((light, dark), session.ask_for)
    assert (section.chapter, why.chapter) == ("job", "why")
    table = _table(section.blocks)
    forecasts = [(one, session.ask_for(one)(InkOnScreens)) for one in (light, dark)]
    from prep_ink.answers import over_all

    amounts = [f"{mix.to_mix_g:.2f} g" for mix in over_all(forecasts)]
    assert [row[2] for row in table.rows if row[1] == "in all"] == amounts
    assert [row[0] for row in table.rows if row[0]] == ["finch red", "straw"]
    assert any(
        block.text.startswith("rust: ") for block in section.blocks if isinstance(block, Paragraph)
    )


def test_a_dose_too_small_for_one_of_several_set_ups_is_a_note() -> None:
    """All of them together may be enough."""
    job = job_of(wanted(retarder="2 %"), readability_g=1.0, recipe=())
    other = job.order.garment[0].model_copy(update={"colour": "#000000"})
    order = job.order.model_copy(update={"garment": (*job.order.garment, other)})
    found = findings_of(replace(job, order=order))
    *small, last = found
    assert {(f.severity, f.kind) for f in small} == {("note", "dose too small to weigh")}
    assert all(
        "mixed for this set-up alone; it is mixed for the whole order, see its page" in f.what
        for f in small
    )
    assert last.kind == "mixed for the whole order"
    # inks as they come, and no pots to fill: nothing is looked at that the order's page could change
    plain = job_of(recipe=())
    assert findings_of(replace(plain, order=order)) == []


def test_more_pots_than_one_are_a_note_of_one_set_up() -> None:
    job = job_of(pots=["40 ml"], pot_full="50 %", component=MIX["component"][:1], recipe=())
    other = job.order.garment[0].model_copy(update={"colour": "#000000"})
    order = job.order.model_copy(update={"garment": (*job.order.garment, other)})
    kinds = [f.kind for f in findings_of(replace(job, order=order))]
    assert kinds == ["batch larger than the pots"] * 2 + ["mixed for the whole order"]


def test_pots_that_can_not_be_told() -> None:
    """An additive by mass needs no density to be weighed, but its volume is part of the pot's."""
    job = job_of(wanted(retarder=0.02), pots=["500 ml"], recipe=())
    (note,) = (f for f in findings_of(job) if f.screen == GOLD)
    said = (
        "hich pots it takes can't be told: no density is known of retarder; write it into"
        " [[mix.additive]] of shop.toml."
    )
    assert (note.severity, note.kind) == ("note", "pots can't be told")
    assert note.what == f"straw: w{said}"
    assert f"W{said}" in _table(sections_of(job)[GOLD].blocks).caption
    assert findings_of(job_of(pots=["500 ml"], recipe=())) == []
    assert findings_of(job_of(wanted(retarder=0.02), recipe=())) == []


def test_without_the_plugin_that_reckons_ink(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is known to be mixed: said so, whether it is left out or not installed."""
    for hook in (prep_sections, prep_findings):
        with pytest.raises(Unanswered, match="how much to mix isn't known, as nobody answers"):
            list(hook(job_of(), make_ask({})))
        with pytest.raises(SettingsError, match="there is no additive"):
            list(hook(job_of(wanted(softener="2 %")), make_ask({})))
    monkeypatch.setitem(sys.modules, "prep_ink.answers", None)
    for hook in (prep_sections, prep_findings):
        with pytest.raises(Unanswered, match="how much to mix isn't known"):
            list(hook(job_of(), make_ask({})))
    with pytest.raises(Unanswered, match="how much to mix isn't known"):
        list(prep_order_sections((job_of(),), lambda job: make_ask({})))


# --- through files -------------------------------------------------------------------------------

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40mm" height="20mm">'
    f'<rect width="20" height="20" fill="{RED}"/>'
    f'<rect x="20" width="20" height="20" fill="{GOLD}"/></svg>'
)
SHOP_TOML = """
[balance]
readability = "0.01 g"
[[mix.additive]]
name = "retarder"
of = "ink"
by = "mass"
most = "5 %"
[[mix.additive]]
name = "thinner"
density = "1 g/ml"
of = "mix"
by = "volume"
most = "60 %"
[[mix.component]]
name = "clear"
[[mix.recipe]]
ink = "finch red"
by = "mass"
parts = { clear = 1 }
additives = { retarder = "3 %" }
"""


@pytest.fixture
def order(tmp_path: Path) -> Path:
    (tmp_path / "a.svg").write_text(DRAWING, encoding="utf-8")
    (tmp_path / "shop.toml").write_text(SHOP_TOML, encoding="utf-8")
    return tmp_path / "order.toml"


def _order(said: str = "", of_colour: str = "") -> str:
    return (
        f"{said}\n[[print]]\nartwork = 'a.svg'\n"
        f"[[print.colour]]\nhex = '{RED}'\nink = 'finch red'\n{of_colour}\n"
    )


@pytest.mark.parametrize(
    ("said", "of_colour", "complaint"),
    [
        (
            "[mix]\nadditives = { softener = '2 %' }",
            "",
            'mix.additives.softener: there is no additive "softener"; there are retarder, thinner',
        ),
        (
            "[mix]\nadditives = { retarder = 'usual' }",
            "",
            "mix.additives.retarder: no usual share of retarder is stated",
        ),
        (
            "[mix]\nadditives = { retarder = '6 %' }",
            "",
            "above its maker's maximum of 5 % of the ink by mass; take",
        ),
        (
            "",
            "[print.colour.mix]\nadditives = { retarder = '5.5 %' }",
            f"colour.{RED}.mix.additives.retarder: 5.5 % of retarder is above its maker's maximum of"
            " 5 % of the ink by mass; take 5 % or less",
        ),
        ("[mix]\nadditives = { retarder = '2 % of it' }", "", '"2 % of it" is not a share'),
        (
            "[mix]\nadditive = 3",
            "",
            "mix.additive: there is no such key here; did you mean additives? additive belongs under",
        ),
        ("[mix]\nadditivs = { retarder = '2 %' }", "", "did you mean additives?"),
        (
            "[mix]\nrecipe = []",
            "",
            "mix.recipe: there is no such key here; it belongs under [shop.mix]",
        ),
        (
            "",
            "[print.colour.mix]\npots = ['1 l']",
            "there is no such key here; allowed here: additives",
        ),
    ],
)
def test_what_an_order_can_not_ask_for_is_told_in_one_line(
    order: Path,
    said: str,
    of_colour: str,
    complaint: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """With the file it was written in, and exit status 2."""
    order.write_text(_order(said, of_colour), encoding="utf-8")
    assert run(["check", str(order), "--width", "100 mm"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f"prep: {order}: ")
    assert complaint in line


@pytest.mark.parametrize("said", ["", "[mix]\nadditives = { retarder = '1 %' }"])
@pytest.mark.parametrize(
    "typed", ["mix.additives.softener=2 %", f"colour.{RED}.mix.additives.softener=2 %"]
)
def test_what_was_typed_is_named(
    order: Path, said: str, typed: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Also where it is laid over a table that the order wrote."""
    order.write_text(_order(said), encoding="utf-8")
    assert run(["check", str(order), "--width", "100 mm", "--set", typed]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f'prep: --set {typed}: there is no additive "softener"; ')


@pytest.mark.parametrize("command", ["ink", "plan"])
def test_commands_that_only_ask_for_ink_refuse_alike(
    order: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With what was typed, or the file."""
    order.write_text(_order(), encoding="utf-8")
    typed = "mix.additives.retarder=9%"
    assert run([command, str(order), "--width", "100 mm", "--set", typed]) == 2
    complaint = capsys.readouterr().err.splitlines()[-1]
    assert complaint.startswith(f"prep: --set {typed}: ")
    assert "above its maker's maximum of 5 %" in complaint
    order.write_text(_order("[mix]\nadditives = { softener = '2 %' }"), encoding="utf-8")
    assert run([command, str(order), "--width", "100 mm"]) == 2
    complaint = capsys.readouterr().err.splitlines()[-1]
    assert complaint.startswith(f"prep: {order}: mix.additives.softener: there is no additive")


def test_a_shop_that_can_not_be_is_named_for_a_job_too(
    order: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    order.write_text(_order(), encoding="utf-8")
    shop = order.parent / "shop.toml"
    shop.write_text(SHOP_TOML.replace("{ clear = 1 }", "{ claer = 1 }"), encoding="utf-8")
    assert run(["check", str(order), "--width", "100 mm"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f"prep: {shop}: mix.recipe[1].parts: ")
    assert 'a part that isn\'t known, "claer"; there are clear; or add it' in line


def test_what_is_in_force_is_read_again(order: Path) -> None:
    """Recipes, additives and wishes survive being written into the job's order.toml."""
    order.write_text(
        _order(
            "[mix]\nadditives = { thinner = '2 %' }",
            "[print.colour.mix]\nadditives = { retarder = '1 %' }",
        ),
        encoding="utf-8",
    )
    with open_line(Request(order)) as line:
        text = line.loaded.in_force()
        before = line.loaded.chosen_for(line.setups[0])
    again = order.parent / "again.toml"
    again.write_text(text, encoding="utf-8")
    with open_line(Request(again, shop=order.parent / "shop.toml")) as line:
        after = line.loaded.chosen_for(line.setups[0])
    assert before.get(MixShop) == after.get(MixShop)
    assert before.get(MixOrder) == after.get(MixOrder)
    assert before.get(MixColour, RED) == after.get(MixColour, RED)
    assert before.get(MixOrder).additives == {"thinner": 0.02}


def test_two_prints_of_one_ink_can_not_ask_for_two_mixes(
    order: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Told by the check of the first set-up, not only where the whole order is made."""
    thinner = "[print.colour.mix]\nadditives = {{ thinner = '{}' }}"

    def written(back: str) -> str:
        colour = f"[[print.colour]]\nhex = '{GOLD}'\nink = 'finch red'\n{thinner.format(back)}\n"
        front = _order(of_colour=thinner.format("2 %"))
        garment = "[[garment]]\nsizes = { M = 12 }\n"
        return f"{front}\n[[print]]\nplace = 'back'\nartwork = 'a.svg'\n{colour}{garment}"

    shop = order.parent / "shop.toml"
    bare = SHOP_TOML.replace('name = "clear"', 'name = "clear"\ndensity = "1 g/ml"')
    bare = bare.replace('most = "5 %"', 'most = "5 %"\ndensity = "1 g/ml"')
    shop.write_text(bare, encoding="utf-8")
    order.write_text(written("2 %"), encoding="utf-8")
    assert run(["check", str(order)]) in (0, 1)
    capsys.readouterr()
    order.write_text(written("3 %"), encoding="utf-8")
    assert run(["check", str(order)]) == 2
    line = capsys.readouterr().err.splitlines()[-1]
    assert line.startswith(
        f"prep: {order}: colour.{GOLD}.mix.additives.thinner: finch red is mixed once"
    )
    assert f"2 % of thinner for {RED}" in line
    assert f"3 % of thinner for {GOLD} on the back" in line


def test_the_plugin_is_announced() -> None:
    assert prep_mix.prep_settings().shop is MixShop


def test_a_dose_the_balance_shows_as_nothing_is_no_target() -> None:
    """2 % of some 100 g are less than half a step of 10 g: none would go in, and the mix would fail."""
    job = job_of(wanted(fixer="2 %"), readability_g=10.0, recipe=())
    rows = {row[0]: row[1] for row in _table(sections_of(job)[GOLD].blocks).rows}
    assert rows["fixer"] == "can't be weighed here"
    found = [f for f in findings_of(job) if f.kind == "dose too small to weigh"]
    assert {f.severity for f in found} == {"will fail"}
    for one in found:
        assert "of fixer the balance shows nothing, so that none would go in" in one.what
        assert "g or more at once" in one.do


def test_what_is_left_of_a_pre_mix_with_a_cross_linker() -> None:
    """Never kept, so that it is told how much is thrown away."""
    job = job_of(wanted(fixer="2 %"), readability_g=0.2, recipe=())
    captions = [_table(section.blocks).caption for section in sections_of(job).values()]
    assert len(captions) == 2
    for caption in captions:
        assert "Pre-mix for fixer: what is left, " in caption
        assert "throw it away with the mix." in caption


def test_ounces_stand_in_the_head_of_their_column() -> None:
    """So that a cell holds two figures and doesn't wrap."""
    job = job_of(readability_g=0.01 * 28.349523125)
    to_mix = {mix.ink: mix.to_mix_g for mix in ask_of(job)(InkOnScreens).inks}
    table = _table(sections_of(job)[GOLD].blocks)
    assert table.head == ("To weigh", "Target, oz by weight (g)", "Weighed")
    ounces, grams = table.rows[0][1].rstrip(")").split(" (")
    assert float(ounces) == pytest.approx(to_mix["straw"] / 28.349523125, abs=0.006)
    assert float(grams) == pytest.approx(to_mix["straw"], abs=0.6)
    read_in_ounces = replace(job_of(), shop=Shop(units="inch", balance=job_of().shop.balance))
    table = _table(sections_of(read_in_ounces)[GOLD].blocks)
    assert table.head[1] == "Target, g (oz by weight)"


def test_the_table_of_screens_names_what_is_added() -> None:
    """Additive and share beside the screen whose ink has it, a plain ``none`` beside the other."""
    job = job_of(colours={RED: {"retarder": "4 %"}})
    cells = {key: dict(s.columns[0].cells)[key] for key, s in sections_of(job).items()}
    assert cells == {RED: "retarder 4 %", GOLD: "none"}
    assert {s.columns[0].head for s in sections_of(job).values()} == {"Additive"}
