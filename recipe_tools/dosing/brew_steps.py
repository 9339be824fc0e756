"""A plan in the order of the brew day: what goes where, and when."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from recipe_tools.config import ShelfItem
from recipe_tools.dosing.mash_balance import ACIDULATED
from recipe_tools.dosing.records import Proposal, ProposedDose
from recipe_tools.dosing.setting import all_litres, mash_litres, sparge_litres
from recipe_tools.dosing.shelf import SCALE_G, stock

LIME = "Slaked lime (calcium hydroxide)"
When = Literal[
    "evening_before", "strike_water", "dough_in", "ten_minutes", "sparge_water", "kettle"
]
What = Literal[
    "boil",
    "lime",
    "dechlorinate",
    "blend",
    "salt",
    "base",
    "acid",
    "malt",
    "measure",
    "acid_rest",
    "soda",
]


@dataclass(frozen=True, slots=True)
class Action:
    """One thing to do.

    amount, unit: what is weighed or measured; None where nothing is. litres: the water it goes
    into; of a blend all of it, amount being the pure part.
    """

    what: What
    name: str = ""
    amount: float | None = None
    unit: str = ""
    litres: float | None = None


@dataclass(frozen=True, slots=True)
class BrewStep:
    """What is done at one moment of the brew day, in order."""

    when: When
    actions: tuple[Action, ...]


def brew_steps(proposal: Proposal) -> tuple[BrewStep, ...]:
    """Return a plan by moments; those at which nothing is to do are left out."""
    moments: tuple[tuple[When, Iterator[Action]], ...] = (
        ("evening_before", _evening(proposal)),
        ("strike_water", _strike(proposal)),
        ("dough_in", _dough_in(proposal)),
        ("ten_minutes", _ten_minutes(proposal)),
        ("sparge_water", _sparge(proposal)),
        ("kettle", _kettle(proposal)),
    )
    steps = (BrewStep(when, tuple(actions)) for when, actions in moments)
    return tuple(step for step in steps if step.actions)


def _evening(proposal: Proposal) -> Iterator[Action]:
    yield from _treatment(proposal)
    sulfite = proposal.dechlorination
    if sulfite is not None:
        yield Action("dechlorinate", sulfite.name, sulfite.grams, "g", sulfite.litres)


def _treatment(proposal: Proposal) -> Iterator[Action]:
    left = proposal.before.source.treated
    if left is None or left.alkalinity_taken_meq_l <= 0.0:
        return
    pure = sum(proposal.dilution.litres.values()) if proposal.dilution is not None else 0.0
    litres = all_litres(proposal.before) * (1.0 - proposal.before.pure_share) - pure
    if left.treatment == "boiled":
        yield Action("boil", litres=litres)
    else:
        yield Action("lime", LIME, round(left.lime_mg_l * litres / 1000.0, 1), "g", litres)


def _strike(proposal: Proposal) -> Iterator[Action]:
    litres = mash_litres(proposal.before)
    yield from _blend(proposal, "mash", litres)
    for item in proposal.doses:
        if item.stage == "mash" and not item.stock.is_acid and not item.stock.is_base:
            yield _dose("salt", item, litres)


def _dough_in(proposal: Proposal) -> Iterator[Action]:
    litres = mash_litres(proposal.before)
    swap = proposal.swap
    if swap is not None:
        yield Action("malt", swap.malt, round(1000.0 * swap.kilograms, 3), "g")
    for item in proposal.doses:
        if item.stage == "mash" and item.stock.is_base:
            yield _dose("base", item, litres)
    for part in proposal.portions:
        yield Action("acid", part.stock.name, part.first, part.stock.unit, litres)


def _ten_minutes(proposal: Proposal) -> Iterator[Action]:
    if proposal.after is None or proposal.after.prediction is None:
        return
    yield Action("measure")
    for part in proposal.portions:
        if part.rest > 0:
            yield Action("acid_rest", part.stock.name, part.rest, part.stock.unit)
    if proposal.soda_g_per_tenth is not None:
        yield Action("soda", "Baking soda", _weighed(proposal, proposal.soda_g_per_tenth), "g")


def _weighed(proposal: Proposal, grams: float) -> float:
    """Return grams of baking soda as they are weighed for so much water."""
    soda = stock(ShelfItem("baking_soda"), all_litres(proposal.before))
    step = SCALE_G if soda is None else soda.step
    return round(round(grams / step) * step, 6)


def _sparge(proposal: Proposal) -> Iterator[Action]:
    litres = sparge_litres(proposal.before)
    yield from _blend(proposal, "sparge", litres)
    for item in proposal.doses:
        if item.stage == "sparge":
            yield _dose("acid" if item.stock.is_acid else "salt", item, litres)


def _kettle(proposal: Proposal) -> Iterator[Action]:
    before = proposal.before
    litres = all_litres(before) - mash_litres(before) - sparge_litres(before)
    yield from _blend(proposal, "kettle", litres)
    for item in proposal.doses:
        if item.stage == "boil":
            yield _dose("salt", item, litres)


def _blend(proposal: Proposal, stage: str, litres: float) -> Iterator[Action]:
    pure = proposal.dilution.litres.get(stage) if proposal.dilution is not None else None
    if pure:
        yield Action("blend", "Pure water", round(pure, 1), "L", litres)


def _dose(what: What, item: ProposedDose, litres: float) -> Action:
    return Action(what, item.stock.name, item.amount, item.stock.unit, litres)


@dataclass(frozen=True, slots=True)
class ShoppingLine:
    """What one thing comes to over the whole brew day. parts: amount by stage."""

    name: str
    amount: float
    unit: str
    parts: tuple[tuple[str, float], ...]


def shopping_list(proposal: Proposal) -> tuple[ShoppingLine, ...]:
    """Return the doses that have to be at hand, each thing once, in the order of first use.

    A dose that is measured out of a stock solution counts as what it is, not as what is dissolved.
    """
    found: dict[tuple[str, str], list[tuple[str, float]]] = {}
    for step in brew_steps(proposal):
        for action in step.actions:
            if action.amount is None or action.what == "soda":
                continue
            name = ACIDULATED if action.what == "malt" else action.name
            part = (_stage(step.when), action.amount)
            found.setdefault((name, action.unit), []).append(part)
    lines = []
    for (name, unit), parts in found.items():
        by_stage: dict[str, float] = {}
        for stage, amount in parts:
            by_stage[stage] = round(by_stage.get(stage, 0.0) + amount, 6)
        total = round(sum(by_stage.values()), 6)
        lines.append(ShoppingLine(name, total, unit, tuple(by_stage.items())))
    return tuple(lines)


def _stage(when: When) -> str:
    return _STAGES.get(when, "mash")


_STAGES = {"evening_before": "all water", "sparge_water": "sparge", "kettle": "kettle"}
