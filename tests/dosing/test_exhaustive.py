"""Plans against all plans there are: none better is overlooked, and none at all is denied."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest

from recipe_tools.brewday import BrewDay, plan
from recipe_tools.checking import check_bytes
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing import Proposal, Request, propose
from recipe_tools.dosing.applied import dilution_of, with_doses
from recipe_tools.dosing.columns import RANK_COST
from recipe_tools.dosing.limits import HALF_A_MILLIGRAM, aims
from recipe_tools.dosing.mash_rows import OFF_TARGET_G_MEQ
from recipe_tools.dosing.records import ProposedDose, Stock
from recipe_tools.dosing.search import NEAR_PH
from recipe_tools.dosing.setting import all_litres
from recipe_tools.dosing.shelf import has_pure_water, stocks
from recipe_tools.dosing.sparge import TARGETS_PH, sparge_acid
from recipe_tools.recipe import Recipe
from recipe_tools.rules.examples import document
from tests.dosing import exhaustive
from tests.dosing.cases import case, read_recipe, with_plan

_GYPSUM = ShelfItem("gypsum", scale_g=1.0)
_CHLORIDE = ShelfItem("calcium_chloride_dihydrate", scale_g=1.0)
_SMALL_SHELVES = (
    (_GYPSUM, ShelfItem("phosphoric_acid", strength_percent=75.0)),
    (_CHLORIDE, ShelfItem("lactic_acid", strength_percent=80.0)),
    (_GYPSUM, _CHLORIDE, ShelfItem("phosphoric_acid", strength_percent=75.0)),
    (_GYPSUM, _CHLORIDE, ShelfItem("baking_soda", scale_g=0.5)),
    (_GYPSUM, ShelfItem("table_salt", scale_g=0.5), ShelfItem("lactic_acid", strength_percent=80)),
)
SMALL_CASES = 50


def small(seed: int) -> tuple[Recipe, Options]:
    """Return a recipe without sparge and additions of its own, and a shelf of two or three."""
    drawn = case(1000 + seed)
    body = {**drawn.body, "mash": {**drawn.body["mash"]}}
    body["mash"]["mash_steps"] = body["mash"]["mash_steps"][:1]
    body["ingredients"] = {**body["ingredients"], "miscellaneous_additions": []}
    shelf = _SMALL_SHELVES[seed % len(_SMALL_SHELVES)]
    return read_recipe(body), Options(shelf=shelf)


def met(day: BrewDay, made: tuple[Stock, ...], plans: exhaustive.Grid, options: Options) -> Any:
    """Return for each plan whether it meets ranges, limits and window, by the rules' own words."""
    goal = aims(day, options)
    level = {
        ion: exhaustive.levels(day, made, plans, ion)
        for ion in ("calcium", "magnesium", "sodium", "chloride", "sulfate")
    }
    good = np.ones(plans.size, dtype=bool)
    for ion, (low, high) in goal.wanted.items():
        good &= level[ion] >= (low or 0.0) - 1e-6
        good &= level[ion] <= (1e9 if high is None else high + 1e-6)
    for ion, limit in goal.hard.items():
        good &= level.get(ion, 0.0) <= limit + 0.499
    if goal.ratio is not None:
        low, high = goal.ratio
        ratio = level["sulfate"] / np.maximum(level["chloride"], 1e-9)
        judged = np.maximum(level["sulfate"], level["chloride"]) >= goal.ratio_from_mg_l - 0.1
        judged &= level["chloride"] >= 4.9
        inside = (ratio >= (low or 0.0) - 0.0499) & (ratio <= (high or 1e9) + 0.0499)
        good &= inside | ~judged
    good &= np.minimum(level["chloride"], level["sulfate"]) <= goal.both_anions_mg_l
    sodium, sulfate = goal.sodium_beside_sulfate or (1e9, 1e9)
    good &= (level["sodium"] <= sodium + 0.499) | (level["sulfate"] <= sulfate + 0.499)
    return good & _residual_met(day, made, plans, level, goal) & _lactate_met(day, made, plans)


