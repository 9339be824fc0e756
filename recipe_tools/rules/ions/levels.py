"""How the rules on a single ion find its level, judge it and put it into words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from recipe_tools.brewday import BrewDay, Liquor
from recipe_tools.chemistry.estimate import ZERO, Estimate
from recipe_tools.findings import Confidence, Finding, Option, Severity
from recipe_tools.reference import ion_range
from recipe_tools.rules.liquors import (
    STAGE_WORDS,
    in_water,
    judged_liquor,
    mostly_from,
    related,
    shares,
    source_pointer,
)
from recipe_tools.rules.verdicts import Verdict, band, digits_of_mg_l, mg_l, outside, report, verb

TRACE_MARGIN = 0.02
"""A trace counts as over its limit from 2 % above it: closer no household test can tell."""
MAJOR_MARGIN_MG_L = 0.5


class Level(NamedTuple):
    """An ion in mg/L and the water it is in.

    liquor: None where only the source water is meant. beside: words that follow the limit in a
    message. What brings the ion is worked out only where a finding needs it.
    """

    ion: str
    estimate: Estimate
    water: str
    day: BrewDay
    liquor: Liquor | None
    beside: str = ""


def level_of(day: BrewDay, ion: str) -> Level | None:
    """Return an ion of the water by which taste is judged, None where nobody states it."""
    liquor = judged_liquor(day)
    if liquor is None:
        return None
    estimate = liquor.ions_mg_l.get(ion)
    if estimate is None:
        return None
    return Level(ion, estimate, STAGE_WORDS[liquor.stage], day, liquor)


def trace_of(day: BrewDay, ion: str) -> Level | None:
    """Return an ion that only the source water brings, None where nobody states it."""
    if ion not in day.source.ions_mg_l:
        return None
    return Level(ion, day.source.level(ion), STAGE_WORDS["source"], day, None)


def brought_of(day: BrewDay, ion: str) -> Level | None:
    """Return an ion of all water where additions bring it; that of the source counts if stated.

    For ions that water reports often leave out. None where neither additions nor source name it.
    """
    liquor = judged_liquor(day)
    doses = [item.ions_mg[ion] for item in day.doses if ion in item.ions_mg and in_water(item)]
    if liquor is None or not doses:
        return trace_of(day, ion)
    litres = liquor.volume_l.best
    stated = day.source.known and ion in day.source.ions_mg_l
    total = day.source.level(ion) if stated else ZERO
    for amount in doses:
        total = total.plus(amount.times(1.0 / litres))
    return Level(ion, total, STAGE_WORDS[liquor.stage], day, liquor)


def limit_option(ion: str, which: str, text: str) -> Option:
    """Return the option for a limit that stands in the table of brewing ranges.

    which: ``warn_above``, ``error_above``, ``low`` or ``high``.
    """
    return Option(
        getattr(ion_range(ion), which),
        "mg/L",
        text,
        f"brewing_ion_ranges, row of {ion} marked derived_default",
    )


def too_high(
    rule_id: str, level: Level | None, steps: tuple[tuple[Severity, float | None], ...]
) -> Iterator[Finding]:
    """Yield a finding where an ion lies above one of its limits, by the gravest it surely passes.

    steps: severity and limit in mg/L, gravest first; a limit of None does not count.
    """
    if level is None:
        return
    weak: tuple[Severity, Verdict] | None = None
    for severity, limit in steps:
        if limit is None:
            continue
        margin = MAJOR_MARGIN_MG_L if limit >= 10 else TRACE_MARGIN * limit
        verdict = outside(level.estimate, high=limit, margin=margin)
        if verdict is None:
            continue
        if verdict.confidence >= Confidence.LIKELY:
            yield above(rule_id, level, verdict, severity)
            return
        weak = (severity, verdict)
    if weak is not None:
        yield above(rule_id, level, weak[1], weak[0])


def above(rule_id: str, level: Level, verdict: Verdict, severity: Severity) -> Finding:
    """Return the finding of an ion above a limit."""
    return _finding(rule_id, level, verdict, severity, "above")


def below(rule_id: str, level: Level, verdict: Verdict, severity: Severity) -> Finding:
    """Return the finding of an ion below a limit."""
    return _finding(rule_id, level, verdict, severity, "below")


def _finding(
    rule_id: str, level: Level, verdict: Verdict, severity: Severity, side: str
) -> Finding:
    estimate, liquor = level.estimate, level.liquor
    found = () if liquor is None else shares(level.day, level.ion, liquor)
    shown = estimate.best if verdict.confidence > Confidence.POSSIBLE else _end(estimate, side)
    digits = digits_of_mg_l(shown)
    origin = "" if liquor is None else mostly_from(found, liquor)
    return report(
        rule_id,
        f"{level.ion.capitalize()} in {level.water} {verb(verdict.confidence)} {mg_l(shown)} mg/L"
        f"{band(estimate, digits)}, {side} {mg_l(verdict.limit)} mg/L{level.beside}{origin}",
        found[0].pointer if found else source_pointer(level.day, level.ion),
        confidence=verdict.confidence,
        severity=severity,
        related=related(found, level.ion),
        ion=level.ion,
        water=level.water,
        side=side,
        value=round(estimate.best, digits + 1),
        low=round(estimate.low, digits + 1),
        high=round(estimate.high, digits + 1),
        limit=verdict.limit,
        unit="mg/L",
    )


def _end(estimate: Estimate, side: str) -> float:
    return estimate.high if side == "above" else estimate.low


def limits(options: Mapping[str, Any]) -> tuple[tuple[Severity, float | None], ...]:
    """Return the usual two steps of a rule: an error above one limit, a warning above another."""
    return (
        (Severity.ERROR, options.get("error_above")),
        (Severity.WARNING, options.get("warn_above")),
    )
