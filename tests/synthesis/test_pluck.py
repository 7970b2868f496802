"""The plucked string against the equations of the papers it is built on."""

import math

import numpy as np
import pytest

from listen.errors import BadValueError
from listen.instrument import STRING_TABLES, find_string_kinds, find_string_table, fretted_stiffness, retuned_stiffness
from listen.synthesis import (
    comb_amplitudes,
    decay_rates,
    overdrive,
    partial_frequencies,
    pluck_amplitudes,
    saturate,
    sum_partials,
)
from listen.theory import Pitch


def test_partials_follow_fletchers_stiff_string() -> None:
    """f_k = k·f0·sqrt(1 + B·k²): Fletcher, JASA 36(1), 1964."""
    frequency = partial_frequencies(np.asarray([82.41]), np.asarray([1.4e-4]), n_partials=30)[0]
    for k in (1, 7, 30):
        assert frequency[k - 1] == pytest.approx(k * 82.41 * math.sqrt(1 + 1.4e-4 * k * k))


def test_stiffness_doubles_in_six_frets_and_quadruples_in_twelve() -> None:
    """B goes with 1/l² (Fletcher 1964); on GuitarSet 3.4-4.1 times at fret 12 were measured (Bastas et al. 2022)."""
    assert fretted_stiffness(1e-4, 6) == pytest.approx(2e-4)
    assert fretted_stiffness(1e-4, 12) == pytest.approx(4e-4)


def test_a_string_tuned_down_is_stiffer_for_its_tension() -> None:
    """B goes with 1/T, T with f²: a whole step down raises B by 2^(1/3)."""
    table = find_string_table("steel")
    assert retuned_stiffness(table, 0, 38) == pytest.approx(table.stiffness[0] * 2 ** (1 / 3))


def test_open_strings_have_the_published_stiffness_of_guitarset() -> None:
    """Bastas et al. 2022, low E to high E, as quoted in their data."""
    published = (1.4e-4, 9.3e-5, 5.1e-5, 3.0e-5, 6.1e-5, 2.2e-5)
    assert STRING_TABLES["steel"].stiffness == published


def test_a_string_plucked_half_way_lacks_its_even_partials() -> None:
    frequency = partial_frequencies(np.asarray([100.0]), np.zeros(1), n_partials=8)
    amplitude = np.abs(pluck_amplitudes(frequency, np.asarray([0.5]), np.ones(1), np.asarray([1e9])))[0]
    assert amplitude[1::2].max() < 0.05 * amplitude[0]


def test_an_ideal_pluck_gives_the_textbook_series() -> None:
    """sin(kπβ)/k as force on the bridge: Fletcher & Rossing 1998, ch. 2."""
    frequency = partial_frequencies(np.asarray([100.0]), np.zeros(1), n_partials=9)
    amplitude = pluck_amplitudes(frequency, np.asarray([0.21]), np.ones(1), np.asarray([1e12]))[0]
    k = np.arange(1, 10)
    np.testing.assert_allclose(amplitude, np.sin(k * np.pi * 0.21) / k, rtol=1e-6)


def test_no_mode_is_quite_silent_at_its_node() -> None:
    assert np.abs(comb_amplitudes(np.asarray([0.25]), n_partials=12)).min() > 0


def test_higher_partials_decay_faster() -> None:
    rates = decay_rates(np.asarray([[100.0, 1000.0, 5000.0]]), np.asarray([6.0]), np.ones(1), 0.1 * np.ones(1))[0]
    assert rates[0] < rates[1] < rates[2]
    assert rates[1] == pytest.approx(math.log(1000) / 6 * 2.1)


def test_the_block_sum_equals_the_plain_sum() -> None:
    """A slow reference, kept only to test the fast one."""
    rng = np.random.default_rng(1)
    frequency, amplitude = rng.uniform(50, 6000, (2, 5)), rng.standard_normal((2, 5))
    rate, phase = rng.uniform(0.5, 20, (2, 5)), rng.uniform(0, 6.28, (2, 5))
    fast = sum_partials(frequency, amplitude, rate, phase, n_samples=5001, sample_rate_hz=16_000.0)
    t = np.arange(5001) / 16_000
    angle = 2 * np.pi * frequency[..., None] * t + phase[..., None]
    slow = (amplitude[..., None] * np.exp(-rate[..., None] * t) * np.cos(angle)).sum(1)
    assert np.abs(fast - slow).max() < 1e-9


def test_overdrive_makes_the_difference_tone_of_a_fifth_and_no_aliases() -> None:
    """Root and fifth (2:3) give the octave below the root; what lies above half the rate must not fold back."""
    rate, n = 16_000, 16_000
    t = np.arange(n) / rate
    pair = 0.5 * np.sin(2 * np.pi * 200 * t) + 0.5 * np.sin(2 * np.pi * 300 * t)
    one = np.ones(1)
    spectrum = np.abs(np.fft.rfft(overdrive(pair, 6.0 * one, 0.2 * one, 2.5 * one)))
    assert spectrum[100] > 0.01 * spectrum[200]
    multiples = np.arange(spectrum.size) % 100 == 0
    assert spectrum[~multiples].max() < 1e-3 * spectrum[multiples].max()


def test_saturation_never_passes_one_and_leaves_small_signals_alone() -> None:
    x = np.linspace(-1000, 1000, 2001)
    for hardness in (1.5, 2.5, 12.0):
        assert np.abs(saturate(x, np.asarray([hardness]))).max() <= 1.0
    assert saturate(np.asarray([1e-3]), np.asarray([2.5]))[0] == pytest.approx(1e-3, rel=1e-4)


def test_strings_of_other_instruments_are_of_the_nearest_kind() -> None:
    assert find_string_kinds([Pitch(m) for m in (40, 45, 50, 55, 59, 64)]) == (0, 1, 2, 3, 4, 5)
    assert find_string_kinds([Pitch(m) for m in (28, 33, 38, 43)]) == (0, 0, 0, 1)


def test_an_unknown_guitar_is_refused_in_one_sentence() -> None:
    with pytest.raises(BadValueError, match="guitar=banjo is not possible: it takes steel or nylon or electric"):
        find_string_table("banjo")