def _residual_met(
    day: BrewDay, made: tuple[Stock, ...], plans: exhaustive.Grid, level: Any, goal: Any
) -> Any:
    if goal.residual_meq_l is None:
        return np.ones(plans.size, dtype=bool)
    assert day.mash is not None
    litres = day.mash.volume_l.best
    # Kolbach: alkalinity - Ca/3.5 - Mg/7, less the protons of the acid at pH 5.4.
    alkalinity = np.full(plans.size, day.source.alkalinity_meq_l.best)
    for place, stock in enumerate(made):
        alkalinity += plans.steps[:, place] * stock.alkalinity_meq / litres
        if stock.acid_mmol:
            given = exhaustive.protons_of(stock, np.array(5.4))
            alkalinity -= plans.steps[:, place] * stock.acid_mmol * given / litres
    residual = alkalinity - level["calcium"] / 20.039 / 3.5 - level["magnesium"] / 12.1525 / 7.0
    return residual <= goal.residual_meq_l + 1e-6


def _lactate_met(day: BrewDay, made: tuple[Stock, ...], plans: exhaustive.Grid) -> Any:
    mmol = sum(
        plans.steps[:, place] * stock.acid_mmol
        for place, stock in enumerate(made)
        if stock.agent.id == "lactic_acid"
    )
    if day.family is not None and day.family.family == "sour":
        return np.ones(plans.size, dtype=bool)
    return np.asarray(mmol) * 89.07 / (day.recipe.batch_l or 1.0) <= 400.0


def missing(day: BrewDay, made: tuple[Stock, ...], plans: exhaustive.Grid, options: Options) -> Any:
    """Return for each plan by ion whether its range, or the ratio of the two, is missed for it.

    The low ends of the ranges; calcium also by the least of the mash. chloride is missed where the
    ratio is above its range, sulfate where it lies below.
    """
    goal = aims(day, options)
    level = {ion: exhaustive.levels(day, made, plans, ion) for ion in _BROUGHT}
    missed = {
        ion: level[ion] < (goal.wanted.get(ion, (None, None))[0] or 0.0) - 1e-6 for ion in _BROUGHT
    }
    if goal.calcium_mg_l is not None:
        missed["calcium"] |= level["calcium"] < goal.calcium_mg_l - HALF_A_MILLIGRAM - 1e-6
    if goal.ratio is not None:
        low, high = goal.ratio
        judged = np.maximum(level["sulfate"], level["chloride"]) >= goal.ratio_from_mg_l
        ratio = level["sulfate"] / np.maximum(level["chloride"], 1e-9)
        missed["sulfate"] |= judged & (ratio < (low or 0.0) - 0.0499)
        missed["chloride"] |= judged & (ratio > (1e9 if high is None else high) + 0.0499)
    return missed


_BROUGHT = ("calcium", "magnesium", "sodium", "chloride", "sulfate")


@dataclass(frozen=True, slots=True)
class Care:
    """What a brewer minds, by plan: salts nobody needs, more of them than needed, specks."""

    idle: Any
    more: Any
    specks: Any


def care(day: BrewDay, made: tuple[Stock, ...], plans: exhaustive.Grid, options: Options) -> Care:
    """Return it, from the plans without a salt and with a step less of it."""
    assert day.mash is not None
    idle = np.zeros(plans.size, dtype=bool)
    more, specks = idle.copy(), np.zeros(plans.size)
    for place, stock in enumerate(made):
        steps = plans.steps[:, place]
        least = max(2, int(np.ceil(0.025 * day.mash.volume_l.best / stock.step - 1e-9)))
        small = (steps > 0) & (steps < least)
        if stock.is_acid or stock.is_base:
            idle |= small
            continue
        specks += small
        for fewer, found in ((np.zeros(plans.size), "idle"), (steps - 1, "more")):
            changed = plans.steps.copy()
            changed[:, place] = fewer
            lacking = missing(day, made, exhaustive.Grid(changed, plans.share), options)
            wanted = np.zeros(plans.size, dtype=bool)
            for ion in stock.ions_mg:
                wanted |= lacking.get(ion, wanted)
            if found == "idle":
                idle |= (steps > 0) & ~wanted
            else:
                more |= (steps > least) & ~wanted
    return Care(idle, more, specks)


@dataclass(frozen=True, slots=True)
class Meeting:
    """All plans of the grid that meet everything, with their mash pH and what a brewer minds."""

    plans: exhaustive.Grid
    ph: Any
    more: Any
    specks: Any


