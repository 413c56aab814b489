"""Shares, batches, balance, pre-mixes, ounces and pots, apart from any shop."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from prep.ounces import GRAMS_PER_OUNCE, ML_PER_US_FLUID_OUNCE
from prep.weighing import least_dose_g
from prep_mix.batch import (
    Added,
    Mixture,
    Part,
    TooMuchIn,
    by_volume,
    density_of,
    reckon,
    total_of_volume,
)
from prep_mix.pots import potted
from prep_mix.premix import error_of, pre_mix
from prep_mix.shares import (
    Dosed,
    Ink,
    NoDensity,
    NoInkLeft,
    masses,
    share_in,
)
from prep_mix.wording import Units, rounded

FINE_G = 1e-9
"""Steps of a balance that rounds nothing worth mentioning."""


def one_additive(share: float, of: str = "ink", by: str = "mass", *, most: float = 1.0) -> Mixture:
    dosed = Dosed("retarder", share, of, by, 1.036)
    return Mixture(Ink("red", 1.06), (Part("red", 1.0, 1.06),), (Added(dosed, most),))


# --- worked by hand ------------------------------------------------------------------------------


def test_a_share_of_the_ink_in_ounces():
    """2.5 % of 7.04 oz of ink: 7.04 × 0.025 = 0.176 oz = 4.990 g; 7.04 oz = 199.581 g."""
    ink_g = 7.04 * GRAMS_PER_OUNCE
    batch = reckon(one_additive(0.025), ink_g * 1.025, FINE_G, 0.05)
    assert ink_g == pytest.approx(199.581, abs=5e-4)
    assert batch.ink_g == pytest.approx(ink_g)
    assert batch.row("retarder").mass_g == pytest.approx(4.990, abs=5e-4)
    assert batch.row("retarder").mass_g / GRAMS_PER_OUNCE == pytest.approx(0.176)


def test_the_same_share_of_the_mix():
    """7.04 × 0.025 / 0.975 = 0.1805 oz; and 0.176 oz are 0.025 / 1.025 = 2.439 % of the mix."""
    total = 7.04 / 0.975
    ink, (additive,) = masses(total, Ink("red"), [Dosed("retarder", 0.025, "mix", "mass")])
    assert (ink, additive) == (pytest.approx(7.04), pytest.approx(0.1805, abs=5e-5))
    of_mix = Dosed("retarder", 0.0, "mix", "mass")
    assert share_in(of_mix, 0.176, Ink("red"), 7.04, ()) == pytest.approx(0.02439, abs=5e-6)


@pytest.mark.parametrize(
    ("step", "dose", "points"), [(1.0, 8.2, 0.195), (0.1, 0.82, 0.0195), (0.01, 0.082, 0.00195)]
)
def test_errors_by_the_balance(step, dose, points):
    """4.99 g into 199.6 g; one sigma of the dose in %, of the share of 2.439 % in points.

    A rectangular spread of one step has the deviation 1 / sqrt(12) of it; a dose is two readings.
    """
    batch = reckon(one_additive(0.025), 199.581 * 1.025, step, 0.5)
    row = batch.row("retarder")
    assert 100 * row.error / 2 == pytest.approx(dose, rel=0.01)
    assert 100 * row.share == pytest.approx(2.439, abs=5e-4)
    assert 100 * row.share_error == pytest.approx(points, rel=0.01)


def test_a_balance_of_a_tenth_of_an_ounce():
    """Of 0.176 oz it shows 0.1 or 0.2, which is 1.42 or 2.84 % of 7.04 oz: refused; 0.01 oz will do.

    0.2 / 7.04 = 2.84 %; the error of 0.176 oz on 0.01 oz is 0.408 × 0.01 / 0.176 = 2.3 %.
    """
    ink_g = 7.04 * GRAMS_PER_OUNCE
    coarse = reckon(one_additive(0.025), ink_g * 1.025, 0.1 * GRAMS_PER_OUNCE, 0.05)
    (small,) = coarse.too_small
    assert small.name == "retarder"
    assert coarse.row("retarder").weigh_g / GRAMS_PER_OUNCE == pytest.approx(0.2)
    assert pytest.approx(0.0284, abs=5e-5) == 0.2 / 7.04
    fine = reckon(one_additive(0.025), ink_g * 1.025, 0.01 * GRAMS_PER_OUNCE, 0.05)
    assert fine.too_small == ()
    assert fine.row("retarder").error / 2 == pytest.approx(0.023, abs=5e-4)
    assert fine.row("retarder").weigh_g / GRAMS_PER_OUNCE == pytest.approx(0.18)


@pytest.mark.parametrize(("step", "ink_g"), [(1.0, 653.2), (0.1, 65.32), (0.01, 6.532)])
def test_the_smallest_batch(step, ink_g):
    """For 2.5 % of the ink to 5 % at two sigma: 2 × 0.408 step / 0.05 / 0.025 = 653 steps of ink."""
    (small,) = reckon(one_additive(0.025), 100 * step, step, 0.05).too_small
    assert small.least_batch_g == pytest.approx(ink_g * 1.025, abs=step)
    assert small.least_batch_g >= 2 * step / math.sqrt(6) / 0.05 / 0.025 * 1.025
    assert reckon(one_additive(0.025), small.least_batch_g, step, 0.05).too_small == ()
    (still,) = reckon(one_additive(0.025), small.least_batch_g - step, step, 0.05).too_small
    assert still.name == "retarder"


def test_a_volume_is_no_mass():
    """250 ml at 1.06 g/ml: 265.0 g = 9.348 oz by weight, and 8.454 US fluid ounces."""
    mixture = Mixture(Ink("red", 1.06), (Part("red", 1.0, 1.06),))
    total = total_of_volume(250.0, mixture)
    assert total == pytest.approx(265.0)
    assert total / GRAMS_PER_OUNCE == pytest.approx(9.348, abs=5e-4)
    assert pytest.approx(8.454, abs=5e-4) == 250.0 / ML_PER_US_FLUID_OUNCE


def test_dosing_by_volume():
    """2.5 % v/v of 200 ml: 5 ml × 1.036 = 5.18 g, on 200 × 1.06 = 212 g: 2.443 % by mass."""
    batch = reckon(one_additive(0.025, by="volume"), 212.0 + 5.18, FINE_G, 0.05)
    row = batch.row("retarder")
    assert (row.mass_g, row.volume_ml) == (pytest.approx(5.18), pytest.approx(5.0))
    assert row.mass_g / batch.ink_g == pytest.approx(0.02443, abs=5e-6)
    assert batch.volume_ml == pytest.approx(205.0)


@pytest.mark.parametrize(("share", "solids"), [(0.025, 37.07), (0.05, 36.19)])
def test_what_an_additive_thins(share, solids):
    """38 % of an ink is 38 / (1 + p) % of the mix."""
    thinned = Mixture(
        Ink("red"),
        (Part("water", 0.62), Part("solids", 0.38)),
        (Added(Dosed("retarder", share, "ink", "mass"), 0.05),),
    )
    assert 100 * reckon(thinned, 300.0, FINE_G, 0.05).row("solids").share == pytest.approx(
        solids, abs=5e-3
    )


def test_what_is_in_counts_against_the_maximum():
    """5 % of 200 g are 10 g; with 2.5 % (5 g) in, 5.0 g more are allowed."""
    batch = reckon(one_additive(0.05, most=0.05), 210.0, 0.1, 0.05, already_g={"retarder": 5.0})
    assert batch.row("retarder").weigh_g == 5.0
    assert batch.row("retarder").in_mix_g == 10.0
    # 11 g are above it by themselves: 5 % of 220 g of ink
    with pytest.raises(TooMuchIn) as much:
        reckon(one_additive(0.05, most=0.05), 210.0, 0.1, 0.05, already_g={"retarder": 11.0})
    assert much.value.least_batch_g == pytest.approx(231.0)


def test_errors_add_in_quadrature():
    """Area 2 %, deposit 30 %, density 2 %: 30.1 %; the largest decides. So a pre-mix's weighings."""
    assert math.hypot(0.02, 0.30, 0.02) == pytest.approx(0.301, abs=5e-4)
    # 5 g and 45 g, 5 g of it taken, each to 0.05 g: sqrt(0.9² (0.01² + 0.0011²) + 0.01²)
    assert error_of(5.0, 45.0, 5.0, 0.05) == pytest.approx(0.01349, abs=1e-5)


