"""What goes into a price, from answers made by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from shapely import box

from prep.errors import SettingsError
from prep.order import Garment
from prep.sections import Paragraph, Section, Table
from prep.shop import Ink, Shop
from prep.testing import make_job, reckoned
from prep_ink.settings import OrderInk
from prep_price.changes import more_of, spare
from prep_price.costs import Cost
from prep_price.items import cost_of
from prep_price.settings import Other, Price
from prep_price.sheet import order_sections_of, sections_of
from prep_price.why import worked
from prep_price.wording import blocks
from tests.plugins.price.made import RED, TEAL, asked, drawn, flat, ink_to_mix, job_of, work_plan

PRICES = Price(
    currency="EUR",
    hour=20.0,
    garments=3.0,
    ink={"teal": 40.0},
    ink_per_kg=30.0,
    film_per_m=5.0,
    screen=1.5,
    wear_per_pull=0.01,
    other=(Other(what="label", each=0.25), Other(what="carton", once=6.0)),
)
NONE_SPOILT = OrderInk(spoilage=0.0)


def priced(*, price: Price = PRICES, ink: OrderInk = NONE_SPOILT, **changed: Any) -> Cost:
    return cost_of(asked(job_of([price, ink]), **changed))


def test_the_sum_by_hand() -> None:
    """20 shirts of two inks, none spoilt.

    Garments 20 × 3 = 60. Ink 60 + 4 + 3 = 67 g each: 67 × 0.040 + 67 × 0.030 = 4.69. Film 1.6 × 5 = 8.
    Screens 2 × 1.5 = 3. Strokes 25 × 2 + 25 × 2 = 100: 1. Work 5 × 20 = 100. Other 20 × 0.25 + 6 = 11.
    """
    cost = priced()
    assert {part: round(costs.value, 9) for part, costs in cost.parts.items()} == {
        "garments": 60.0,
        "ink": 4.69,
        "film": 8.0,
        "screens": 3.0,
        "wear": 1.0,
        "work": 100.0,
        "other": 11.0,
    }
    total, each = cost.total, cost.per_shirt
    assert total is not None
    assert each is not None
    assert total.value == pytest.approx(187.69)
    assert total.low == pytest.approx(187.69)
    assert total.high == pytest.approx(187.69)
    assert each.value == pytest.approx(187.69 / 20)
    assert cost.shares["work"].value == pytest.approx(100.0 / 187.69)
    assert cost.complete


def test_a_mix_that_does_not_keep_is_priced_whole() -> None:
    """80 g are mixed; where 90 + 8 + 4 + 3 = 105 g are needed, more is."""
    pot = ink_to_mix("teal", pot_life_s=3600.0)
    thirsty = ink_to_mix("red", pot_life_s=3600.0, for_run_g=flat(90.0, "g"))
    cost = priced(inks=(pot, thirsty))
    inks = [item for item in cost.items if item.part == "ink"]
    assert [item.amount.value for item in inks] == [80.0, 105.0]
    assert cost.parts["ink"].value == pytest.approx(80 * 0.040 + 105 * 0.030)
    assert "thrown away" in inks[0].what


def test_spoilt_garments_are_bought_again() -> None:
    """5 % of 20 are one in the mean, at 3 each; up to 2 in nine draws of ten (binomial: 0.925)."""
    cost = priced(ink=OrderInk(spoilage=0.05))
    bought = cost.parts["garments"]
    assert bought.value == pytest.approx(63.0)
    assert (bought.low, bought.high) == (60.0, 66.0)


def test_each_garment_has_its_own_price() -> None:
    """A name in the table goes before the price of all others."""
    job = job_of([Price(garment={"tee": 3.0, "apron": 9.0}, garments=4.0), NONE_SPOILT])
    order = job.order.model_copy(
        update={
            "garment": (
                Garment(name="tee", sizes={"M": 6, "L": 4}),
                Garment(name="bag", sizes={"one size": 5}),
            )
        }
    )
    batch = job.setup.batches[0]
    setup = replace(
        job.setup,
        batches=(
            replace(batch, garment="tee", sizes=(("M", 6), ("L", 4))),
            replace(batch, garment="bag", sizes=(("one size", 5),)),
        ),
    )
    cost = cost_of(asked(replace(job, order=order, setup=setup)))
    assert cost.parts["garments"].value == 10 * 3.0 + 5 * 4.0
    assert cost.shirts == 15


def test_a_garment_priced_by_another_name_is_told() -> None:
    """Which of the two is mistyped nobody knows; one that has its own price isn't spoken of."""
    assert priced().notes == ()
    job = job_of([PRICES, NONE_SPOILT])
    (name,) = {garment.name for garment in job.order.garment}
    own = PRICES.model_copy(update={"garment": {name: 4.0, "hoodie": 9.0}})
    assert priced(price=own).notes == ()
    mistyped = PRICES.model_copy(update={"garment": {"hodie": 9.0}})
    (told,) = priced(price=mistyped).notes
    assert told.startswith(
        f'"{name}" is priced by price.garments: under price.garment shop.toml names "hodie".'
    )
    (told,) = priced(price=mistyped.model_copy(update={"garments": None})).notes
    assert told.startswith(f'"{name}" isn\'t priced: ')