def meeting(day: BrewDay, made: tuple[Stock, ...], options: Options) -> Meeting:
    """Return all plans of up to 25 steps of each salt and 90 of an acid that meet everything."""
    choices = [range(26) if "acid" not in stock.agent.kind else range(91) for stock in made]
    plans = exhaustive.grid(choices)
    plans = exhaustive.kept(plans, met(day, made, plans, options))
    ph = exhaustive.mash_ph(day, made, plans)
    low, high = aims(day, options).ph
    inside = (ph >= low) & (ph <= high)
    plans, ph = exhaustive.kept(plans, inside), ph[inside]
    minded = care(day, made, plans, options)
    calcium = exhaustive.levels(day, made, plans, "calcium")
    good = ~minded.idle & (~minded.more | (calcium <= 100.0)) & (calcium <= 150.0)
    return Meeting(exhaustive.kept(plans, good), ph[good], minded.more[good], minded.specks[good])


def ranks(day: BrewDay, made: tuple[Stock, ...], found: Meeting) -> Any:
    """Return for each plan, in the order of goals: minded, salts, their grams, rest."""
    salts = [not (stock.is_acid or stock.is_base) for stock in made]
    steps = found.plans.steps
    count = sum(
        (steps[:, place] > 0) * (1.0 + RANK_COST * stock.rank)
        for place, stock in enumerate(made)
        if salts[place]
    )
    grams = [stock.substance_g for stock in made]
    salted = steps @ np.array([g if salt else 0.0 for g, salt in zip(grams, salts, strict=True)])
    others = steps @ np.array([0.0 if salt else g for g, salt in zip(grams, salts, strict=True)])
    used = sum((steps[:, place] > 0) for place in range(len(made)) if not salts[place])
    off = np.abs(exhaustive.balance(day, made, found.plans, np.full(found.plans.size, 5.4)))
    rest = others + OFF_TARGET_G_MEQ * day.grist_kg * off
    return np.stack([100.0 * found.more + found.specks, count, salted, used, rest], axis=1)


def best_of_all(day: BrewDay, made: tuple[Stock, ...], found: Meeting, near_ph: float) -> Any:
    """Return the rank of the best plan.

    near_ph: how near the target counts as reached; or else as near as it can be.
    """
    minded = 100.0 * found.more + found.specks
    kept = minded <= minded.min()
    off = np.where(kept, np.abs(found.ph - 5.4), 9.0)
    kept &= off <= (near_ph if off.min() <= near_ph else off.min() + max(0.0, near_ph - 0.045))
    ranked = ranks(day, made, found)[kept]
    return ranked[np.lexsort(ranked.T[::-1])[0]]


@pytest.mark.parametrize("seed", range(SMALL_CASES))
def test_a_plan_is_as_good_as_the_best_of_all(seed: int) -> None:
    recipe, options = small(seed)
    day = plan(recipe, options)
    made = stocks(options, all_litres(day))
    proposal = propose(recipe, options, Request(target_ph=5.4))
    found = meeting(day, made, options)
    if not found.plans.size:
        # Met only by what a check lets pass, or not at all; the other test looks at those.
        assert not proposal.feasible or _tolerated(proposal.after, options)
        return
    assert proposal.feasible
    # The distance to the target is measured along the tangent, so a plan at its edge may differ.
    bests = [best_of_all(day, made, found, NEAR_PH + by) for by in (0.0, -0.006, 0.006)]
    steps = {item.stock.name: item.steps for item in proposal.doses}
    chosen = np.array([float(steps.get(stock.name, 0)) for stock in made])
    (place,) = np.flatnonzero((found.plans.steps == chosen).all(axis=1))
    own = ranks(day, made, found)[place]
    largest = max(stock.substance_g for stock in made)
    assert any(
        own[:2] == pytest.approx(best[:2])
        and own[2] <= best[2] + largest
        and own[3] <= best[3]
        and own[4] <= best[4] + largest
        for best in bests
    ), (own, bests)


def _tolerated(day: BrewDay | None, options: Options) -> bool:
    """Tell whether a brew day lies outside a range by no more than a check lets pass."""
    assert day is not None
    assert day.total is not None
    goal = aims(day, options)
    outside = [
        ion
        for ion, (low, high) in goal.wanted.items()
        if not (low or 0.0) <= day.total.ions_mg_l[ion].best <= (1e9 if high is None else high)
    ]
    assert day.mash is not None
    assert day.mash.residual_alkalinity_meq_l is not None
    return bool(outside) or goal.residual_meq_l is not None


