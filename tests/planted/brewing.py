"""The arithmetic of a recipe, written for the tests apart from the package.

So that the numbers a generated recipe states do not come from the program that judges them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

EBC_PER_SRM = 1.97
KG_L_TO_LB_GAL = 2.20462 / 0.264172
POINTS_L_KG = 384.0
"""Points of a litre that holds a kilogram of extract, from 46.2 points of a pound in a gallon."""


def extract_points(
    kilograms: float, yield_percent: float, efficiency: float, litres: float
) -> float:
    """Return what a malt adds to the original gravity, in thousandths."""
    return POINTS_L_KG * kilograms * yield_percent / 100.0 * efficiency / 100.0 / litres


def morey_srm(malts: Sequence[tuple[float, float]], litres: float) -> float:
    """Return the colour of (kilograms, degrees Lovibond) in a volume, SRM (Morey 1995)."""
    units = sum(kilograms * lovibond for kilograms, lovibond in malts) * KG_L_TO_LB_GAL / litres
    return 1.4922 * units**0.6859


def tinseth_ibu(grams: float, alpha: float, minutes: float, litres: float, gravity: float) -> float:
    """Return the bitterness of one hop addition (Tinseth 1997)."""
    bigness = 1.65 * 0.000125 ** (gravity - 1.0)
    boil = (1.0 - math.exp(-0.04 * minutes)) / 4.15
    return bigness * boil * grams * alpha * 10.0 / litres


def sg_to_plato(gravity: float) -> float:
    """Return degrees Plato (polynomial of the ASBC tables)."""
    return -616.868 + 1111.14 * gravity - 630.272 * gravity**2 + 135.997 * gravity**3
