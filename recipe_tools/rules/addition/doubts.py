"""What the wording of an addition leaves open - reported only where something hangs on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay, Dose
from recipe_tools.brewday.defaults import default
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.findings import Confidence, Example, Finding, Option, ProposedEdit, Rule, Severity
from recipe_tools.reference import agent
from recipe_tools.rules import rule
from recipe_tools.rules.addition.readings import as_volume, what_hangs_on
from recipe_tools.rules.examples import (
    additions,
    dose,
    more_additions,
    xml_file,
    xml_misc,
)
from recipe_tools.rules.liquors import amount_text, into_water
from recipe_tools.rules.verdicts import report

_POWDER = default("bulk_density_of_powder")


def _forms(item: Dose) -> str:
    names = [agent(name).name for name in item.candidates if agent(name).form != "solution"]
    return " or ".join(dict.fromkeys(names))


@rule(
    Rule(
        id="addition/hydrate-ambiguous",
        severity=Severity.NOTE,
        summary="The name leaves open how much crystal water the salt holds, and something hangs "
        "on it.",
        why="Anhydrous calcium chloride brings 1.33 times the ions of the dihydrate, anhydrous "
        "magnesium sulfate 2.05 times those of Epsom salt. It is only reported where a limit or "
        "the mash pH depends on it.",
        source="molar masses (IUPAC)",
        remedy="Read the label and write it into the name: 'calcium chloride dihydrate'.",
        passes=Example("The hydrate is named."),
        fails=Example(
            "So much unnamed calcium chloride that the form decides.",
            additions(
                dose("Gypsum (calcium sulfate dihydrate)", 3, step=1),
                dose("Calcium chloride", 4.5, step=1),
            ),
        ),
        reference=("agents[hydrate!=](name,hydrate,molar_mass_g_mol,calcium_mg_g,magnesium_mg_g)",),
    )
)
def hydrate_ambiguous(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at doses with several hydrates left open."""
    del options
    for item in day.doses:
        if "hydrate" not in item.doubts or item.agent is None:
            continue
        why = what_hangs_on(day, item)
        if not why:
            continue
        yield report(
            f"'{item.addition.name}' may be {_forms(item)}, counted as the first; depending on "
            f"the reading {why}",
            item.addition.origin.at("name"),
            confidence=Confidence.LIKELY,
            related=into_water(day, item),
            value=item.addition.name,
            candidates=list(item.candidates),
        )


