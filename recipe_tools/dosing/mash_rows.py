"""The rows on the mash: its pH window and target, residual alkalinity and lactate.

At a fixed pH the balance of protons in the mash is linear in every dose: calcium and magnesium
count by Kolbach's divisors, an acid by the protons it gives at that pH, a base by those it takes. The
predicted pH rises with the balance, so "the mash lies between two pH values" is two linear rows,
and one mixed-integer program finds salts and acid together instead of one after the other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.acids import protons_per_mole
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.ions import (
    CALCIUM_PER_PROTON,
    EQUIVALENT_MASS_MG_MEQ,
    MAGNESIUM_PER_PROTON,
)
from recipe_tools.chemistry.mash_balance import balance_of, protons
from recipe_tools.chemistry.mash_input import AcidCharge, MaltShare, MashInput
from recipe_tools.chemistry.suspended_bases import effective_lime
from recipe_tools.dosing.limits import (
    EDGE_PH,
    HIGHEST_PH,
    LACTATE_MG_L,
    LOWEST_PH,
    RESIDUAL_SLACK_MEQ_L,
)
from recipe_tools.dosing.program import Program
from recipe_tools.dosing.records import Stock
from recipe_tools.dosing.setting import Setting, all_litres, mash_litres
from recipe_tools.reference import malt_values

_LACTATE_MG_MMOL = 89.070
_ACIDULATED_MMOL_KG = 336.0


def mash_with(
    mash: MashInput, day: BrewDay, share: float, doses: Sequence[tuple[Stock, float]]
) -> MashInput:
    """Return a mash with a share of pure water and so many steps of each stock added to it."""
    litres, kilograms = mash_litres(day), day.grist_kg
    source = day.source.ions_mg_l
    calcium = -share * source.get("calcium", 0.0)
    magnesium = -share * source.get("magnesium", 0.0)
    bicarbonate = hydroxide = 0.0
    acids, malts = list(mash.acids), list(mash.malts)
    for stock, steps in doses:
        calcium += steps * stock.ions_mg.get("calcium", 0.0) / litres
        magnesium += steps * stock.ions_mg.get("magnesium", 0.0) / litres
        if stock.agent.id == "acidulated_malt":
            malts.append(_acidulated(steps * stock.step / 1000.0 / kilograms))
        elif stock.acid_mmol:
            charge = exactly(steps * stock.acid_mmol / kilograms)
            agent = stock.agent
            acids.append(AcidCharge(stock.name, charge, agent.pkas, agent.strong_protons))
        if stock.alkalinity_meq and "bicarbonate" in stock.ions_mg:
            bicarbonate += steps * stock.alkalinity_meq / litres
        elif stock.alkalinity_meq:
            meq = exactly(steps * stock.alkalinity_meq / kilograms)
            hydroxide += effective_lime(meq).best
    return replace(
        mash,
        malts=tuple(malts),
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
    return estimate.plus(exactly(by))


def _acidulated(share: float) -> MaltShare:
    values = malt_values("acidulated", None)
    return MaltShare(
        label="Acidulated malt",
        share=share,
        di_ph=Estimate(*values.di_ph),
        buffer_meq_kg_ph=Estimate(*values.buffer_meq_kg_ph),
        di_water_l_kg=values.di_water_l_kg,
        group="acidulated",
    )


def ph_rows(program: Program, setting: Setting, doses: Mapping[int, list[int]]) -> None:
    """Keep the mash inside the window and wish for the target."""
    mash, day = setting.day.mash_input, setting.day
    if mash is None:
        return
    plain = balance_of(mash_with(mash, day, setting.share, ()))
    dosed = {
        place: balance_of(mash_with(mash, day, setting.share, ((setting.stocks[place], 100.0),)))
        for place in doses
    }

    def row_at(ph: float) -> tuple[dict[int, float], float]:
        base = protons(plain, ph)[0]
        row = {
            doses[place][0]: (protons(balance, ph)[0] - base) / 100.0
            for place, balance in dosed.items()
        }
        return row, base

    low_row, low_base = row_at(LOWEST_PH + EDGE_PH)
    program.require("mash pH", low_row, high=-low_base, hard=True)
    high_row, high_base = row_at(HIGHEST_PH - EDGE_PH)
    program.require("mash pH", high_row, low=-high_base, hard=True)
    target = setting.request.target_ph
    row, base = row_at(target)
    slope = max(1.0, protons(plain, target)[1])
    above, below = program.add(1e4), program.add(1e4)
    program.off_ph = {above: 1.0 / slope, below: 1.0 / slope}
    # balance above zero: the predicted pH lies below the target
    program.require("target pH", {**row, below: -1.0, above: 1.0}, low=-base, high=-base)


def taste_rows(program: Program, setting: Setting, doses: Mapping[int, list[int]]) -> None:
    """Keep lactate below its taste and the residual alkalinity of the mash under its ceiling."""
    day = setting.day
    litres = day.recipe.batch_l or all_litres(day)
    lactate: dict[int, float] = {}
    residual: dict[int, float] = {}
    mash = mash_litres(day)
    acidulated = False
    for place, columns in doses.items():
        stock = setting.stocks[place]
        if stock.agent.id in ("lactic_acid", "acidulated_malt"):
            lactate[columns[0]] = stock.acid_mmol * _LACTATE_MG_MMOL / litres
        acidulated = acidulated or stock.agent.id == "acidulated_malt"
        if mash > 0:
            residual[columns[0]] = _residual_per_step(stock) / mash
    if lactate and (day.family is None or day.family.family != "sour"):
        program.require(
            "lactate", lactate, high=LACTATE_MG_L - present_lactate(setting, litres), hard=True
        )
    ceiling = setting.aims.residual_meq_l
    if ceiling is None or day.mash is None or day.mash.residual_alkalinity_meq_l is None:
        return
    if acidulated or day.acidulated_share > 0:
        return
    base = day.mash.residual_alkalinity_meq_l.best - setting.share * source_residual(day)
    base -= sum(i.acid_meq.best for i in day.doses if i.stage == "mash") / mash
    program.wish("residual alkalinity", residual, None, ceiling + RESIDUAL_SLACK_MEQ_L - base, 1.0)


def present_lactate(setting: Setting, litres: float) -> float:
    """Return mg/L of lactate from what is settled: the recipe's acid and the sparge acid."""
    mmol = sum(
        item.acid_mmol.best
        for item in setting.day.doses
        if item.agent is not None and item.agent.id == "lactic_acid"
    )
    acid = setting.sparge_acid
    if acid is not None and acid.stock.agent.id == "lactic_acid":
        mmol += acid.steps * acid.stock.acid_mmol
    mmol += setting.day.acidulated_share * setting.day.grist_kg * _ACIDULATED_MMOL_KG
    return mmol * _LACTATE_MG_MMOL / litres


