"""Mash pH at mash temperature and in a cooled sample.

Targets are for cooled samples (20 to 25 °C). Temperature compensation of a meter corrects its
electrode, not the sample: a sample read hot is truly lower.
"""

from __future__ import annotations

from recipe_tools.chemistry.estimate import Estimate

ROOM_CELSIUS = 21.1
HOSOM_M = -0.00382
HOSOM_B = 0.0166
SHIFT_PER_CELSIUS = Estimate(-0.0078, -0.0055, -0.0034)
"""pH per °C between room and mash. Ends: 0.35 below a reading at 20 °C for wort of 65 °C (Briggs et
al. 2004; Hopkins and Krause 1947 found -0.0071) and -0.0039 +- 0.0005 from 126 readings inside real
mashes at 35 to 65 °C (Hosom 2018). Best is the middle, derived default."""


def ph_at(ph_room: float, celsius: float) -> float:
    """Return the pH at a temperature of wort that reads ph_room at 21.1 °C.

    pH(T) = pH (1 + m (T - 21.1)) - b (21.1 - T), m = -0.00382, b = 0.0166; for 18 to 65 °C, found
    independent of gravity, boil and acid. Source: Hosom J.-P. (2018).
    """
    warmer = celsius - ROOM_CELSIUS
    return ph_room * (1.0 + HOSOM_M * warmer) + HOSOM_B * warmer


def ph_in_cooled_sample(ph_hot: float, celsius: float) -> float:
    """Return the pH at 21.1 °C of wort that reads ph_hot when hot (`ph_at` turned round)."""
    warmer = celsius - ROOM_CELSIUS
    return (ph_hot - HOSOM_B * warmer) / (1.0 + HOSOM_M * warmer)


def cooled_range(ph_hot: float, celsius: float) -> Estimate:
    """Return the pH at 21.1 °C with the spread of published temperature shifts."""
    warmer = celsius - ROOM_CELSIUS
    best = ph_in_cooled_sample(ph_hot, celsius)
    ends = (
        ph_hot - SHIFT_PER_CELSIUS.low * warmer,
        ph_hot - SHIFT_PER_CELSIUS.high * warmer,
    )
    return Estimate(min(best, *ends), best, max(best, *ends))