# --- additives together --------------------------------------------------------------------------

SHARES = st.floats(0.0, 0.2)
KINDS = st.tuples(st.sampled_from(["ink", "mix"]), st.sampled_from(["mass", "volume"]))
DENSITIES = st.floats(0.8, 1.6)


@st.composite
def mixtures(draw: st.DrawFn) -> Mixture:
    weights = draw(st.lists(st.floats(0.01, 100.0), min_size=1, max_size=6))
    parts = tuple(
        Part(f"part {i}", weight / sum(weights), draw(DENSITIES))
        for i, weight in enumerate(weights)
    )
    added = tuple(
        Added(Dosed(f"additive {i}", draw(SHARES), of, by, draw(DENSITIES)), 1.0)
        for i, (of, by) in enumerate(draw(st.lists(KINDS, max_size=4)))
    )
    return Mixture(Ink("ink", density_of(parts)), parts, added)


@given(mixtures(), st.floats(5.0, 20_000.0))
def test_scaled_recipes_sum_to_the_batch_and_keep_their_shares(mixture, total_g):
    """Whatever additives share the pot: each has its share, reckoned back from the masses alone."""
    batch = reckon(mixture, total_g, FINE_G, 0.5)
    assert sum(row.mass_g for row in batch.rows) == pytest.approx(total_g)
    assert sum(row.share for row in batch.rows) == pytest.approx(1.0)
    for part in mixture.parts:
        assert batch.row(part.name).mass_g / batch.ink_g == pytest.approx(part.share)
    mass = {row.name: row.mass_g for row in batch.rows}
    volume = {row.name: row.volume_ml for row in batch.rows}
    ink = [part.name for part in mixture.parts]
    for one in mixture.added:
        held = mass if one.dosed.by == "mass" else volume
        whole = sum(held.values()) if one.dosed.of == "mix" else sum(held[name] for name in ink)
        assert held.get(one.dosed.name, 0.0) / whole == pytest.approx(one.dosed.share, abs=1e-9)