@pytest.mark.parametrize("first", range(0, 120, 20))
def test_no_plan_is_denied_that_a_grid_finds(first: int) -> None:
    denied = []
    looked_at = 0
    for seed in range(first, first + 20):
        recipe, options, body = _denial(seed)
        proposal = propose(recipe, options, Request(split="mash", replace=True))
        if proposal.feasible:
            continue
        looked_at += 1
        found = _a_plan(body, proposal, options)
        if found:
            denied.append(f"seed {seed}: {found}; said: {proposal.reasons}")
    assert denied == []
    assert looked_at >= 3, "too few cases without a plan to prove anything"


def _denial(seed: int) -> tuple[Recipe, Options, dict[str, Any]]:
    """Return a case with at most three things on the shelf and perhaps pure water."""
    drawn = case(3000 + seed)
    body = dict(drawn.body)
    body["ingredients"] = {**body["ingredients"], "miscellaneous_additions": []}
    draw = random.Random(seed)
    names = ("gypsum", "calcium_chloride_dihydrate", "baking_soda", "lactic_acid", "table_salt")
    shelf = [ShelfItem(name) for name in draw.sample(names, draw.choice((2, 3)))]
    if draw.random() < 0.4:
        shelf.append(ShelfItem("pure_water"))
    return read_recipe(body), Options(shelf=tuple(shelf)), body


def _a_plan(body: dict[str, Any], proposal: Proposal, options: Options) -> str:
    """Return a plan of a coarse grid in whose file a check finds nothing, or nothing."""
    day = proposal.before
    made = stocks(options, all_litres(day))
    shares = np.arange(0.0, 1.01, 0.1) if has_pure_water(options) else (0.0,)
    choices = [range(0, 151, 6) if stock.unit == "g" else range(0, 61, 4) for stock in made]
    plans = exhaustive.grid(choices, shares)
    plans = exhaustive.kept(plans, _nearly_met(day, made, plans, options))
    if not plans.size:
        return ""
    # A salt that no ion asks for, or that takes the mash above 100 mg/L for its pH, is no plan.
    minded = care(day, made, plans, options)
    assert day.mash is not None
    calcium = day.mash.ions_mg_l["calcium"].best - plans.share * day.source.mg_l("calcium")
    brought = plans.steps @ np.array([stock.ions_mg.get("calcium", 0.0) for stock in made])
    calcium = calcium + brought / day.mash.volume_l.best
    plans = exhaustive.kept(plans, ~minded.idle & (~minded.more | (calcium <= 100.0)))
    ph = exhaustive.mash_ph(day, made, plans)
    plans = exhaustive.kept(plans, (ph > 5.25) & (ph < 5.55))
    for steps, share in list(zip(plans.steps, plans.share, strict=True))[:300]:
        doses = [
            ProposedDose(stock, "mash", int(count))
            for stock, count in zip(made, steps, strict=True)
            if count
        ]
        acid_and_base = any(d.stock.is_acid for d in doses) and any(d.stock.is_base for d in doses)
        if acid_and_base:
            continue
        for acid in _sparge(day, made, float(share)):
            dilution = dilution_of(day, float(share), 0.0)
            planned = with_doses(proposal.recipe, day, [*doses, *acid], dilution)
            if _clean(with_plan(body, replace(proposal, planned=planned, swap=None)), options):
                return f"{[(d.stock.name, d.stage, d.amount) for d in doses]}, share {share:.1f}"
    return ""


def _sparge(day: BrewDay, made: tuple[Stock, ...], share: float) -> list[list[ProposedDose]]:
    found = [
        [dose]
        for stock in made
        for to_ph in TARGETS_PH
        if (dose := sparge_acid(day, stock, share, to_ph)) is not None
    ]
    return [*found, []]


def _nearly_met(
    day: BrewDay, made: tuple[Stock, ...], plans: exhaustive.Grid, options: Options
) -> Any:
    """Return a mask that lets through everything a check might find nothing in."""
    goal = aims(day, options)
    good = np.ones(plans.size, dtype=bool)
    for ion, (low, high) in goal.accepted.items():
        level = exhaustive.levels(day, made, plans, ion)
        good &= level >= (low or 0.0) - 0.2
        good &= level <= (1e9 if high is None else high + 0.2)
    return good


def _clean(body: dict[str, Any], options: Options) -> bool:
    checked = check_bytes(document(body), "grid.json", options)
    return not any(
        item.rule.startswith(("ions/", "mash-ph/", "sparge/")) for item in checked.findings
    )
