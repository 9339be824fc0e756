"""A mash whose pH was read: what acid or base brings it from there to another pH.

The balance of `mash_ph` is anchored at the reading: what is left over there, u = -F(reading), stays
a constant of this mash, so that from the reading to a target only the buffer between the two
matters: dose = F(reading) - F(target). The pH of the malts, by far the widest input of a
prediction, has no part in it. Equations and constants as in `mash_ph`.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.mash_balance import balance_of, protons
from recipe_tools.chemistry.mash_input import MashInput

SD_PER_HALF_WIDTH = 1.0 / 1.96
"""A 95 % band of a normal distribution reaches 1.96 standard deviations to each side."""


def anchored(mash: MashInput, ph: float) -> MashInput:
    """Return the mash with the protons that bring its balance to a pH that was read.

    Everything worked out from it starts at that pH: doses, and the pH after them. Raises ValueError
    if there is no water.
    """
    left = protons(balance_of(mash._replace(learnt_meq_kg=0.0)), ph)[0]
    return mash._replace(learnt_meq_kg=-left)


def protons_to(mash: MashInput, ph: float) -> float:
    """Return the protons (mEq per kg of grist) that bring a mash to another pH.

    Positive: acid is wanted; negative: base. Raises ValueError if there is no water.
    """
    return -protons(balance_of(mash), ph)[0]


def buffer_shares(mash: MashInput, ph: float) -> Mapping[str, float]:
    """Return how one standard deviation of an open input changes the slope dF/dp, as a share of it.

    Keys are those of the drivers of `mash_ph.predict`: ``malt_buffer:GROUP`` and ``crush``.
    """
    balance = balance_of(mash)
    slope = protons(balance, ph)[1]
    shares: dict[str, float] = {}
    crush = mash.crush_factor
    crushed = 0.0
    for place, malt in enumerate(mash.malts):
        weak, best, strong = malt.buffer_meq_kg_ph
        factor = malt.share if malt.lot_known else malt.share * crush.best
        if not malt.lot_known:
            crushed += malt.share * best
        if weak != strong:
            key = f"malt_buffer:{malt.group or f'{malt.label}#{place}'}"
            half = 0.5 * (strong - weak) * SD_PER_HALF_WIDTH
            shares[key] = shares.get(key, 0.0) + factor * half / slope
    if crush.low != crush.high:
        shares["crush"] = crushed * 0.5 * (crush.high - crush.low) * SD_PER_HALF_WIDTH / slope
    return shares


def band_after(
    ph: float, shift: float, reading_half_width: float, *relative_half_widths: float
) -> Estimate:
    """Return the pH to be expected after a dose that is to move the mash by shift, with its band.

    relative_half_widths: of the buffer and of the dose itself; they scale the shift.
    """
    squares = reading_half_width**2 + sum((shift * share) ** 2 for share in relative_half_widths)
    half = sqrt(squares)
    return Estimate(ph - half, ph, ph + half)