@given(mixtures(), st.floats(5.0, 20_000.0))
def test_a_batch_by_volume_has_that_volume(mixture, volume_ml):
    total = total_of_volume(volume_ml, mixture)
    assert reckon(mixture, total, FINE_G, 0.5).volume_ml == pytest.approx(volume_ml)


@given(st.floats(1e-6, 5.0), st.sampled_from(["mass", "volume"]), DENSITIES, DENSITIES)
def test_of_the_ink_and_of_the_mix_are_inverse(share, by, ink_density, density):
    """What a share of the ink comes to as one of the mix, p / (1 + p), gives the same masses."""
    ink = Ink("ink", ink_density)
    of_ink = Dosed("additive", share, "ink", by, density)
    ink_g, (additive_g,) = masses(100.0, ink, [of_ink])
    of_mix = Dosed("additive", 0.0, "mix", by, density)
    back = share_in(of_mix, additive_g, ink, ink_g, ())
    assert back == pytest.approx(share / (1 + share))
    again, (additive,) = masses(100.0, ink, [Dosed("additive", back, "mix", by, density)])
    assert (again, additive) == (pytest.approx(ink_g), pytest.approx(additive_g))


@given(mixtures(), st.floats(50.0, 5000.0), st.sampled_from([0.01, 0.1, 0.5, 1.0]))
def test_what_is_shown_is_on_the_balance_and_never_above_a_maximum(mixture, total_g, step):
    """Masses are whole steps that sum to the batch; maxima at the shares themselves are kept."""
    tight = Mixture(
        mixture.ink,
        mixture.parts,
        tuple(Added(one.dosed, max(one.dosed.share, 1e-6)) for one in mixture.added),
    )
    batch = reckon(tight, total_g, step, 0.5)
    for row in batch.rows:
        assert row.weigh_g / step == pytest.approx(round(row.weigh_g / step), abs=1e-6)
    assert batch.rows[-1].reading_g == pytest.approx(sum(row.weigh_g for row in batch.rows))
    assert batch.weighed_g == pytest.approx(total_g, abs=0.5 * step * (1 + 1e-6))
    mass = {row.name: row.in_mix_g for row in batch.rows}
    ink_g = sum(mass.get(part.name, 0.0) for part in tight.parts)
    for one in tight.added:
        others = [(o.dosed, mass.get(o.dosed.name, 0.0)) for o in tight.added if o is not one]
        share = share_in(one.dosed, mass.get(one.dosed.name, 0.0), tight.ink, ink_g, others)
        assert share <= one.most * (1 + 1e-6)


