"""The mash with what a plan puts into it, and what a step of each stock does to its protons."""

from __future__ import annotations

from collections.abc import Sequence

from recipe_tools.brewday import BrewDay, GristItem
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.ions import EQUIVALENT_MASS_MG_MEQ
from recipe_tools.chemistry.mash_balance import Balance, balance_of, protons
from recipe_tools.chemistry.mash_input import AcidCharge, MaltShare, MashInput
from recipe_tools.chemistry.suspended_bases import effective_lime
from recipe_tools.dosing.records import Stock
from recipe_tools.dosing.setting import mash_litres
from recipe_tools.reference import malt_values

ACIDULATED = "Acidulated malt"
ACIDULATED_EBC = 5.0
_MANY_STEPS = 100.0


class MashRows:
    """Answers for one mash what thinning and a step of each stock do at a pH.

    At a fixed pH the balance of protons is linear in every dose: calcium and magnesium count by
    Kolbach's divisors, an acid by the protons it gives at that pH, a base by those it takes.
    share: part of pure water the mash is looked at with.
    """

    __slots__ = ("_day", "_dosed", "_half", "_mash", "_share", "plain")

    def __init__(self, day: BrewDay, mash: MashInput, share: float) -> None:
        self._day = day
        self._mash = mash
        self._share = share
        self._dosed: dict[str, Balance] = {}
        self._half: Balance | None = None
        self.plain = balance_of(mash_with(mash, day, share, ()))

    def per_step(self, stock: Stock, ph: float) -> float:
        """Return mEq of protons per kg of grist that a step of a stock gives at a pH."""
        dosed = self._dosed.get(stock.name)
        if dosed is None:
            many = ((stock, _MANY_STEPS),)
            dosed = balance_of(mash_with(self._mash, self._day, self._share, many))
            self._dosed[stock.name] = dosed
        return (protons(dosed, ph)[0] - protons(self.plain, ph)[0]) / _MANY_STEPS

    def thinned(self, ph: float) -> float:
        """Return the change of the balance from no pure water to pure water alone, at a pH."""
        if self._half is None:
            self._half = balance_of(mash_with(self._mash, self._day, 0.5, ()))
        return 2.0 * (protons(self._half, ph)[0] - protons(self.plain, ph)[0])


def swapped_malt(day: BrewDay) -> tuple[int, GristItem] | None:
    """Return the malt whose place acidulated malt takes: the largest of the grist, with its place.

    None where there is no other malt.
    """
    found = [
        (place, item) for place, item in enumerate(day.grist) if item.malt.class_id != "acidulated"
    ]
    return max(found, key=lambda pair: pair[1].kilograms) if found else None


def mash_with(
    mash: MashInput, day: BrewDay, share: float, doses: Sequence[tuple[Stock, float]]
) -> MashInput:
    """Return a mash with a share of pure water and so many steps of each stock added to it."""
    litres, kilograms = mash_litres(day), day.grist_kg
    calcium = -share * day.source.mg_l("calcium")
    magnesium = -share * day.source.mg_l("magnesium")
    bicarbonate = hydroxide = acidulated = 0.0
    acids = list(mash.acids)
    for stock, steps in doses:
        calcium += steps * stock.ions_mg.get("calcium", 0.0) / litres
        magnesium += steps * stock.ions_mg.get("magnesium", 0.0) / litres
        if stock.is_malt:
            acidulated += steps * stock.step / 1000.0 / kilograms
        elif stock.acid_mmol:
            charge = exactly(steps * stock.acid_mmol / kilograms)
            agent = stock.agent
            acids.append(AcidCharge(stock.name, charge, agent.pkas, agent.strong_protons))
        if stock.alkalinity_meq and "bicarbonate" in stock.ions_mg:
            bicarbonate += steps * stock.alkalinity_meq / litres
        elif stock.alkalinity_meq:
            hydroxide += effective_lime(exactly(steps * stock.alkalinity_meq / kilograms)).best
    return mash._replace(
        malts=_with_acidulated(mash.malts, day, acidulated) if acidulated else mash.malts,
        alkalinity_meq_l=mash.alkalinity_meq_l.times(1.0 - share),
        calcium_meq_l=_moved(mash.calcium_meq_l, calcium / EQUIVALENT_MASS_MG_MEQ["calcium"]),
        magnesium_meq_l=_moved(
            mash.magnesium_meq_l, magnesium / EQUIVALENT_MASS_MG_MEQ["magnesium"]
        ),
        acids=tuple(acids),
        bicarbonate_mmol_l=_moved(mash.bicarbonate_mmol_l, bicarbonate),
        hydroxide_meq_kg=_moved(mash.hydroxide_meq_kg, hydroxide),
    )


def _moved(estimate: Estimate, by: float) -> Estimate:
    return estimate.plus(exactly(by)) if by else estimate


def _with_acidulated(
    malts: Sequence[MaltShare], day: BrewDay, share: float
) -> tuple[MaltShare, ...]:
    """Return the malts with a share of acidulated malt in place of the largest."""
    swapped = swapped_malt(day)
    kept = list(malts)
    if swapped is not None:
        place, _ = swapped
        kept[place] = kept[place]._replace(share=kept[place].share - share)
    values = malt_values("acidulated", ACIDULATED_EBC)
    kept.append(
        MaltShare(
            label=ACIDULATED,
            share=share,
            di_ph=Estimate(*values.di_ph),
            buffer_meq_kg_ph=Estimate(*values.buffer_meq_kg_ph),
            di_water_l_kg=values.di_water_l_kg,
            group="acidulated",
        )
    )
    return tuple(kept)
