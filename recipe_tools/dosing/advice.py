"""What belongs beside a plan: acid in portions, soda against an overshoot, how to handle things."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.ions import MOLAR_MASS_G_MOL
from recipe_tools.chemistry.mash_balance import balance_of, carbonate_charge, protons
from recipe_tools.chemistry.mash_ph import ph_only
from recipe_tools.dosing.limits import Aims, let_pass
from recipe_tools.dosing.mash_balance import mash_with
from recipe_tools.dosing.records import Caution, Dechlorination, Portions, ProposedDose, Stock
from recipe_tools.dosing.setting import all_litres
from recipe_tools.reference import Agent, agent, hazard

FIRST_SHARE = 2.0 / 3.0
"""Of the acid at dough-in, the rest after measuring (common practice, no source)."""
_UNDIVIDED_STEPS = 3
_TENTH_PH = 0.1
_SODA_G_MOL = 84.006


def portions(day: BrewDay, share: float, doses: Sequence[ProposedDose]) -> tuple[Portions, ...]:
    """Return how each acid goes into the mash; day: without the doses, share: of pure water."""
    mash = day.mash_input
    mashed = [item for item in doses if item.stage == "mash"]
    acids = [item for item in mashed if item.stock.is_acid and not item.stock.is_malt]
    if mash is None or not acids:
        return ()
    first = {id(item): _first(item.steps) for item in acids}
    held = [(item.stock, float(first.get(id(item), item.steps))) for item in mashed]
    ph = ph_only(mash_with(mash, day, share, held))
    return tuple(
        Portions(
            item.stock,
            round(first[id(item)] * item.stock.step, 6),
            round((item.steps - first[id(item)]) * item.stock.step, 6),
            ph,
        )
        for item in acids
    )


def _first(steps: int) -> int:
    return steps if steps < _UNDIVIDED_STEPS else int(FIRST_SHARE * steps + 1e-9)


def soda_for_a_tenth(after: BrewDay, goal: Aims) -> float | None:
    """Return grams of baking soda that lift the mash by 0.1 pH; None without a mash or room.

    Bicarbonate takes one proton less its own charge at the higher pH: what the mash gives on the
    way up, divided by that. No room: the sodium would pass its safe limit.
    """
    mash, prediction = after.mash_input, after.prediction
    if mash is None or prediction is None:
        return None
    ph = prediction.ph + _TENTH_PH
    given = protons(balance_of(mash), ph)[0]
    taken = 1.0 - carbonate_charge(10.0**-ph)[0]
    grams = given / taken * after.grist_kg * _SODA_G_MOL / 1000.0
    liquor = after.liquor
    sodium = None if liquor is None else liquor.ions_mg_l.get("sodium")
    limit = goal.hard.get("sodium")
    if sodium is None or limit is None:
        return grams
    brought = 1000.0 * grams * MOLAR_MASS_G_MOL["sodium"] / _SODA_G_MOL / all_litres(after)
    return grams if sodium.best + brought <= let_pass(limit) else None


def cautions(
    doses: Iterable[ProposedDose], sulfite: Dechlorination | None, soda: bool
) -> tuple[Caution, ...]:
    """Return how to handle what a plan uses, each agent and strength once."""
    used: list[tuple[Agent, float | None, str]] = []
    if sulfite is not None:
        used.append((sulfite.agent, None, sulfite.name))
    used += [
        (item.stock.agent, item.stock.strength_percent, item.stock.name)
        for item in doses
        if not item.stock.is_malt
    ]
    if soda:
        used.append((agent("baking_soda"), None, "Baking soda"))
    return _cautions_of(used)


def stock_cautions(stocks: Iterable[Stock]) -> tuple[Caution, ...]:
    """Return how to handle some stocks, each agent and strength once."""
    return _cautions_of((item.agent, item.strength_percent, item.name) for item in stocks)


def _cautions_of(used: Iterable[tuple[Agent, float | None, str]]) -> tuple[Caution, ...]:
    found: dict[str, Caution] = {}
    for named, percent, name in used:
        known = hazard(named.id, percent)
        if known is not None and (known.signal_word or known.advice):
            codes = (*known.h, *known.euh)
            found.setdefault(name, Caution(name, known.signal_word, codes, known.advice))
    return tuple(found.values())