def off_by(batch, names=None):
    return max(abs(row.off) for row in batch.rows if names is None or row.name in names)


def test_parts_share_what_rounding_leaves():
    """Five parts of 18.4 steps, 92 in all: 18 each leave two, which are 8.7 % of one and 3.3 % of two."""
    mixture = Mixture(Ink("red"), tuple(Part(f"part {i}", 0.2) for i in range(5)))
    batch = reckon(mixture, 92.0, 1.0, 0.05)
    assert batch.too_small == ()
    assert sorted(row.weigh_g for row in batch.rows) == [18.0, 18.0, 18.0, 19.0, 19.0]
    assert off_by(batch) == pytest.approx(19 / 18.4 - 1)


def test_the_largest_takes_what_rounding_leaves_where_that_is_little():
    """60.4, 20.3 and 20.3 of 101 steps: 60, 20 and 20 leave one, 1 % of the largest."""
    shares = (60.4, 20.3, 20.3)
    mixture = Mixture(
        Ink("red"), tuple(Part(f"part {i}", mass / 101) for i, mass in enumerate(shares))
    )
    assert [row.weigh_g for row in reckon(mixture, 101.0, 1.0, 0.05).rows] == [61.0, 20.0, 20.0]


def test_the_whole_is_let_go_where_no_sharing_keeps_to_the_limit():
    """Twenty of 17.05 steps: 17 each are 340 of 341; one of 18 would be 5.6 % off, at a limit of 4.8 %."""
    mixture = Mixture(Ink("red"), tuple(Part(f"part {i}", 0.05) for i in range(20)))
    batch = reckon(mixture, 341.0, 1.0, 0.048)
    assert batch.too_small == ()
    assert {row.weigh_g for row in batch.rows} == {17.0}
    said = list(rounded(batch, Units(1.0, inch=False)))
    assert said == ["340 g are weighed in all, as the balance's steps keep the parts true."]
    assert reckon(mixture, 341.0, 1.0, 0.06).weighed_g == 341.0


@given(
    st.lists(st.floats(1.0, 3.0), min_size=2, max_size=8),
    st.floats(1.0, 4.0),
    st.sampled_from([0.1, 1.0, 0.1 * GRAMS_PER_OUNCE]),
    st.floats(0.02, 0.1),
)
def test_no_part_that_can_be_weighed_is_off_by_more_than_the_limit(weights, more, step, limit):
    """From the smallest batch up: rounding alone is at most half a step of 0.82 steps per limit."""
    parts = tuple(Part(f"part {i}", weight / sum(weights)) for i, weight in enumerate(weights))
    total_g = more * least_dose_g(step, limit) * sum(weights) / min(weights)
    batch = reckon(Mixture(Ink("red"), parts), total_g, step, limit)
    assert batch.too_small == ()
    assert off_by(batch) <= limit
    assert batch.weighed_g == pytest.approx(total_g, abs=0.5 * step * (len(parts) + 1))


def test_order_of_weighing():
    """The base, other parts from the largest, additives, and what starts a reaction last."""
    mixture = Mixture(
        Ink("red"),
        (Part("blue", 0.05), Part("clear", 0.8), Part("white", 0.15)),
        (
            Added(Dosed("cross-linker", 0.02, "mix", "mass"), 0.05, last=True),
            Added(Dosed("retarder", 0.02, "ink", "mass"), 0.05),
        ),
    )
    names = [row.name for row in reckon(mixture, 400.0, 0.01, 0.05).rows]
    assert names == ["clear", "white", "blue", "retarder", "cross-linker"]


