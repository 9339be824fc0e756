"""What an addition is: agents nobody knows, and products that are no food."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.recipe import Addition
from recipe_tools.reference import nearest_agents, recognise_agent, says
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, more_additions
from recipe_tools.rules.verdicts import report

_CHEMICAL = re.compile(
    r"acid\b|säure|saeure|\bacide\b|\b[aá]cido\b|\bkwas\b|\bkyselina\b|\bsyr[ae]\b|zuur\b|кислота"
    r"|sul(?:f|ph)at|chlorid|chlorure|cloruro|cloreto|carbonat|hydroxid",
    re.IGNORECASE,
)
_NO_WATER_AGENT = re.compile(
    r"nutrient|nährsalz|nutriment|enzyme|amylase|irish moss|finings?|whirl|gelatin|yeast"
    r"|diammonium",
    re.IGNORECASE,
)
_NEAR_WATER = frozenset({"mash", "sparge"})


@rule(
    Rule(
        id="addition/agent-unknown",
        severity=Severity.WARNING,
        summary="A water agent has a name that nobody recognises.",
        why="What is not recognised is not counted: neither in the ions nor in the mash pH.",
        source="names of water agents in 13 languages, table of agent aliases",
        remedy="Write the chemical name or formula, such as 'calcium sulfate dihydrate' or "
        "'CaSO4'.",
        passes=Example("The plain recipe."),
        fails=Example(
            "A water agent with an invented name.", more_additions(dose("Millrace Mineral Mix", 5))
        ),
        reference=("agent_aliases(alias,language,agents)",),
    )
)
def agent_unknown(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at what the file calls a water agent, and at chemical names in mash or sparge."""
    del options
    for item in day.doses:
        if item.agent is None and not _is_no_water_agent(item.addition.name):
            near = item.stage in ("mash", "sparge", "unknown")
            yield _unknown(item.addition, Severity.WARNING if near else Severity.NOTE)
    known = {item.addition.origin.path for item in day.doses}
    for addition in day.recipe.additions:
        if addition.origin.path in known or addition.kind != "other":
            continue
        if addition.use not in _NEAR_WATER or not _CHEMICAL.search(addition.name[:200]):
            continue
        if _is_no_water_agent(addition.name):
            continue
        if recognise_agent(addition.name, addition.notes) is None:
            yield _unknown(addition, Severity.WARNING)


def _is_no_water_agent(name: str) -> bool:
    """Tell nutrients, finings and cultures (``lactic acid bacteria``) by their names."""
    return bool(_NO_WATER_AGENT.search(name[:200])) or says(name, "living")


def _unknown(addition: Addition, severity: Severity) -> Finding:
    near = nearest_agents(addition.name)
    hint = f"; nearest known: {', '.join(near)}" if near else ""
    return report(
        f"'{addition.name}' is not recognised, so it is not counted in water or mash pH{hint}",
        addition.origin.at("name"),
        severity=severity,
        value=addition.name,
        nearest=list(near),
    )


@rule(
    Rule(
        id="addition/blend-unknown",
        severity=Severity.WARNING,
        summary="A ready-made blend of salts or acids is used whose composition nobody states.",
        why="The blends on sale differ, so neither ions nor mash pH can include them.",
        source="common practice, no source",
        remedy="Take the composition from the label and list the single salts or acids.",
        passes=Example("The plain recipe."),
        fails=Example(
            "A blend of brewing salts.", more_additions(dose("Water treatment salts", 8))
        ),
    )
)
def blend_unknown(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look for recognised blends."""
    del options
    for item in day.doses:
        if item.agent is not None and item.agent.kind == "blend":
            yield report(
                f"'{item.addition.name}' is a blend of unknown composition; it is not counted in "
                "water or mash pH",
                item.addition.origin.at("name"),
                value=item.addition.name,
            )


@rule(
    Rule(
        id="addition/not-food-grade-name",
        severity=Severity.ERROR,
        summary="The product is by its name not made for food.",
        why="Acid for batteries, pools or masonry, cleaners, plaster and road salt carry heavy "
        "metals, dyes or detergents.",
        source="food grade means FCC, Ph. Eur. or Regulation (EU) 231/2012; potable-water grade "
        "NSF/ANSI/CAN 60 or the EN series (from memory)",
        remedy="Do not use it. Buy the same substance in food or potable-water grade.",
        passes=Example("The plain recipe."),
        fails=Example(
            "Acid for car batteries.", more_additions(dose("Battery acid 37 %", 2, "ml"))
        ),
        reference=("agent_aliases[caution!=](alias,language,agents,caution)",),
    )
)
def not_food_grade_name(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at the caution that belongs to the recognised name."""
    del options
    for item in day.recipe.additions:
        match = recognise_agent(item.name, item.notes)
        if match is None or not match.caution or match.caution.startswith("may "):
            continue
        yield report(
            f"'{item.name}' is {match.caution} by its name, not a food",
            item.origin.at("name"),
            confidence=Confidence.LIKELY,
            value=item.name,
            caution=match.caution,
        )


@rule(
    Rule(
        id="addition/cleaner-as-agent",
        severity=Severity.ERROR,
        summary="Lye or quicklime is used as a water agent.",
        why="Caustic soda and quicklime burn, are sold as cleaner or building material, and a "
        "gram too much makes the mash alkaline. Nothing they do needs them.",
        source="common practice, no source; hazards of Regulation (EC) 1272/2008",
        remedy="Raise the mash pH with baking soda or food-grade slaked lime.",
        passes=Example("Baking soda instead.", more_additions(dose("Baking soda", 1, step=1))),
        fails=Example("Caustic soda.", more_additions(dose("Sodium hydroxide", 1, step=1))),
        options={
            "agents": Option(
                "sodium_hydroxide quicklime", "agent ids", "agents that count", "derived_default"
            )
        },
        reference=("hazards[agent_id=sodium_hydroxide|quicklime]",),
    )
)
def cleaner_as_agent(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look for lye and quicklime."""
    wrong = options["agents"].split()
    for item in day.doses:
        if item.agent is not None and item.agent.id in wrong:
            yield report(
                f"'{item.addition.name}' is {item.agent.name}: a cleaner or building material, "
                "not a water agent",
                item.addition.origin.at("name"),
                value=item.agent.id,
            )
