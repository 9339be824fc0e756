"""Gravity, colour, bitterness and alcohol from the amounts in a recipe."""

from __future__ import annotations

from collections.abc import Iterable
from math import exp

from recipe_tools.units import EBC_PER_SRM, convert, lovibond, specific_gravity

SUCROSE_POTENTIAL_SG = 1.04621
"""Gravity of 1 lb of sucrose made up to 1 US gal; 100 % extract yield by definition."""
WATER_KG_L = 0.998203
"""Density of water at 20 °C."""


def yield_percent(potential_sg: float) -> float:
    """Return extract yield in percent of sucrose for a potential of 1 lb in 1 US gal."""
    return 100.0 * (potential_sg - 1.0) / (SUCROSE_POTENTIAL_SG - 1.0)


def gravity(extract_kg: float, litres: float) -> float:
    """Return the specific gravity of wort holding so much extract in a volume at 20 °C.

    Solves extract = Plato/100 x density x volume, so no constant of points per pound is needed.
    Raises ValueError for a volume not above 0. Valid to about 1.130.
    """
    if not litres > 0.0:
        raise ValueError("volume must be above 0")
    sg = 1.0
    for _ in range(20):
        degrees = 100.0 * extract_kg / (litres * sg * WATER_KG_L)
        following = specific_gravity(min(degrees, 60.0), "plato")
        if abs(following - sg) < 1e-9:
            break
        sg = following
    return sg


def colour_ebc(malts: Iterable[tuple[float, float]], litres: float) -> float:
    """Return the colour of beer in EBC from malts as (kg, EBC) and the volume of wort.

    SRM = 1.4922 MCU^0.6859, MCU = pounds x °Lovibond / US gallon. Source: Morey D. (1995), from
    memory; for beers up to about 50 SRM. Raises ValueError for a volume not above 0.
    """
    if not litres > 0.0:
        raise ValueError("volume must be above 0")
    gallons, pound = litres / convert("volume", 1.0, "gal"), convert("mass", 1.0, "lb")
    units = sum(kilograms / pound * lovibond(ebc) for kilograms, ebc in malts) / gallons
    return float(EBC_PER_SRM * 1.4922 * max(0.0, units) ** 0.6859)


def utilisation(minutes: float, boil_gravity: float) -> float:
    """Return the share of alpha acid that ends as bitterness.

    1.65 x 0.000125^(G - 1) x (1 - e^(-0.04 t)) / 4.15, G kettle gravity, t minutes of boil.

    Source: Tinseth G. (1997), from memory; leaf hops, kettle gravity 1.030 to 1.130, 0 to 120 min.
    """
    if minutes <= 0.0:
        return 0.0
    return float(1.65 * 0.000125 ** (boil_gravity - 1.0) * (1.0 - exp(-0.04 * minutes)) / 4.15)


def bitterness_ibu(
    hops: Iterable[tuple[float, float, float]], litres: float, boil_gravity: float
) -> float:
    """Return bitterness in IBU from hops as (kg, alpha acid %, minutes of boil), after Tinseth.

    Raises ValueError for a volume not above 0.
    """
    if not litres > 0.0:
        raise ValueError("volume must be above 0")
    total = 0.0
    for kilograms, alpha, minutes in hops:
        total += kilograms * 1e6 * alpha / 100.0 * utilisation(minutes, boil_gravity)
    return total / litres


def alcohol_percent(og: float, fg: float) -> float:
    """Return alcohol by volume, %, of beer by original and final gravity.

    ABW = 76.08 (OG - FG) / (1.775 - OG), ABV = ABW x FG / 0.794. Source: Balling's balance in the
    form of Hall M. (1995), from memory. Original gravity up to about 1.120.
    """
    return 76.08 * (og - fg) / (1.775 - og) * fg / 0.794