def test_additives_are_said_to_be_priced_as_their_ink() -> None:
    (table,) = [
        block
        for block in blocks(priced(), "EUR")
        if isinstance(block, Table) and block.head[0] == "What goes in"
    ]
    assert "Additives are priced as the ink that they go into." in table.caption


def test_what_has_no_price_is_listed_with_its_key() -> None:
    """An hour's price alone: all else is used, and not priced."""
    cost = priced(price=Price(hour=20.0))
    assert list(cost.parts) == ["work"]
    assert {item.key for item in cost.unpriced} == {
        'price.garment."shirt" or price.garments',
        'price.ink."teal" or price.ink_per_kg',
        'price.ink."red" or price.ink_per_kg',
        "price.film_per_m",
        "price.screen",
        "price.wear_per_pull",
    }
    assert not cost.complete


def test_what_nobody_reckons_is_said() -> None:
    """Without hours and films these lack, with the reason; the rest is priced all the same."""
    cost = priced(plan=None, film=None)
    assert [(one.part, one.why) for one in cost.lacking] == [
        ("film", "Nobody answers FilmSheets."),
        ("work", "Nobody answers WorkPlan."),
    ]
    assert "garments" in cost.parts
    assert "work" not in cost.parts
    assert not cost.complete


def test_spoilt_garments_without_the_plugin_that_counts_them() -> None:
    job = replace(job_of([PRICES]), without=("ink",))
    assert [one.what for one in cost_of(asked(job)).lacking] == ["garments spoilt"]


def test_what_the_hours_lack_is_told_once() -> None:
    plan = work_plan(flat(5.0, "h"), lacking=("Films aren't in these hours.",))
    assert priced(plan=plan).notes == ("Films aren't in these hours.",)


def test_a_price_of_an_ink_that_the_shop_does_not_list_is_refused() -> None:
    """A shop that lists its inks names them all; one that lists none prices what it likes."""
    shop = Shop(inks=(Ink(name="teal"), Ink(name="red")))
    price = Price(ink={"taal": 40.0})
    job = make_job({TEAL: box(0, 0, 40, 30)}, shop=shop, tables=[price])
    with pytest.raises(SettingsError, match='price.ink.taal: the shop lists inks, and no "taal"'):
        cost_of(asked(job))
    cost_of(asked(job_of([price])))


def test_the_interval_is_that_of_a_simulation() -> None:
    """200,000 worlds drawn by another generator, all apart, against the 512 draws.

    Hours 5 (4 to 7) and ink 60 g (30 to 130): lognormal on each side of the median; spoilt binomial.
    """
    hours, ink = drawn("test.hours", "h", 5.0, 4.0, 7.0), drawn("test.ink", "g", 60.0, 30.0, 130.0)
    mix = ink_to_mix("teal", for_run_g=ink)
    price = Price(hour=20.0, garments=3.0, ink_per_kg=300.0)
    job = job_of([price, OrderInk(spoilage=0.06)], shirts=150)
    total = cost_of(asked(job, inks=(mix,), plan=work_plan(hours))).total
    worlds = np.random.default_rng(20_260_104)
    count = 200_000

    def sided(value: float, low: float, high: float) -> Any:
        z = worlds.standard_normal(count) / 1.2815515655446004
        return value * np.where(z > 0, high / value, value / low) ** z

    simulated = (
        20.0 * sided(5.0, 4.0, 7.0)
        + 0.3 * (sided(60.0, 30.0, 130.0) + 7.0)
        + 3.0 * (150 + worlds.binomial(150, 0.06, count))
    )
    assert total is not None
    assert total.low == pytest.approx(np.quantile(simulated, 0.1), rel=0.005)
    assert total.high == pytest.approx(np.quantile(simulated, 0.9), rel=0.005)
    assert total.draws.mean() == pytest.approx(simulated.mean(), rel=0.002)


