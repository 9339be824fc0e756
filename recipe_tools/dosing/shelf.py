"""What is on the shelf: salts, acids and bases with the step in which they can be weighed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import log10

from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing.records import Stock
from recipe_tools.judgement.mash import ACIDULATED_MMOL_KG
from recipe_tools.reference import Agent, agent, agent_family, solution_density_kg_l

SCALE_G = 0.1
SYRINGE_ML = 0.1
CAREFUL_MG_L = 5.0
"""A dose is weighed about as finely as this, and never more finely than the scale shows
(derived_default): a salt changes an ion by 1 to 2 mg/L at most."""
SACK_G = 10.0
"""Acidulated malt is weighed with the grain."""

USUAL_SHELF = (
    ShelfItem("gypsum"),
    ShelfItem("calcium_chloride_dihydrate"),
    ShelfItem("epsom_salt"),
    ShelfItem("table_salt"),
    ShelfItem("baking_soda"),
    ShelfItem("lactic_acid", strength_percent=80.0),
    ShelfItem("sodium_metabisulfite"),
)
"""Supposed where the configuration names no shelf (derived_default)."""

_DOSED = frozenset({"salt", "base", "acid"})
_NEVER_FAMILIES = frozenset(
    {
        "chalk",
        "sodium_hydroxide",
        "sodium_carbonate",
        "acetic_acid",
        "zinc_sulfate",
        "zinc_chloride",
    }
)
_NEVER = frozenset({"quicklime", "lime_water", "calcium_sulfate_hemihydrate"})
"""Not proposed: will not dissolve, no food, tasted at any dose, or harmful beyond a trace."""

_RANKS = {
    "gypsum": 0,
    "calcium_chloride": 0,
    "lactic_acid": 0,
    "phosphoric_acid": 0,
    "table_salt": 1,
    "baking_soda": 1,
    "hydrochloric_acid": 1,
    "sulfuric_acid": 1,
    "acidulated_malt": 1,
    "epsom_salt": 2,
    "magnesium_chloride": 2,
    "slaked_lime": 2,
}
_RARE = 3
"""What is reached for first where several would do as well: calcium serves mash and yeast, the
others only taste (derived_default)."""


def shelf_of(options: Options) -> Sequence[ShelfItem]:
    """Return the shelf of the configuration, else the usual one."""
    return options.shelf or USUAL_SHELF


def stocks(options: Options, litres: float) -> tuple[Stock, ...]:
    """Return what can be dosed from the shelf of the configuration, else from the usual one.

    litres: all water of the brew day; large ones are dosed in larger steps (see `stock`).
    """
    found: dict[str, Stock] = {}
    for item in shelf_of(options):
        made = stock(item, litres)
        if made is not None and made.name not in found:
            found[made.name] = made
    return tuple(sorted(found.values(), key=lambda made: (made.is_acid, made.is_base, made.name)))


def has_pure_water(options: Options) -> bool:
    """True where the shelf names reverse-osmosis or distilled water."""
    return any(item.agent == "pure_water" for item in options.shelf)


def supposed(options: Options) -> tuple[str, ...]:
    """Return what had to be supposed about the shelf, in words."""
    if not options.shelf:
        names = ", ".join(_shelf_words(item) for item in USUAL_SHELF)
        return (f"no [[shelf]] in the configuration: {names} supposed, weighed to {SCALE_G:g} g",)
    found = []
    for item in options.shelf:
        made = stock(item)
        if made is not None and made.unit == "mL" and item.strength_percent is None:
            found.append(f"strength of {made.agent.name} not stated: {made.name} supposed")
    return tuple(found)


def left_alone(options: Options) -> tuple[str, ...]:
    """Return the names of what is on the shelf and is never dosed by a plan."""
    return tuple(
        named.name
        for item in options.shelf
        if (named := agent(item.agent)).kind in _DOSED and stock(item) is None
    )


def _shelf_words(item: ShelfItem) -> str:
    name = agent(item.agent).name.partition(" (")[0]
    return f"{name} {item.strength_percent:g} %" if item.strength_percent else name


def stock(item: ShelfItem, litres: float = 0.0) -> Stock | None:
    """Return what a shelf item can do; None for what is not dosed into mash or sparge water.

    litres: of the brew day. A step is that of scale or syringe, or as much as is weighed with care
    into so much water: 1 g from 200 L on, 10 g from 2,000 L on, and so forth.
    """
    named = agent(item.agent)
    if named.id == "acidulated_malt":
        return _acidulated(named)
    family = named.family or named.id
    if named.kind not in _DOSED or named.id in _NEVER or family in _NEVER_FAMILIES:
        return None
    if item.form == "solution" or named.form == "solution" or _is_thinned(named, item):
        return _solution(named, item, litres)
    return _solid(named, item, litres)


def _is_thinned(named: Agent, item: ShelfItem) -> bool:
    """True for an acid that is sold both ways and whose strength is that of a solution."""
    percent = item.strength_percent
    return named.form == "either" and item.form is None and percent is not None and percent < 100.0


def _careful(litres: float) -> float:
    """Return the power of ten in g or mL that a volume is dosed by, 0 for less than 1."""
    least = litres * CAREFUL_MG_L / 1000.0
    return float(10 ** int(log10(least))) if least >= 1.0 else 0.0


def _rank(named: Agent) -> int:
    return _RANKS.get(named.family or named.id, _RARE)


def _solid(named: Agent, item: ShelfItem, litres: float) -> Stock:
    step = max(item.scale_g or SCALE_G, _careful(litres))
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
        substance_g=pure,
        rank=_rank(named),
    )


def _solution(named: Agent, item: ShelfItem, litres: float) -> Stock:
    step = max(SYRINGE_ML, _careful(litres))
    strength = item.strength_percent or named.default_strength_percent
    family = agent_family(named.family) if named.family and named.kind != "acid" else ()
    liquid = next((member for member in family if member.form == "solution"), named)
    dry = next((member for member in family if member.hydrate == "0"), named)
    grams = step * solution_density_kg_l(liquid.id, strength) * strength / 100.0
    return Stock(
        agent=liquid,
        name=written_name(liquid, strength),
        unit="mL",
        step=step,
        strength_percent=strength,
        ions_mg=_ions(dry, grams),
        alkalinity_meq=dry.alkalinity_meq_g * grams,
        acid_mmol=1000.0 * grams / dry.molar_mass_g_mol if named.kind == "acid" else 0.0,
        substance_g=grams,
        rank=_rank(named),
    )


def _acidulated(named: Agent) -> Stock:
    mmol = ACIDULATED_MMOL_KG * SACK_G / 1000.0
    return Stock(
        agent=named,
        name="Acidulated malt",
        unit="g",
        step=SACK_G,
        strength_percent=None,
        ions_mg={},
        alkalinity_meq=0.0,
        acid_mmol=mmol,
        substance_g=mmol * named.molar_mass_g_mol / 1000.0,
        rank=_rank(named),
    )


def _ions(named: Agent, grams: float) -> Mapping[str, float]:
    return {ion: amount * grams for ion, amount in named.ions_mg_per_g.items()}


def written_name(named: Agent, strength_percent: float | None) -> str:
    """Return the name under which a dose is written into a recipe, with hydrate and strength."""
    name = named.name[:1].upper() + named.name[1:]
    return name if strength_percent is None else f"{name} {strength_percent:g} %"
