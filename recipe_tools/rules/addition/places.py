"""Where an addition goes: stages at which it cannot do what it is for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import reduce
from typing import Any

from recipe_tools.brewday import BrewDay, Dose
from recipe_tools.chemistry.estimate import ZERO, Estimate
from recipe_tools.findings import Confidence, Example, Finding, Option, Related, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, more_additions
from recipe_tools.rules.liquors import STAGE_WORDS, amount_text
from recipe_tools.rules.verdicts import report

_PLAIN = Example("The plain recipe.")


@rule(
    Rule(
        id="addition/wrong-stage",
        severity=Severity.NOTE,
        summary="An addition comes too late to do what it is for.",
        why="Salts in the boil change the taste but not the mash; a base there only raises the "
        "pH of the wort. In the fermenter gypsum or soda hardly dissolves and helps nothing.",
        source="common practice, no source",
        remedy="Add it to the mash or sparge water. If it is there for taste alone, ignore this "
        "note.",
        options={
            "salt_from": Option(
                0.5, "of all its doses", "salts: note where this share is late", "derived_default"
            )
        },
        passes=_PLAIN,
        fails=Example(
            "Baking soda in the boil.", more_additions(dose("Baking soda", 3, use="add_to_boil"))
        ),
    )
)
def wrong_stage(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Warn of late bases and of salts after the boil; note calcium that only meets the boil."""
    if not day.is_mashed:
        return
    for item in day.doses:
        if item.stage in ("mash", "sparge"):
            continue
        severity = _late(day, item, options["salt_from"])
        if severity is None:
            continue
        yield report(
            f"{amount_text(item)} of '{item.addition.name}' goes into {STAGE_WORDS[item.stage]}, "
            f"where it {_effect(item)}".replace("  ", " "),
            item.addition.origin.at("use"),
            severity=severity,
            value=item.addition.name,
            stage=item.stage,
        )


def _late(day: BrewDay, item: Dose, share: float) -> Severity | None:
    found = item.agent
    if found is None:
        return None
    if found.kind == "base":
        return Severity.WARNING
    if found.kind != "salt" or not _wanted_in_the_mash(item):
        return None
    if not item.in_wort:
        return Severity.WARNING
    calcium = sum(_calcium(other) for other in day.doses)
    return Severity.NOTE if calcium > 0 and _late_calcium(day) >= share * calcium else None


def _calcium(item: Dose) -> float:
    amount = item.ions_mg.get("calcium")
    return 0.0 if amount is None else amount.best


def _late_calcium(day: BrewDay) -> float:
    return sum(_calcium(item) for item in day.doses if item.stage == "boil")


def _wanted_in_the_mash(item: Dose) -> bool:
    return "calcium" in item.ions_mg


def _effect(item: Dose) -> str:
    if item.agent is not None and item.agent.kind == "base":
        return "cannot change the mash and only raises the pH of the wort"
    return "cannot change the mash"


@rule(
    Rule(
        id="addition/acid-and-base-together",
        severity=Severity.WARNING,
        summary="Acid and something alkaline go into the same water.",
        why="They cancel each other; what stays is sodium or calcium and the anion of the acid. "
        "One of the two is too much, or was left from another version of the recipe.",
        source="common practice, no source",
        remedy="Leave out the one and reduce the other; `recipe-tools dose FILE` says how much "
        "is needed.",
        options={
            "meq_from": Option(2, "mEq", "the lesser of the two from here on", "derived_default"),
            "percent_from": Option(
                5, "% of the larger", "the lesser of the two from here on", "derived_default"
            ),
        },
        passes=Example(
            "A drop of acid beside the soda.",
            more_additions(dose("Lactic acid 80 %", 0.05, "ml"), dose("Baking soda", 1)),
        ),
        fails=Example(
            "Lactic acid and baking soda in one mash.",
            more_additions(dose("Lactic acid 80 %", 3, "ml"), dose("Baking soda", 2)),
        ),
    )
)
def acid_and_base_together(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare the doses of mash and of sparge; a little of one beside much of the other is none."""
    for stage in ("mash", "sparge"):
        here = [item for item in day.doses if item.stage == stage]
        acids = [i for i in here if i.acid_meq.high > 0 and i.agent and i.agent.kind == "acid"]
        bases = [i for i in here if i.alkalinity_meq.high > 0]
        if not acids or not bases:
            continue
        sour = _sum(item.acid_meq for item in acids)
        alkaline = _sum(item.alkalinity_meq for item in bases)
        verdict = _cancelled(sour, alkaline, options["meq_from"], options["percent_from"] / 100.0)
        if verdict is None:
            continue
        acid, base = acids[0], bases[0]
        yield report(
            f"{acid.addition.name} and {base.addition.name} both go into {STAGE_WORDS[stage]}: "
            f"{_undone(sour.best, alkaline.best)}",
            base.pointer,
            confidence=verdict,
            related=(Related(acid.pointer, "the acid"),),
            value=stage,
            acid=round(sour.best, 1),
            base=round(alkaline.best, 1),
            unit="mEq",
        )


def _undone(acid_meq: float, base_meq: float) -> str:
    """Say how much of the larger of the two is in vain; one of them may be open."""
    small, large = sorted((acid_meq, base_meq))
    if small <= 0.0:
        return "they cancel each other"
    one, other = ("acid", "base") if base_meq <= acid_meq else ("base", "acid")
    return f"{100.0 * small / large:.0f} % of the {one} is undone by the {other}"


def _sum(amounts: Iterable[Estimate]) -> Estimate:
    return reduce(Estimate.plus, amounts, ZERO)


def _cancelled(
    acid: Estimate, base: Estimate, least_meq: float, least_share: float
) -> Confidence | None:
    """Return how sure it is that both reach a least amount and a least share of each other."""

    def matters(one: float, other: float) -> bool:
        return min(one, other) >= max(least_meq, least_share * max(one, other))

    corners = [matters(one, other) for one in acid for other in base]
    if all(corners):
        return Confidence.CERTAIN
    if matters(acid.best, base.best):
        return Confidence.LIKELY
    return Confidence.POSSIBLE if any(corners) else None


@rule(
    Rule(
        id="addition/stage-unknown",
        severity=Severity.NOTE,
        summary="A water agent does not say into which water it goes.",
        why="It is counted into the mash. In the sparge or the boil it would act otherwise.",
        source="common practice, no source",
        remedy="Give the addition its use: mash, sparge or boil.",
        passes=_PLAIN,
        fails=Example(
            "Epsom salt without a timing.",
            more_additions({k: v for k, v in dose("Epsom salt", 1).items() if k != "timing"}),
        ),
    )
)
def stage_unknown(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look for agents without any use; sulfite belongs into the water anyhow."""
    del options
    if not day.is_mashed:
        return
    for item in day.doses:
        if item.agent is None or item.addition.use or item.agent.kind in ("sulfite", "sorbent"):
            continue
        yield report(
            f"'{item.addition.name}' does not say where it goes; it is counted into "
            f"{STAGE_WORDS['mash']}",
            item.pointer,
            confidence=Confidence.LIKELY,
            value=item.addition.name,
        )
