"""What a brewer would shake the head at, counted over drawn brew days.

`python -m tests.dosing.shares [CASES]` prints how many plans (a) add calcium for the mash pH, (b)
hold a speck, (c) use two acids where one would do, (d) lean on an extrapolation, (e) miss their
target without naming the limit that decided, and how many cases without a whole plan name neither
a way out nor that there is none. Everything is judged on the written recipe, without the solver.
"""

from __future__ import annotations

import re
import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from math import ceil
from typing import Any

from recipe_tools.brewday import BrewDay, plan
from recipe_tools.config import Options
from recipe_tools.dosing import Proposal, ProposedDose, Stock, propose
from recipe_tools.dosing.limits import aims
from recipe_tools.recipe import Addition, Recipe
from tests.dosing.cases import Case, case

CASES = 500
NEAR_PH = 0.05
LEAST_PER_LITRE = 0.025
LEAST_STEPS = 2
MOST_CALCIUM_MG_L = 100.0
"""The numbers a plan is held against, as the manual states them."""
STOPS = re.compile(
    r"( stops? at |wanted at )[^:]*\d[^:]*: the mash stops|safe limit|on the shelf|too little"
    r"|would only be undone|end of its range|is not needed for a plan|worth weighing"
    r"|an extrapolation: the mash|most likely read between|beside much sulfate"
)
"""Words with which a limit is named, by its number where it has one."""


def _without(recipe: Recipe, name: str, steps_g: float | None = None, jump: int = 1) -> Recipe:
    """Return a planned recipe without what a plan adds of a name, or with a step less of it.

    jump: steps by which the sparge share follows one of the mash.
    """
    kept: list[Addition] = []
    for item in recipe.additions:
        added = not item.origin.path and item.name == name
        if added and steps_g is not None and item.amount is not None:
            # Liquids as their volume, solids as their mass.
            less = item.amount - steps_g * (jump if item.use == "sparge" else 1)
            changes: dict[str, Any] = {"amount": less}
            changes["mass_g" if item.mass_g is not None else "volume_ml"] = less
            if less > 0:
                kept.append(item._replace(**changes))
        elif not added:
            kept.append(item)
    return recipe._replace(additions=tuple(kept))


def in_ranges(day: BrewDay, options: Options, brought: set[str]) -> bool:
    """Tell whether each of these ions lies in its wanted range, their ratio included."""
    goal = aims(day, options)
    assert day.liquor is not None
    level = {ion: amount.best for ion, amount in day.liquor.ions_mg_l.items()}
    for ion in brought & set(level):
        low, high = goal.wanted.get(ion, (None, None))
        if (low is not None and level[ion] < low) or (high is not None and level[ion] > high):
            return False
    if "calcium" in brought and goal.calcium_mg_l is not None and "calcium" in level:
        mashed = day.mash.ions_mg_l["calcium"].best if day.mash is not None else 0.0
        if max(level["calcium"], mashed) < goal.calcium_mg_l:
            return False
    if goal.ratio is None or not brought & {"sulfate", "chloride"}:
        return True
    sulfate, chloride = level["sulfate"], level["chloride"]
    if chloride < 5.0 or max(sulfate, chloride) < goal.ratio_from_mg_l:
        return True
    low, high = goal.ratio
    return (low or 0.0) - 0.05 <= sulfate / chloride <= (1e9 if high is None else high) + 0.05


def calcium_for_ph(proposal: Proposal, options: Options) -> Iterator[str]:
    """Yield which salt of a plan brings calcium that no ion asks for."""
    if proposal.planned is None or proposal.after is None or proposal.after.mash is None:
        return
    calcium = proposal.after.mash.ions_mg_l.get("calcium")
    for stock in {item.stock.name: item.stock for item in proposal.doses}.values():
        if stock.agent.kind != "salt" or "calcium" not in stock.ions_mg:
            continue
        brought = set(stock.ions_mg)
        if in_ranges(plan(_without(proposal.planned, stock.name), options), options, brought):
            yield f"{stock.name} though all it brings is in range without"
        elif (
            calcium is not None and calcium.best > MOST_CALCIUM_MG_L and not _least(proposal, stock)
        ):
            sparge, mash = proposal.before.sparge, proposal.before.mash
            jump = ceil(sparge.volume_l.best / mash.volume_l.best) if sparge and mash else 1
            less = _without(proposal.planned, stock.name, stock.step, jump)
            if in_ranges(plan(less, options), options, brought):
                yield f"{stock.name} beyond need at {calcium.best:.0f} mg/L calcium"


def _least(proposal: Proposal, stock: Stock) -> bool:
    """Tell whether less of a salt in the mash would be a speck."""
    item = next(item for item in proposal.doses if item.stock.name == stock.name)
    litres = _litres(proposal.before, item)
    return item.steps - 1 < max(LEAST_STEPS, LEAST_PER_LITRE * litres / stock.step - 1e-9)


