"""The rows on the mash: its pH window and target, residual alkalinity and lactate.

The predicted pH lies above a value just where the balance of protons at that value is negative, so
"the mash lies between two pH values" is two linear rows (`mash_balance`), and one mixed-integer
program finds salts and acid together instead of one after the other.
"""

from __future__ import annotations

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.doses import ROOM_PH
from recipe_tools.chemistry.acids import protons_per_mole
from recipe_tools.chemistry.ions import (
    CALCIUM_PER_PROTON,
    EQUIVALENT_MASS_MG_MEQ,
    MAGNESIUM_PER_PROTON,
)
from recipe_tools.chemistry.mash_balance import protons
from recipe_tools.dosing.mash_balance import MashRows
from recipe_tools.dosing.program import PLENTY_MG_L, Program
from recipe_tools.dosing.records import Stock
from recipe_tools.dosing.setting import SHARE_STEP, Level, Setting, mash_litres, with_share
from recipe_tools.dosing.tastes import acid_of, beer_litres, present_mg, taste_limit, tasted_mg
from recipe_tools.judgement.alkalinity import residual_meq_l

MEASURED_CALCIUM_MG_L = 150.0
MEASURED_ALKALINITY_MEQ_L = 5.5
"""Beyond them `chemistry.mash_ph` calls its prediction an extrapolation (a test compares)."""
_FAR_PH = 3.0
OFF_TARGET_G_MEQ = 0.2
"""Grams a milliequivalent off the target weighs: twice what pure acids and baking soda weigh, so
that they are used to come nearer (derived_default)."""


def ph_rows(program: Program, setting: Setting, mash: MashRows) -> None:
    """Keep the mash inside the window and wish for the target."""

    def row_at(ph: float) -> tuple[dict[int, float], float]:
        row = {
            column: mash.per_step(setting.stocks[place], ph)
            for (place, stage), column in program.doses.items()
            if stage == "mash"
        }
        if program.share is not None:
            row[program.share] = SHARE_STEP * mash.thinned(ph)
        return row, protons(mash.plain, ph)[0]

    low_row, low_base = row_at(setting.ph[0])
    program.require("mash pH", low_row, high=-low_base, hard=True)
    high_row, high_base = row_at(setting.ph[1])
    program.require("mash pH", high_row, low=-high_base, hard=True)
    row, base = row_at(setting.target_ph)
    slope = max(1.0, protons(mash.plain, setting.target_ph)[1])
    above, below = program.add(_FAR_PH * slope), program.add(_FAR_PH * slope)
    program.off_ph = {above: 1.0 / slope, below: 1.0 / slope}
    program.rest |= dict.fromkeys((above, below), OFF_TARGET_G_MEQ * setting.day.grist_kg)
    # A balance above zero: the predicted pH lies below the target.
    program.require("target pH", {**row, below: -1.0, above: 1.0}, low=-base, high=-base)


def taste_rows(program: Program, setting: Setting) -> None:
    """Keep each acid below its taste and the residual alkalinity of the mash under its ceiling."""
    day, litres = setting.day, beer_litres(setting.day)
    tasted: dict[str, dict[int, float]] = {}
    for (place, stage), column in program.doses.items():
        stock = setting.stocks[place]
        if stage == "mash" and stock.is_acid:
            tasted.setdefault(acid_of(stock.agent), {})[column] = tasted_mg(stock) / litres
    for acid, row in tasted.items():
        limit = taste_limit(acid, setting.aims)
        if limit is not None:
            high = limit - present_mg(day, acid, setting.sparge_acid) / litres
            program.require(taste_label(acid), row, high=high, hard=True)
    _residual_row(program, setting)


def taste_label(acid: str) -> str:
    """Return the label of the row on the taste of an acid."""
    return f"taste of {acid}"


def measured_rows(program: Program, setting: Setting) -> None:
    """Keep the mash where the model of its pH was measured, as far as doses and water decide."""
    mash = setting.day.mash_input
    if mash is None or setting.beyond_model:
        return
    source, litres = setting.day.source, mash_litres(setting.day)
    mashed = [
        (setting.stocks[place], column)
        for (place, stage), column in program.doses.items()
        if stage == "mash"
    ]
    calcium = mash.calcium_meq_l.best * EQUIVALENT_MASS_MG_MEQ["calcium"]
    alkalinity = mash.alkalinity_meq_l.best + mash.bicarbonate_mmol_l.best
    for level, most, row in (
        (
            Level(calcium, -source.mg_l("calcium")),
            MEASURED_CALCIUM_MG_L,
            {column: stock.ions_mg.get("calcium", 0.0) / litres for stock, column in mashed},
        ),
        (
            Level(alkalinity, -source.alkalinity_meq_l.best),
            MEASURED_ALKALINITY_MEQ_L,
            {
                column: stock.alkalinity_meq / litres
                for stock, column in mashed
                if "bicarbonate" in stock.ions_mg
            },
        ),
    ):
        row, base = with_share(setting, program.share, row, level)
        program.require("measured range of the model", row, high=most - base)


def _residual_row(program: Program, setting: Setting) -> None:
    """Wish for a residual alkalinity that suits the beer; not where acidulated malt is used."""
    day, ceiling = setting.day, setting.aims.residual_meq_l
    left = residual_meq_l(day)
    if ceiling is None or left is None:
        return
    litres, base = mash_litres(day), left.best
    row: dict[int, float] = {}
    for (place, stage), column in program.doses.items():
        stock = setting.stocks[place]
        if stage == "mash":
            row[column] = _residual_per_step(stock) / litres
        if stage == "mash" and stock.is_malt:
            row[program.used[place]] = -PLENTY_MG_L
    thinned = -source_residual(day)
    if setting.share is not None:
        base += setting.share * thinned
    elif program.share is not None:
        row[program.share] = SHARE_STEP * thinned
    passed = setting.aims.residual_slack_meq_l
    program.wish("residual alkalinity", row, high=ceiling - base, tolerance=(0.0, passed))


def source_residual(day: BrewDay) -> float:
    """Return the residual alkalinity of the source water, mEq/L."""
    calcium = day.source.mg_l("calcium") / EQUIVALENT_MASS_MG_MEQ["calcium"]
    magnesium = day.source.mg_l("magnesium") / EQUIVALENT_MASS_MG_MEQ["magnesium"]
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
    if stock.acid_mmol and not stock.is_malt:
        agent = stock.agent
        acid = stock.acid_mmol * protons_per_mole(agent.pkas, ROOM_PH, agent.strong_protons)
    return (
        stock.alkalinity_meq
        - acid
        - calcium / CALCIUM_PER_PROTON
        - magnesium / MAGNESIUM_PER_PROTON
    )