def test_figures_behind_the_page_come_out_by_hand() -> None:
    """Each formula with its values gives the figure; the last is the price of one shirt."""
    cost = priced(ink=OrderInk(spoilage=0.05))
    figures = list(worked(cost, PRICES))
    assert len(figures) == 10 + 7 + 2  # things used, parts, total and one shirt
    for figure in figures:
        assert reckoned(figure) == pytest.approx(figure.value, rel=1e-4)
    assert cost.per_shirt is not None
    assert figures[-1].value == cost.per_shirt.value


def test_the_job_page_tells_of_prices_only_where_some_are_stated() -> None:
    """Without prices only how to state them, not on paper; with some, what it costs and why."""
    (silent,) = asked(job_of([Price(currency="EUR")]))
    (hint,) = sections_of(*silent)
    assert hint.chapter == "why"
    assert "State hour under [price] in shop.toml" in _text(hint)
    (said,) = asked(job_of([PRICES]))
    page, why = sections_of(*said)
    assert (page.title, page.chapter, why.chapter) == ("What it costs", "job", "why")
    text = _text(page)
    assert "Each of 20 good shirts" in text
    assert "EUR" in text
    assert "taxes, law" in text
    assert "Not priced" not in text


def test_a_page_with_nothing_that_is_used_priced_says_so() -> None:
    """A price of garments that this order has none of."""
    page = next(order_sections_of(asked(job_of([Price(garment={"apron": 9.0})]))))
    text = _text(page)
    assert "No price is stated that anything here is reckoned by" in text
    assert "Not priced: hours of work. State price.hour in shop.toml." in text


def test_set_ups_of_a_larger_order_leave_costs_to_the_page_over_all() -> None:
    job = job_of([PRICES])
    second = job.order.print[0].model_copy(update={"place": "back"})
    order = job.order.model_copy(update={"print": (*job.order.print, second)})
    front = replace(job, order=order)
    back = replace(front, setup=replace(job.setup, key="back", name="back", place="back"))
    both = [one for of in (front, back) for one in asked(of)]
    assert list(sections_of(*both[0])) == []
    page = next(order_sections_of(both))
    assert "Each of 20 good shirts" in _text(page)
    cost = cost_of(both)
    assert cost.parts["garments"].value == pytest.approx(3.0 * (20 + 2 * 20 * 0.03))
    assert cost.parts["screens"].value == 4 * 1.5
    assert cost.parts["film"].value == pytest.approx(2 * 8.0)


def test_the_colour_to_spare_prints_least_and_goes_to_the_nearest() -> None:
    """Orange prints least; red is nearer to it than teal. What is printed as orange goes along."""
    colours = {TEAL: box(0, 0, 40, 30), RED: box(50, 0, 80, 30), "#dd6622": box(90, 0, 95, 9)}
    spared = spare([make_job(colours)])
    assert spared is not None
    assert (spared.colour, spared.printed_as) == ("#dd6622", RED)
    assert spared.pairs == (("#dd6622", RED),)
    assert spare([make_job({TEAL: box(0, 0, 40, 30)})]) is None


def test_a_colour_that_the_base_prints_has_no_screen_to_spare() -> None:
    """White prints least, but from the screen that lies under red too: red is the one."""
    job = make_job({"#ffffff": box(0, 0, 5, 5), RED: box(50, 0, 80, 30)})
    base, red = job.screens
    job = replace(job, screens=(replace(base, key="base", does="base"), red))
    spared = spare([job])
    assert spared is not None
    assert spared.pairs == ((RED, "#ffffff"),)


def test_a_colour_is_spared_only_where_another_is_printed_wherever_it_is() -> None:
    """Red prints least, but on the sleeve it is alone: teal, which red goes with, is the one."""
    front = make_job({TEAL: box(0, 0, 40, 30), RED: box(50, 0, 51, 30)})
    sleeve = make_job({RED: box(0, 0, 2, 2)})
    spared = spare([front, sleeve])
    assert spared is not None
    assert (spared.colour, spared.printed_as) == (TEAL, RED)


def test_more_shirts_keep_the_share_of_each_size() -> None:
    order = job_of([]).order.model_copy(
        update={
            "garment": (
                Garment(name="tee", sizes={"S": 8, "M": 16}),
                Garment(name="bag", sizes={"one size": 24}),
            )
        }
    )
    assert more_of(order, 48) == ((0, "S", 16), (0, "M", 32), (1, "one size", 48))


def _text(section: Section) -> str:
    told: list[str] = []
    for block in section.blocks:
        if isinstance(block, Table):
            told += [cell for row in (block.head, *block.rows) for cell in row]
            told.append(block.caption)
        elif isinstance(block, Paragraph):
            told.append(block.text)
    return " ".join(told)