def test_parts_by_volume():
    """1 ml at 1.0 and 1 ml at 1.5 g/ml: 1 and 1.5 by mass, together 2.5 g in 2 ml."""
    assert by_volume({"a": 1.0, "b": 1.0}, {"a": 1.0, "b": 1.5}) == {"a": 1.0, "b": 1.5}
    assert density_of([Part("a", 0.4, 1.0), Part("b", 0.6, 1.5)]) == pytest.approx(1.25)
    assert density_of([Part("a", 0.4, 1.0), Part("b", 0.6)]) is None


def test_a_part_of_nothing_is_not_weighed():
    mixture = Mixture(Ink("red"), (Part("clear", 1.0), Part("blue", 0.0)))
    assert [row.name for row in reckon(mixture, 100.0, 0.1, 0.05).rows] == ["clear"]


def test_more_in_the_pot_than_asked_for_is_kept_as_it_is():
    """8 g in 200 g of mix: over the 2 % of the ink asked for, under the 5 % allowed; 192 g of ink."""
    batch = reckon(one_additive(0.02, most=0.05), 200.0, 0.1, 0.05, already_g={"retarder": 8.0})
    assert batch.row("retarder").weigh_g == 0.0
    assert batch.row("red").weigh_g == 192.0


def test_a_share_of_the_whole_volume_beside_what_is_in_already():
    """10 ml of 100 ml: 8 g of it are in, so 20 g (20 ml) of another leave 70 ml of ink, 77 g."""
    mixture = Mixture(
        Ink("red", 1.1),
        (Part("red", 1.0, 1.1),),
        (
            Added(Dosed("thinner", 0.1, "mix", "volume", 0.8), 0.5),
            Added(Dosed("filler", 0.01, "ink", "mass", 1.0), 0.5),
        ),
    )
    batch = reckon(mixture, 77.0 + 8.0 + 20.0, FINE_G, 0.05, already_g={"filler": 20.0})
    assert batch.volume_ml == pytest.approx(100.0)
    assert batch.row("thinner").mass_g == pytest.approx(8.0)
    assert batch.row("red").mass_g == pytest.approx(77.0)


def test_more_in_the_pot_than_the_batch_can_hold():
    """12 g at 5 % of the ink need 240 g of it, so a mix of 252 g; 90 g at 90 % need 100 g."""
    with pytest.raises(TooMuchIn) as much:
        reckon(one_additive(0.02, most=0.05), 200.0, 0.1, 0.05, already_g={"retarder": 12.0})
    assert much.value.least_batch_g == pytest.approx(252.0)
    two = Mixture(Ink("red"), (Part("clear", 0.9), Part("blue", 0.1)))
    with pytest.raises(TooMuchIn) as much:
        reckon(two, 80.0, 0.1, 0.05, already_g={"clear": 90.0})
    assert much.value.least_batch_g == pytest.approx(100.0)


def test_what_can_not_be():
    with pytest.raises(NoInkLeft):
        reckon(
            Mixture(
                Ink("red"),
                (Part("red", 1.0),),
                tuple(Added(Dosed(n, 0.6, "mix", "mass"), 1.0) for n in ("a", "b")),
            ),
            100.0,
            0.1,
            0.05,
        )
    with pytest.raises(NoDensity, match="red, retarder"):
        masses(100.0, Ink("red"), [Dosed("retarder", 0.02, "ink", "volume")])


# --- chance --------------------------------------------------------------------------------------


def weighed(random: np.random.Generator, asked: float, step: float, count: int) -> np.ndarray:
    """What is really in, when a balance shows the asked mass net of a tare, many times."""
    tare = random.uniform(10.0, 20.0, count)
    # the true mass whose reading net of the tare's reading is the one asked for
    reading = np.round(tare / step) + round(asked / step)
    return reading * step + random.uniform(-0.5, 0.5, count) * step - tare