def source_residual(day: BrewDay) -> float:
    """Return the residual alkalinity of the source water, mEq/L."""
    ions = day.source.ions_mg_l
    calcium = ions.get("calcium", 0.0) / EQUIVALENT_MASS_MG_MEQ["calcium"]
    magnesium = ions.get("magnesium", 0.0) / EQUIVALENT_MASS_MG_MEQ["magnesium"]
    return (
        day.source.alkalinity_meq_l.best
        - calcium / CALCIUM_PER_PROTON
        - magnesium / MAGNESIUM_PER_PROTON
    )


def _residual_per_step(stock: Stock) -> float:
    """Return mEq of residual alkalinity one step brings; acids take it away at pH 5.4."""
    calcium = stock.ions_mg.get("calcium", 0.0) / EQUIVALENT_MASS_MG_MEQ["calcium"]
    magnesium = stock.ions_mg.get("magnesium", 0.0) / EQUIVALENT_MASS_MG_MEQ["magnesium"]
    acid = 0.0
    if stock.acid_mmol and stock.agent.kind == "acid":
        agent = stock.agent
        acid = stock.acid_mmol * protons_per_mole(agent.pkas, 5.4, agent.strong_protons)
    return (
        stock.alkalinity_meq
        - acid
        - calcium / CALCIUM_PER_PROTON
        - magnesium / MAGNESIUM_PER_PROTON
    )
