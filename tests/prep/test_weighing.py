"""What a balance can weigh."""

from __future__ import annotations

import numpy as np
import pytest

from prep.weighing import SIGMAS, least_dose_g, weighing_error_g


def test_a_dose_is_the_difference_of_two_readings():
    """Each is off by up to half a step, evenly: a triangle of one step has the deviation 1 / sqrt(6)."""
    readings = np.random.default_rng(3).uniform(-0.05, 0.05, (200_000, 2))
    assert np.std(readings[:, 0] - readings[:, 1]) == pytest.approx(weighing_error_g(0.1), rel=0.01)


def test_the_least_dose_has_just_the_error_allowed():
    assert SIGMAS * weighing_error_g(0.1) / least_dose_g(0.1, 0.05) == pytest.approx(0.05)


def test_what_weighs_nothing_is_refused():
    with pytest.raises(ValueError, match="must read something"):
        weighing_error_g(0.0)
    with pytest.raises(ValueError, match="allow some"):
        least_dose_g(0.1, 0.0)
