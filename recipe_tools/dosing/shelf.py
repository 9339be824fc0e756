"""What is on the shelf: salts, acids and bases with the step in which they can be weighed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing.records import Stock
from recipe_tools.reference import Agent, agent, agent_family, solution_density_kg_l

SCALE_G = 0.1
SYRINGE_ML = 0.1
SACK_G = 10.0
"""Acidulated malt is weighed with the grain."""

ACIDULATED_MMOL_G = 0.336
"""Mean of 315 and 358 mEq/kg (Troester 2009), counted as lactic acid."""

USUAL_SHELF = (
    ShelfItem("gypsum"),
    ShelfItem("calcium_chloride_dihydrate"),
    ShelfItem("epsom_salt"),
    ShelfItem("table_salt"),
    ShelfItem("baking_soda"),
    ShelfItem("lactic_acid", strength_percent=80.0),
)
"""Supposed where the configuration names no shelf (derived_default)."""

_DOSED = frozenset({"salt", "base", "acid"})
_NEVER = frozenset({"chalk", "quicklime", "sodium_hydroxide", "lime_water", "sodium_carbonate"})
"""Not proposed: will not dissolve, not food, or hard to dose."""


def stocks(options: Options) -> tuple[Stock, ...]:
    """Return what can be dosed from the shelf of the configuration, else from the usual one."""
    items: Sequence[ShelfItem] = options.shelf or USUAL_SHELF
    found: dict[str, Stock] = {}
    for item in items:
        made = stock(item)
        if made is not None and made.name not in found:
            found[made.name] = made
    return tuple(sorted(found.values(), key=lambda made: (made.is_acid, made.is_base, made.name)))


def has_pure_water(options: Options) -> bool:
    """True where the shelf names reverse-osmosis or distilled water."""
    return any(item.agent == "pure_water" for item in options.shelf)


def stock(item: ShelfItem) -> Stock | None:
    """Return what a shelf item can do; None for what is not dosed into mash or sparge water."""
    named = agent(item.agent)
    if named.id == "acidulated_malt":
        return _acidulated(named)
    if named.kind not in _DOSED or named.id in _NEVER:
        return None
    if item.form == "solution" or named.form == "solution":
        return _solution(named, item)
    return _solid(named, item)


def _solid(named: Agent, item: ShelfItem) -> Stock:
    step = item.scale_g or SCALE_G
    pure = step * (item.purity_percent or 100.0) / 100.0
    return Stock(
        agent=named,
        name=written_name(named, None),
        unit="g",
        step=step,
        strength_percent=None,
        ions_mg=_ions(named, pure),
        alkalinity_meq=named.alkalinity_meq_g * pure,
        acid_mmol=1000.0 * pure / named.molar_mass_g_mol if named.kind == "acid" else 0.0,
    )


def _solution(named: Agent, item: ShelfItem) -> Stock:
    strength = item.strength_percent or named.default_strength_percent
    family = agent_family(named.family) if named.family and named.kind != "acid" else ()
    liquid = next((member for member in family if member.form == "solution"), named)
    dry = next((member for member in family if member.hydrate == "0"), named)
    grams = SYRINGE_ML * solution_density_kg_l(liquid.id, strength) * strength / 100.0
    return Stock(
        agent=liquid,
        name=written_name(liquid, strength),
        unit="mL",
        step=SYRINGE_ML,
        strength_percent=strength,
        ions_mg=_ions(dry, grams),
        alkalinity_meq=dry.alkalinity_meq_g * grams,
        acid_mmol=1000.0 * grams / dry.molar_mass_g_mol if named.kind == "acid" else 0.0,
    )


def _acidulated(named: Agent) -> Stock:
    return Stock(
        agent=named,
        name="Acidulated malt",
        unit="g",
        step=SACK_G,
        strength_percent=None,
        ions_mg={},
        alkalinity_meq=0.0,
        acid_mmol=ACIDULATED_MMOL_G * SACK_G,
    )


def _ions(named: Agent, grams: float) -> Mapping[str, float]:
    return {ion: amount * grams for ion, amount in named.ions_mg_per_g.items()}


def written_name(named: Agent, strength_percent: float | None) -> str:
    """Return the name under which a dose is written into a recipe, with hydrate and strength."""
    name = named.name[:1].upper() + named.name[1:]
    return name if strength_percent is None else f"{name} {strength_percent:g} %"