@rule(
    Rule(
        id="addition/strength-missing",
        severity=Severity.WARNING,
        summary="An acid or solution is dosed without its strength.",
        why="Lactic acid is sold at 80 and at 88 percent, phosphoric acid at 10, 75 and 85: the "
        "same millilitres can mean ten times the acid.",
        source="strengths in trade, table of agents (from memory)",
        remedy="Write the strength on the bottle into the name: 'Lactic acid 80 %', or put the "
        "bottle on the [[shelf]] of recipe-tools.toml.",
        options={
            "factor": Option(
                1.5,
                "strongest to weakest",
                "where neither mash nor sparge can tell, reported from this factor on",
                "derived_default",
            )
        },
        passes=Example(
            "The strength is named.", more_additions(dose("Phosphoric acid 10 %", 5, "ml"))
        ),
        fails=Example(
            "Phosphoric acid without strength.", more_additions(dose("Phosphoric acid", 5, "ml"))
        ),
        reference=(
            "agents[kind=acid](name,default_strength_percent,typical_strengths,density_kg_l)",
        ),
    )
)
def strength_missing(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at solutions with several strengths in trade; silent where no verdict hangs on them."""
    for item in day.doses:
        if "strength" not in item.doubts or item.agent is None or item.strength_percent is None:
            continue
        why = what_hangs_on(day, item)
        strength = item.strength_percent
        if not why and not _matters(day, item, strength, options["factor"]):
            continue
        *others, last = (f"{percent:g}" for percent in item.agent.typical_strengths)
        usual = f"{', '.join(others)} or {last}" if others else last
        yield report(
            f"'{item.addition.name}' does not say its strength (sold at {usual} %); "
            f"{strength.best:g} % is taken{f', and {why}' if why else ''}",
            item.addition.origin.at("name"),
            related=into_water(day, item),
            value=item.addition.name,
            low=strength.low,
            high=strength.high,
            unit="%",
        )


def _matters(day: BrewDay, item: Dose, strength: Estimate, factor: float) -> bool:
    """Tell whether a strength counts although no limit depends on it: where none can be judged."""
    if item.stage == "mash":
        judged = day.prediction is not None and day.source.known
    else:
        judged = item.stage == "sparge" and day.sparge is not None and day.source.known
    return not judged and strength.high >= factor * strength.low


@rule(
    Rule(
        id="addition/solution-or-solid",
        severity=Severity.WARNING,
        summary="A strength is named and a mass is given: it may be a solid or a solution.",
        why="Calcium chloride is sold as a 33 percent solution and as dry flakes; the same grams "
        "differ about twofold in ions.",
        source="both forms are in trade, table of agents (from memory)",
        remedy="Write 'solution' or 'dihydrate' into the name, and millilitres for a solution.",
        passes=Example(
            "Millilitres of a solution.",
            more_additions(dose("Calcium chloride solution 33 %", 4, "ml", step=1)),
        ),
        fails=Example(
            "Grams of something of 33 percent.",
            additions(
                dose("Gypsum (calcium sulfate dihydrate)", 3, step=1),
                dose("Calcium chloride (CaCl2) 33 %", 8, step=1),
            ),
        ),
        reference=(
            "agents[form=solution](name,default_strength_percent,typical_strengths,density_kg_l)",
        ),
    )
)
def solution_or_solid(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at doses whose form is open."""
    del options
    for item in day.doses:
        if "form" not in item.doubts:
            continue
        why = what_hangs_on(day, item)
        if not why:
            continue
        yield report(
            f"{amount_text(item)} of '{item.addition.name}' may be a solution or a solid; counted "
            f"as a solution, but {why}",
            item.addition.origin.at("name"),
            confidence=Confidence.LIKELY,
            related=into_water(day, item),
            value=item.addition.name,
        )


@rule(
    Rule(
        id="addition/mass-flag-contradiction",
        severity=Severity.WARNING,
        summary="A solid is given as a volume.",
        why="In BeerXML an amount without AMOUNT_IS_WEIGHT TRUE is in litres. No scale shows "
        "litres of gypsum, and a spoon of powder weighs what it happens to weigh.",
        source="BeerXML 1.0 (AMOUNT, AMOUNT_IS_WEIGHT); powders weigh 0.6 to 1.3 kg/L, from memory",
        remedy="Set AMOUNT_IS_WEIGHT to TRUE and give kilograms, or weigh what the spoon holds.",
        options={
            "powder_low": Option(_POWDER.low, "kg/L", "loosest powder", "brewday_defaults"),
            "powder_high": Option(_POWDER.high, "kg/L", "densest crystals", "brewday_defaults"),
        },
        passes=Example("The flag is set.", raw=xml_file()),
        fails=Example(
            "Four grams of gypsum, flagged as litres.",
            raw=xml_file(xml_misc("Gypsum (calcium sulfate dihydrate)", "0.004", "FALSE")),
        ),
    )
)
def mass_flag_contradiction(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at solids given as volumes; silent where the density of the powder decides nothing."""
    densities = Estimate(options["powder_low"], 1.0, options["powder_high"])
    for item in day.doses:
        if "mass-flag" not in item.doubts:
            continue
        why = what_hangs_on(day, as_volume(item, densities))
        if not why and day.source.known:
            continue
        addition = item.addition
        flagged = addition.is_weight is False
        pointer = addition.origin.at("is_weight" if flagged else "amount")
        as_mass = ProposedEdit("state the amount as a mass in kilograms", pointer, "TRUE")
        yield report(
            f"'{addition.name}' is a solid, but its amount is a volume; {amount_text(item)} is "
            f"taken{f', and {why}' if why else ''}",
            pointer,
            confidence=Confidence.LIKELY,
            related=into_water(day, item),
            edits=(as_mass,) if flagged else (),
            value=addition.name,
        )