def _litres(day: BrewDay, item: ProposedDose) -> float:
    water = {"mash": day.mash, "sparge": day.sparge, "boil": day.total}[item.stage]
    assert water is not None
    return water.volume_l.best


def specks(proposal: Proposal, options: Options) -> Iterator[str]:
    """Yield doses too small to be of use; in brackets those without which an ion leaves."""
    for item in proposal.doses:
        litres = _litres(proposal.before, item)
        if item.amount >= LEAST_PER_LITRE * litres - 1e-9 and item.steps >= LEAST_STEPS:
            continue
        assert proposal.planned is not None
        day = plan(_without(proposal.planned, item.stock.name), options)
        text = f"{item.amount:g} {item.stock.unit} {item.stock.name} in {litres:.1f} L"
        needed = not in_ranges(day, options, set(item.stock.ions_mg))
        yield f"({text}: an ion needs it)" if needed else text


def two_acids(proposal: Proposal, drawn: Case) -> Iterator[str]:
    """Yield the acids of a plan that has more than one; in brackets where one alone falls short."""
    acids = {item.stock.name for item in proposal.doses if item.stock.is_acid}
    if len(acids) < 2:
        return
    alone = []
    for name in acids:
        shelf = tuple(
            thing
            for thing in drawn.options.shelf
            if name not in _written(thing) or thing.agent == "pure_water"
        )
        other = propose(drawn.recipe(), replace(drawn.options, shelf=shelf), drawn.request)
        alone.append(_as_good(other, proposal))
    text = " and ".join(sorted(acids))
    yield text if any(alone) else f"({text}: neither does alone)"


def _written(thing: Any) -> str:
    from recipe_tools.dosing.shelf import stock

    made = stock(thing)
    return "" if made is None else made.name


def _as_good(other: Proposal, proposal: Proposal) -> bool:
    if other.planned is None or other.feasible < proposal.feasible:
        return False
    if (other.dilution.share if other.dilution else 0.0) > (
        proposal.dilution.share if proposal.dilution else 0.0
    ) + 1e-9:
        return False
    return off_target(other) <= max(NEAR_PH, off_target(proposal)) + 1e-3


def extrapolates(proposal: Proposal) -> Iterator[str]:
    """Yield what of a plan lies outside of what the model was measured on."""
    if proposal.after is not None and proposal.after.prediction is not None:
        yield from proposal.after.prediction.warnings


def off_target(proposal: Proposal) -> float:
    """Return how far the planned mash is off its target."""
    after = proposal.after
    if after is None or after.prediction is None:
        return 0.0
    return abs(after.prediction.ph - proposal.target_ph)


def missed_silently(proposal: Proposal) -> Iterator[str]:
    """Yield the miss of a target for which no limit is named."""
    said = (*proposal.reasons, *proposal.remarks)
    if proposal.planned is None:
        if not any(map(STOPS.search, said)):
            yield f"no plan: {proposal.reasons}"
        return
    off = off_target(proposal)
    if off > NEAR_PH + 0.006 and not any(map(STOPS.search, said)):
        assert proposal.after is not None
        assert proposal.after.prediction is not None
        yield f"pH {proposal.after.prediction.ph:.2f} for {proposal.target_ph:.2f}"


def no_way_out(proposal: Proposal) -> Iterator[str]:
    """Yield the reasons of a case that is not whole and for which nothing is advised."""
    if not proposal.feasible and not proposal.changes:
        said = any("no way out" in text for text in proposal.reasons)
        text = f"{proposal.reasons}"
        yield text if said else f"not even that is said: {text}"


def shares(cases: int) -> dict[str, list[str]]:
    """Return what was found in each case, by kind."""
    found: dict[str, list[str]] = defaultdict(list)
    for seed in range(cases):
        drawn = case(seed)
        proposal = propose(drawn.recipe(), drawn.options, drawn.request)
        found["cases"].append("")
        if proposal.doses:
            found["plans with doses"].append("")
        for kind, texts in (
            ("a calcium for pH", calcium_for_ph(proposal, drawn.options)),
            ("b specks", specks(proposal, drawn.options)),
            ("c two acids", two_acids(proposal, drawn)),
            ("d extrapolation", extrapolates(proposal)),
            ("e missed, no limit named", missed_silently(proposal)),
            ("no way out", no_way_out(proposal)),
            ("no whole plan", iter(("",) if not proposal.feasible else ())),
        ):
            told = list(texts)
            bare = [text for text in told if not text.startswith("(")]
            if bare:
                found[kind].append(f"seed {seed}: {'; '.join(bare)}")
            elif told:
                found[f"{kind}, with need"].append(f"seed {seed}: {'; '.join(told)}")
    return found


def main() -> None:
    """Print the counts, then each case."""
    found = shares(int(sys.argv[1]) if len(sys.argv) > 1 else CASES)
    for kind in sorted(found):
        print(f"{len(found[kind]):5d} {kind}")
    for kind in sorted(found):
        for text in found[kind]:
            if text:
                print(f"{kind}: {text}")


if __name__ == "__main__":
    main()
