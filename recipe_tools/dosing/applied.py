"""A recipe with a plan in it, as if the brewer had written it down."""

from __future__ import annotations

from collections.abc import Sequence

from recipe_tools.brewday import BrewDay, plan
from recipe_tools.config import Options
from recipe_tools.dosing.mash_balance import ACIDULATED, ACIDULATED_EBC, swapped_malt
from recipe_tools.dosing.records import Dechlorination, Dilution, Proposal, ProposedDose, Swap
from recipe_tools.dosing.setting import all_litres, mash_litres, sparge_litres
from recipe_tools.recipe import Addition, Fermentable, Recipe

PURE_WATER = "Reverse osmosis water"
TREATMENTS = frozenset({"salt", "base", "acid", "sulfite", "antioxidant"})
_WATER_STAGES = frozenset({"source", "mash", "sparge", "boil"})
_SHOWN_L = 0.05


def own_treatments(recipe: Recipe, options: Options) -> tuple[Addition, ...]:
    """Return the salts, acids, bases and sulfite a recipe adds to its water up to the boil."""
    return tuple(
        item.addition
        for item in plan(recipe, options).doses
        if item.agent is not None and item.agent.kind in TREATMENTS and item.stage in _WATER_STAGES
    )


def without_treatments(recipe: Recipe, options: Options) -> Recipe:
    """Return the recipe without the treatments of its water."""
    treatments = {id(item) for item in own_treatments(recipe, options)}
    kept = tuple(item for item in recipe.additions if id(item) not in treatments)
    return recipe._replace(additions=kept)


def with_sulfite(recipe: Recipe, sulfite: Dechlorination | None) -> Recipe:
    """Return the recipe with what takes the chlorine out of its water."""
    if sulfite is None:
        return recipe
    added = Addition(
        sulfite.name,
        "water agent",
        "mash",
        amount=sulfite.grams,
        unit="g",
        mass_g=sulfite.grams,
    )
    return recipe._replace(additions=(*recipe.additions, added))


def with_doses(
    recipe: Recipe, day: BrewDay, doses: Sequence[ProposedDose], dilution: Dilution | None
) -> Recipe:
    """Return the recipe with the doses and pure water of a plan; day: its brew day without them."""
    added = [addition(item) for item in doses if not item.stock.is_malt]
    if dilution is not None:
        litres = sum(dilution.litres.values())
        added.append(
            Addition(
                PURE_WATER, "other", "mash", amount=litres, unit="L", volume_ml=1000.0 * litres
            )
        )
    result = recipe._replace(additions=(*recipe.additions, *added))
    swap = malt_swap(day, doses)
    return result if swap is None else _swapped(result, day, swap)


def at_the_reading(proposal: Proposal) -> Recipe:
    """Return the recipe as it stands when the mash is first read: the rest of the acid is not in.

    Without a plan it is the recipe as it is.
    """
    if proposal.planned is None:
        return proposal.recipe
    additions = list(proposal.planned.additions)
    for part in proposal.portions:
        steps = round(part.first / part.stock.step)
        # The doses of the plan stand behind the additions of the recipe itself.
        place = max(
            place
            for place, item in enumerate(additions)
            if item.name == part.stock.name and item.use == "mash"
        )
        additions[place] = addition(ProposedDose(part.stock, "mash", steps))
    return proposal.planned._replace(additions=tuple(additions))


def addition(item: ProposedDose) -> Addition:
    """Return a dose as an addition of a recipe."""
    grams = item.amount if item.stock.unit == "g" else None
    millilitres = item.amount if item.stock.unit == "mL" else None
    return Addition(
        item.stock.name,
        "water agent",
        item.stage,
        amount=item.amount,
        unit="g" if grams is not None else "ml",
        mass_g=grams,
        volume_ml=millilitres,
    )


def malt_swap(day: BrewDay, doses: Sequence[ProposedDose]) -> Swap | None:
    """Return which malt acidulated malt replaces, and how much of it; None without any."""
    grams = sum(item.amount for item in doses if item.stock.is_malt)
    found = swapped_malt(day)
    if not grams or found is None:
        return None
    return Swap(found[1].fermentable.name, grams / 1000.0)


def _swapped(recipe: Recipe, day: BrewDay, swap: Swap) -> Recipe:
    found = swapped_malt(day)
    if found is None:
        return recipe
    given_way = found[1].fermentable
    fermentables = []
    for item in recipe.fermentables:
        if item is given_way:
            fermentables.append(item._replace(amount_kg=(item.amount_kg or 0.0) - swap.kilograms))
            fermentables.append(
                Fermentable(
                    ACIDULATED,
                    "grain",
                    amount_kg=swap.kilograms,
                    colour_ebc=ACIDULATED_EBC,
                    yield_percent=item.yield_percent,
                    stage=item.stage,
                )
            )
        else:
            fermentables.append(item)
    return recipe._replace(fermentables=tuple(fermentables))


def dilution_of(day: BrewDay, share: float, present: float) -> Dilution | None:
    """Return the litres for a share of pure water in what is not pure water yet (``present``)."""
    if share <= 0:
        return None
    part = share * (1.0 - present)
    litres = {"mash": part * mash_litres(day), "sparge": part * sparge_litres(day)}
    rest = part * (all_litres(day) - mash_litres(day) - sparge_litres(day))
    if rest > _SHOWN_L:
        litres["kettle"] = rest
    return Dilution(part, {name: amount for name, amount in litres.items() if amount > 0})