def test_errors_against_chance():
    """Four things weighed two hundred thousand times: errors of doses and of shares."""
    random, step, count = np.random.default_rng(11), 0.1, 200_000
    mixture = Mixture(
        Ink("red"),
        (Part("clear", 0.90), Part("white", 0.06), Part("blue", 0.04)),
        (Added(Dosed("retarder", 0.03, "ink", "mass"), 0.05),),
    )
    batch = reckon(mixture, 60.0, step, 0.05)
    in_pot = {row.name: weighed(random, row.weigh_g, step, count) for row in batch.rows}
    whole = sum(in_pot.values())
    for row in batch.rows:
        assert 2 * np.std(in_pot[row.name]) / row.mass_g == pytest.approx(row.error, rel=0.02)
        assert np.std(in_pot[row.name] / whole) == pytest.approx(row.share_error, rel=0.02)
        assert np.mean(in_pot[row.name]) == pytest.approx(row.weigh_g, abs=0.002)


def test_a_pre_mix_against_chance():
    """Additive and base weighed into a pre-mix, some of that into the rest of the base."""
    random, step, count = np.random.default_rng(12), 0.1, 200_000
    batch = reckon(one_additive(0.02), 60.0, step, 0.05, pre_mixed=True)
    row, base = batch.row("retarder"), batch.row("red")
    way = row.pre_mix
    assert way is not None
    own, carrier = (weighed(random, mass, step, count) for mass in (way.own_g, way.carrier_g))
    taken = weighed(random, way.shown_g, step, count)
    additive = taken * own / (own + carrier)
    ink = weighed(random, base.weigh_g, step, count) + taken - additive
    assert 2 * np.std(additive) / row.mass_g == pytest.approx(row.error, rel=0.03)
    assert np.std(additive / (additive + ink)) == pytest.approx(row.share_error, rel=0.03)
    assert 2 * np.std(ink) / base.mass_g == pytest.approx(base.error, rel=0.02)
    assert np.mean(additive) == pytest.approx(row.in_mix_g, rel=2e-3)
    assert 2 * np.std(additive) / row.mass_g < 0.05


# --- pre-mixes -----------------------------------------------------------------------------------


@given(
    st.floats(0.01, 2.0),
    st.floats(50.0, 3000.0),
    st.sampled_from([0.01, 0.1, 0.5, 1.0]),
    st.floats(0.02, 0.1),
)
def test_pre_mixes_keep_to_the_limit(dose_g, carrier_g, step, limit):
    """Every weighing is on the balance and large enough, and the dose ends up as asked for."""
    way = pre_mix(dose_g, carrier_g, step, limit)
    assume(way is not None)
    least = least_dose_g(step, limit)
    for mass in (way.own_g, way.carrier_g, way.shown_g):
        assert mass >= least * (1 - 1e-9)
        assert mass / step == pytest.approx(round(mass / step), abs=1e-6)
    assert carrier_g - way.carried_g >= least * (1 - 1e-9)
    assert way.take_g * way.strength == pytest.approx(dose_g)
    assert way.left_g >= -1e-9
    assert way.error + abs(way.rounding) <= limit * (1 + 1e-9)
    assert way.error / 2 == pytest.approx(
        error_of(way.own_g, way.carrier_g, way.take_g, step / math.sqrt(6))
    )


@given(mixtures(), st.floats(20.0, 2000.0), st.sampled_from([0.1, 1.0]))
def test_a_pre_mix_changes_no_share(mixture, total_g, step):
    """What it carries of the base is taken off the rest: all masses but for the balance's steps."""
    plain = reckon(mixture, total_g, step, 0.05)
    mixed = reckon(mixture, total_g, step, 0.05, pre_mixed=True)
    assume(any(row.pre_mix for row in mixed.rows))
    base = mixed.rows[0]
    carried = 0.0
    for row, other in zip(mixed.rows, plain.rows, strict=True):
        assert row.mass_g == other.mass_g
        if row.pre_mix is not None:
            carried += row.pre_mix.carried_g
            assert row.pre_mix.take_g * row.pre_mix.strength == pytest.approx(row.mass_g)
    count = len(mixed.rows)
    assert base.weigh_g + carried == pytest.approx(base.mass_g, abs=0.5 * step * (count + 1))
    assert sum(row.weigh_g for row in mixed.rows) == pytest.approx(total_g, abs=0.51 * step)


