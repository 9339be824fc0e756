"""What the mash pH model is told about the mash of a recipe."""

from __future__ import annotations

from collections.abc import Sequence

from recipe_tools.brewday.defaults import default
from recipe_tools.brewday.grist import malt_shares
from recipe_tools.brewday.liquors import acid_charge
from recipe_tools.brewday.records import Dose, GristItem, Liquor, SourceWater
from recipe_tools.chemistry.estimate import ZERO, Estimate
from recipe_tools.chemistry.ions import EQUIVALENT_MASS_MG_MEQ
from recipe_tools.chemistry.mash_input import MashInput
from recipe_tools.chemistry.saturation import chalk_lost_meq_l
from recipe_tools.chemistry.suspended_bases import effective_lime
from recipe_tools.config import Options
from recipe_tools.reference import crush_factor

_LIMES = frozenset({"slaked_lime", "lime_water", "quicklime"})
_BICARBONATES = frozenset({"baking_soda", "potassium_bicarbonate"})
_CARBONATES = frozenset({"sodium_carbonate", "sodium_carbonate_decahydrate"})


def mash_input(
    grist: tuple[GristItem, ...],
    grist_kg: float,
    source: SourceWater,
    mash: Liquor | None,
    doses: Sequence[Dose],
    options: Options,
) -> MashInput | None:
    """Return the mash as the model sees it; None where grain or mash water is missing."""
    if not grist or mash is None:
        return None
    mashed = [item for item in doses if item.stage == "mash"]
    per_kg = 1.0 / grist_kg
    litres = mash.volume_l.best
    calcium = _dissolved(source, litres, mashed, "calcium")
    return MashInput(
        malts=malt_shares(grist, options),
        water_to_grist_l_kg=_ratio(mash.volume_l, grist_kg),
        alkalinity_meq_l=source.alkalinity_meq_l,
        water_ph=source.ph,
        end_point_ph=source.end_point_ph,
        calcium_meq_l=calcium,
        magnesium_meq_l=_dissolved(source, litres, mashed, "magnesium"),
        acids=tuple(c for item in mashed if (c := acid_charge(item, per_kg)) is not None),
        bicarbonate_mmol_l=_bicarbonate(mashed, litres),
        hydroxide_meq_kg=_hydroxide(mashed, per_kg),
        chalk_meq_l=_chalk(mashed, litres),
        crush_factor=Estimate(*crush_factor(options.crush)),
        chalk_lost_meq_l=_chalk_lost(source, calcium),
    )


def _chalk_lost(source: SourceWater, calcium: Estimate) -> float:
    """Return the alkalinity that known water with its salts may lose as it heats, mEq/L."""
    if not source.known:
        return 0.0
    return chalk_lost_meq_l(
        calcium.best * EQUIVALENT_MASS_MG_MEQ["calcium"],
        source.alkalinity_meq_l.best,
        source.ph.best,
        default("strike_temperature").best,
    )


def _ratio(mash_l: Estimate, grist_kg: float) -> Estimate:
    error = default("mass_error")
    return Estimate(
        mash_l.low / (grist_kg * error.high),
        mash_l.best / grist_kg,
        mash_l.high / (grist_kg * error.low),
    )


def _dissolved(source: SourceWater, litres: float, mashed: Sequence[Dose], ion: str) -> Estimate:
    """Return an ion of the mash liquor in mEq/L, without what suspended chalk may bring."""
    per_meq = 1.0 / EQUIVALENT_MASS_MG_MEQ[ion]
    if not source.known or ion not in source.ions_mg_l:
        base = default("unknown_calcium" if ion == "calcium" else "unknown_magnesium")
    else:
        base = source.ions_mg_l[ion].times(per_meq)
    for item in mashed:
        amount = item.ions_mg.get(ion)
        if amount is not None and item.agent is not None and item.agent.id != "chalk":
            base = base.plus(amount.times(per_meq / litres))
    return base


def _sum(amounts: list[Estimate]) -> Estimate:
    total = ZERO
    for amount in amounts:
        total = total.plus(amount)
    return total


def _bicarbonate(mashed: Sequence[Dose], litres: float) -> Estimate:
    """Return dosed bicarbonate in mmol/L; carbonate is one bicarbonate and one hydroxide."""
    found = []
    for item in mashed:
        if item.agent is None:
            continue
        if item.agent.id in _BICARBONATES:
            found.append(item.alkalinity_meq)
        elif item.agent.id in _CARBONATES:
            found.append(item.alkalinity_meq.times(0.5))
    return _sum(found).times(1.0 / litres) if found else ZERO


def _hydroxide(mashed: Sequence[Dose], per_kg: float) -> Estimate:
    """Return lime (the part that acts), lye and half of carbonate in mEq/kg."""
    found = []
    for item in mashed:
        if item.agent is None or item.agent.id == "chalk" or item.agent.id in _BICARBONATES:
            continue
        if item.alkalinity_meq.high <= 0:
            continue
        meq = item.alkalinity_meq.times(per_kg)
        if item.agent.id in _LIMES:
            meq = effective_lime(meq)
        elif item.agent.id in _CARBONATES:
            meq = meq.times(0.5)
        found.append(meq)
    return _sum(found)


def _chalk(mashed: Sequence[Dose], litres: float) -> Estimate:
    """Return the alkalinity of suspended chalk in full, mEq/L; the model takes what acts."""
    found = [
        item.grams.times(item.agent.alkalinity_meq_g / litres)
        for item in mashed
        if item.agent is not None and item.agent.id == "chalk" and item.grams is not None
    ]
    return _sum(found)
