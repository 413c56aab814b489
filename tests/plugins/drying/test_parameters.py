"""The table of figures: each with its range, its source and what it is worth."""

from __future__ import annotations

import numpy as np
import pytest

from prep_drying import parameters
from prep_drying.parameters import CRITICAL_LOSS, TABLE, Known, centred, measured


@pytest.mark.parametrize("known", TABLE, ids=lambda known: known.parameter.name)
def test_each_says_where_it_comes_from_and_that_it_is_a_guess(known: Known) -> None:
    """Nothing here was ever measured on screens; no row claims it."""
    one = known.parameter
    assert one.name.startswith("drying.")
    assert one.source
    assert known.words[0].islower()
    assert one.status in ("guess", "from memory", "common practice")
    if one.status == "guess":
        assert one.source.split()[0] not in ("published", "measured")
    draws = one.draws()
    assert np.quantile(draws, 0.1) == pytest.approx(one.low, abs=0.02 * (one.high - one.low) + 1e-9)
    assert np.quantile(draws, 0.9) == pytest.approx(one.high, rel=0.05, abs=0.02)


def test_names_are_distinct_and_all_are_listed() -> None:
    names = [known.parameter.name for known in TABLE]
    assert len(set(names)) == len(names)
    made = {k.parameter.name for k in vars(parameters).values() if isinstance(k, Known)}
    only_measured = {"drying.weighed", "drying.open_cleared", "drying.open_flooded"}
    assert made - set(names) == only_measured | {"ink.mesh_volume"}


def test_measured_takes_its_place_with_its_own_range_or_ten_per_cent() -> None:
    own = measured(CRITICAL_LOSS, 0.6, None, 0.62)
    assert (own.parameter.low, own.parameter.default, own.parameter.high) == (0.54, 0.6, 0.62)
    assert (own.parameter.status, own.remedy) == ("measured here", "")
    assert measured(CRITICAL_LOSS, 0.88, None, None).parameter.high == 0.9  # no more than can be


def test_centred_keeps_the_proportions() -> None:
    one = centred(parameters.PRINT_TIME, 40.0, "said so").parameter
    assert (one.low, one.default, one.high, one.source) == (28.0, 40.0, 64.0, "said so")