@given(
    st.floats(2.0, 60.0),
    st.floats(0.005, 0.05),
    st.booleans(),
    st.sampled_from([0.1, 1.0]),
    st.floats(0.03, 0.1),
)
def test_a_pre_mix_at_the_maximum_keeps_to_it_and_to_the_limit(tens, most, fully, step, limit):
    """Rounded down in the search itself, so that what is said, weighed and reckoned with are one."""
    share = most if fully else 0.98 * most
    batch = reckon(one_additive(share, most=most), 100 * tens * step, step, limit, pre_mixed=True)
    row = batch.row("retarder")
    assume(row.pre_mix is not None)
    assert row.weigh_g == row.pre_mix.shown_g
    assert row.in_mix_g / batch.row("red").in_mix_g <= most * (1 + 1e-6)
    assert abs(row.off) + row.error <= limit * (1 + 1e-6)
    assert [small.pre_mix for small in batch.too_small] == [row.pre_mix]
    assert batch.weighed_g == pytest.approx(batch.total_g, abs=0.5 * step * (1 + 1e-6))


def test_a_pre_mix_at_the_maximum():
    """29.2 g at 5 % of the ink hold 27.81 and 1.390 g: 4.2 g of one in three would hold 1.4 g."""
    way = pre_mix(29.2 * 0.05 / 1.05, 27.8, 0.1, 0.05)
    capped = pre_mix(29.2 * 0.05 / 1.05, 27.8, 0.1, 0.05, 29.2 * 0.05 / 1.05)
    assert way is not None
    assert capped is not None
    assert way.shown_g * way.strength > way.dose_g
    assert capped.shown_g * capped.strength <= capped.dose_g
    assert capped.error + abs(capped.rounding) <= 0.05


def test_no_pre_mix_where_the_batch_is_too_small():
    """Of 5 g of carrier on a balance of 1 g nothing can be weighed."""
    assert pre_mix(0.1, 5.0, 1.0, 0.05) is None


def test_what_a_batch_takes_out_of_stock():
    """A pre-mix takes all that is weighed into it, what is left of it too."""
    batch = reckon(one_additive(0.02), 60.0, 0.1, 0.05, pre_mixed=True)
    way = batch.row("retarder").pre_mix
    assert way is not None
    assert batch.needs() == {
        "red": pytest.approx(batch.row("red").weigh_g + way.carrier_g),
        "retarder": way.own_g,
    }


# --- pots ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("volume", "pot", "count"), [(175, 250, 1), (176, 500, 1), (350, 500, 1), (351, 500, 2)]
)
def test_pots(volume, pot, count):
    """Seven tenths of 250 ml are 175 ml, of 500 ml 350 ml."""
    found = potted(volume, [500.0, 250.0], 0.7)
    assert (found.pot_ml, found.count) == (pot, count)


def test_without_pots():
    with pytest.raises(ValueError, match="no pot"):
        potted(100.0, [], 0.7)


def test_one_pre_mix_for_all_pots() -> None:
    """What goes in is what four pots take and what is left; stock is short of all of it, once."""
    mixture = Mixture(Ink("ink"), (Part("clear", 0.94), Part("blue", 0.06)))
    batch = reckon(mixture, 750.0, 10.0, 0.05, pre_mixed=True, pots=4)
    way = batch.row("blue").pre_mix
    assert way is not None
    assert way.own_g + way.carrier_g == pytest.approx(4 * way.shown_g + way.left_g)
    assert way.left_g >= 0
    assert 4 * way.shown_g * way.strength == pytest.approx(4 * 45.0, rel=0.05)
    clear = 4 * batch.row("clear").weigh_g + way.carrier_g
    assert batch.needs() == {"clear": clear, "blue": way.own_g}
    alone = reckon(mixture, 750.0, 10.0, 0.05, pre_mixed=True).row("blue").pre_mix
    assert alone is not None
    assert way.own_g + way.carrier_g < 4 * (alone.own_g + alone.carrier_g)
