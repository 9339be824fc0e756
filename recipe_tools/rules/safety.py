"""Cautions for what the recipe names. Notes, said once per run, never a verdict on the recipe."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay, Dose
from recipe_tools.findings import Example, Finding, Rule, Severity
from recipe_tools.reference import Agent, Hazard, hazard
from recipe_tools.rules import rule
from recipe_tools.rules.examples import additions, dose, more_additions
from recipe_tools.rules.verdicts import report

_LIME = frozenset({"slaked_lime", "lime_water", "quicklime", "sodium_hydroxide"})
_ACID_HAZARDS = (
    "hazards[agent_id=acetic_acid|citric_acid|hydrochloric_acid|lactic_acid|malic_acid"
    "|mineral_acid_blend|phosphoric_acid|sulfuric_acid|tartaric_acid]"
)
_PLAIN = Example("The plain recipe.")
_CLP = "Regulation (EC) 1272/2008 and safety data sheets, by row of the table of hazards"


def _is_acid(found: Agent) -> bool:
    """Tell acids from the rest; a blend of mineral acids burns like them."""
    return found.kind == "acid" or found.id == "mineral_acid_blend"


def _labels(found: Hazard | None) -> dict[str, Any]:
    """Return signal word and codes as values of a finding."""
    if found is None:
        return {"signal_word": "", "h": [], "p": []}
    return {
        "signal_word": found.signal_word,
        "h": [*found.h, *found.euh],
        "p": list(found.p),
    }


def _strength(item: Dose) -> float | None:
    """Return the strength named, or the highest usual one where the file leaves it open."""
    if item.strength_percent is None:
        return None
    return item.strength_percent.high


def _each(day: BrewDay) -> Iterator[tuple[Dose, str, Hazard | None]]:
    """Yield each agent and strength of a recipe once, with its hazard."""
    seen = set()
    for item in day.doses:
        if item.agent is None:
            continue
        percent = _strength(item)
        what = item.agent.name if percent is None else f"{item.agent.name} {percent:g} %"
        if what not in seen:
            seen.add(what)
            yield item, what, hazard(item.agent.id, percent)


@rule(
    Rule(
        id="safety/strong-acid-handling",
        severity=Severity.NOTE,
        summary="The recipe uses an acid that burns skin and eyes.",
        why="The strengths sold for brewing are corrosive. A splash in the eye can blind.",
        source=_CLP,
        remedy="Wear goggles and gloves. Pour acid into water, never water into acid. Keep it "
        "away from metabisulfite and chlorine cleaners. Foam of CO2 rises where acid meets "
        "carbonate. Have water at hand to rinse; follow the data sheet of the bottle.",
        passes=_PLAIN,
        fails=Example(
            "Lactic acid of 80 percent.", more_additions(dose("Lactic acid 80 %", 2, "ml"))
        ),
        reference=(_ACID_HAZARDS,),
    )
)
def strong_acid_handling(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Name each acid and strength with the codes of that strength among its values."""
    del options
    for item, what, found in _each(day):
        if item.agent is None or not _is_acid(item.agent) or found is None:
            continue
        yield report(
            f"{what} needs goggles and gloves; add acid to water, never the reverse",
            item.pointer,
            value=what,
            **_labels(found),
        )


@rule(
    Rule(
        id="safety/lime-handling",
        severity=Severity.NOTE,
        summary="The recipe uses lime or lye.",
        why="Its dust burns eyes and lungs; it reacts violently with acid, and quicklime with "
        "water.",
        source=_CLP + "; ICSC 0408 for calcium hydroxide",
        remedy="Wear goggles, gloves and a dust mask; stir small amounts into plenty of cold "
        "water; keep it away from acids and aluminium.",
        passes=_PLAIN,
        fails=Example(
            "Two grams of slaked lime in the mash.", more_additions(dose("Slaked lime", 2, step=1))
        ),
        reference=("hazards[agent_id=slaked_lime|lime_water|quicklime|sodium_hydroxide]",),
    )
)
def lime_handling(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Name lime, quicklime and lye with their codes."""
    del options
    for item, what, found in _each(day):
        if item.agent is None or item.agent.id not in _LIME:
            continue
        yield report(
            f"{what} burns eyes and skin: goggles, gloves, no dust, keep it from acid",
            item.pointer,
            value=what,
            **_labels(found),
        )


@rule(
    Rule(
        id="safety/sulfite-allergen",
        severity=Severity.NOTE,
        summary="The recipe uses sulfite.",
        why="Sulfite can bring on asthma. The dose against chlorine leaves far less than the 10 "
        "mg/L at which it has to be declared, but with acid the powder gives off a gas that does "
        "harm.",
        source="Regulation (EU) 1169/2011 Annex II; 21 CFR 130.9; " + _CLP,
        remedy="Tell guests who react to sulfite. Do not breathe the dust; never put it in one "
        "vessel with a strong acid.",
        passes=_PLAIN,
        fails=Example(
            "One campden tablet.",
            more_additions(dose("Campden tablet (sodium metabisulfite)", 0.44)),
        ),
        reference=("hazards[agent_id=sodium_metabisulfite|potassium_metabisulfite]",),
    )
)
def sulfite_allergen(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Name each sulfite with its codes."""
    del options
    for item, what, found in _each(day):
        if item.agent is None or item.agent.kind != "sulfite":
            continue
        yield report(
            f"{what} can harm asthmatics and gives off sulfur dioxide with acid",
            item.pointer,
            value=what,
            **_labels(found),
        )


@rule(
    Rule(
        id="safety/local-rules",
        severity=Severity.NOTE,
        summary="The recipe treats its water with acid, lime or sulfite.",
        why="National beer law may limit or forbid them, sulfuric acid above 15 percent is "
        "restricted for private persons in the EU, and only food or potable-water grade is fit "
        "to be drunk.",
        source="Regulation (EU) 2019/1148 (sulfuric acid; from memory); Regulation (EU) 231/2012 "
        "(purity)",
        remedy="Look up the rules where you brew; ask the waterworks or health authority about "
        "wells and old pipes. This program is no licence.",
        passes=Example("No additions at all.", additions()),
        fails=Example(
            "Lactic acid of 80 percent.", more_additions(dose("Lactic acid 80 %", 2, "ml"))
        ),
    )
)
def local_rules(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Say it once for a recipe that uses an acid, a base or a sulfite."""
    del options
    for item in day.doses:
        if item.agent is None:
            continue
        if _is_acid(item.agent) or item.agent.kind in ("base", "sulfite"):
            yield report(
                "Acids, lime and sulfite: use food or potable-water grade only, and check what the "
                "rules where you brew allow",
                item.pointer,
                value="",
            )
            return
