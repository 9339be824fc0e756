"""Rules a club settles in its configuration: a number of the brew day and its limits.

They are tables, not programs: nothing in them is executed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.targets import style_names
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.config import OwnRule
from recipe_tools.config.own_rules import QUANTITIES
from recipe_tools.findings import Example, Finding, Rule, severity_from_word
from recipe_tools.rules import RecipeRule
from recipe_tools.rules.liquors import STAGE_WORDS, liquor_of, related, shares
from recipe_tools.rules.mash_ph.window import predicted
from recipe_tools.rules.verdicts import digits_of_mg_l, outside, report, standing

NO_SOURCE = "the configuration, which names no source"


def own_rule(settled: OwnRule) -> RecipeRule:
    """Return an own rule ready to be applied."""
    declared = declaration(settled)

    def check(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
        del options
        for finding in _check(day, settled):
            yield finding._replace(rule=declared.id)

    return RecipeRule(declared, check)


def declaration(settled: OwnRule) -> Rule:
    """Return what `explain` says of an own rule."""
    kind = QUANTITIES[settled.quantity]
    what = kind.words
    if kind.staged:
        what += f" of {STAGE_WORDS[settled.stage]}"
    ends = [
        f"{word} {kind.unit.format(f'{limit:g}')}"
        for word, limit in (("not below", settled.low), ("not above", settled.high))
        if limit is not None
    ]
    style = f" in beers of the style family {settled.style}" if settled.style else ""
    limits = f"{what}{style}: {' and '.join(ends)}"
    return Rule(
        id=settled.id,
        severity=severity_from_word(settled.severity),
        summary=f"{limits}.",
        why=settled.reason,
        source=settled.source or NO_SOURCE,
        remedy="Bring it inside the limits, or change the [[own-rule]] in the configuration.",
        passes=Example(f"Inside the limits ({' and '.join(ends)})."),
        fails=Example("Outside of them."),
    )


def _check(day: BrewDay, settled: OwnRule) -> Iterator[Finding]:
    if settled.style and settled.style not in style_names(day.family, day.recipe.style):
        return
    found = _measured(day, settled)
    if found is None:
        return
    kind = QUANTITIES[settled.quantity]
    verdict = outside(found, settled.low, settled.high)
    if verdict is None:
        return
    where = f" of {STAGE_WORDS[settled.stage]}" if kind.staged else ""
    digits = digits_of_mg_l(found.best) if kind.digits is None else kind.digits
    liquor = liquor_of(day, settled.stage)
    brought = () if liquor is None else shares(day, settled.quantity, liquor)
    yield report(
        f"{kind.words}{where} {standing(verdict, found, digits, kind.unit)}: {settled.reason}",
        brought[0].pointer if brought else day.recipe.origin.at("name"),
        confidence=verdict.confidence,
        related=related(brought, settled.quantity),
        value=settled.quantity,
        number=found.best,
        low=settled.low,
        high=settled.high,
        stage=settled.stage if kind.staged else None,
    )


def _measured(day: BrewDay, settled: OwnRule) -> Estimate | None:
    """Return the number a rule is about; None where the recipe leaves it open."""
    name = settled.quantity
    if QUANTITIES[name].staged:
        return _of_liquor(day, name, settled.stage)
    if name == "mash_ph":
        return predicted(day)
    exact = {
        "water_to_grist_l_kg": day.water_to_grist_l_kg,
        "colour_ebc": day.colour_ebc,
        "original_gravity": day.og,
    }
    if name in exact:
        known = exact[name]
        return None if known is None else exactly(known)
    return day.ibu


def _of_liquor(day: BrewDay, name: str, stage: str) -> Estimate | None:
    liquor = liquor_of(day, stage)
    if liquor is None:
        return None
    if name == "volume_l":
        return liquor.volume_l
    if name == "alkalinity_meq_l":
        return liquor.alkalinity_meq_l
    if name == "residual_alkalinity_meq_l":
        return liquor.residual_alkalinity_meq_l
    if name != "sulfate_to_chloride":
        return liquor.ions_mg_l.get(name)
    best = liquor.sulfate_to_chloride
    sulfate, chloride = (liquor.ions_mg_l.get(ion) for ion in ("sulfate", "chloride"))
    if best is None or sulfate is None or chloride is None or chloride.low <= 0.0:
        return None
    return Estimate(sulfate.low / chloride.high, best, sulfate.high / chloride.low)
