"""How the rules on a single ion find its level, judge it and put it into words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from recipe_tools.brewday import BrewDay, Liquor
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.findings import Confidence, Finding, Severity
from recipe_tools.judgement.ions import brought_mg, margin_of
from recipe_tools.rules.liquors import (
    STAGE_WORDS,
    mostly_from,
    related,
    shares,
    source_pointer,
)
from recipe_tools.rules.verdicts import Verdict, digits_of_mg_l, outside, report, standing


class Level(NamedTuple):
    """An ion in mg/L and the water it is in.

    liquor: None where only the source water is meant. beside: words that follow the limit in a
    message. at_least: nobody states what the source holds, so the estimate is what additions bring
    and no more than a lower bound. What brings the ion is worked out only where a finding needs it.
    """

    ion: str
    estimate: Estimate
    water: str
    day: BrewDay
    liquor: Liquor | None
    beside: str = ""
    at_least: bool = False


def level_of(day: BrewDay, ion: str) -> Level | None:
    """Return an ion of the water by which taste is judged.

    Where nobody states that of the source: what additions bring, which holds for any water; None
    where they bring none.
    """
    liquor = day.liquor
    if liquor is None:
        return None
    if not _stated(day, ion):
        return _brought(day, ion, liquor)
    return Level(ion, liquor.ions_mg_l[ion], STAGE_WORDS[liquor.stage], day, liquor)


def trace_of(day: BrewDay, ion: str) -> Level | None:
    """Return an ion that only the source water brings, None where nobody states it."""
    if ion not in day.source.ions_mg_l:
        return None
    return Level(ion, day.source.ions_mg_l[ion], STAGE_WORDS["source"], day, None)


def brought_of(day: BrewDay, ion: str) -> Level | None:
    """Return an ion that waterworks seldom state: with what additions bring, else of the source."""
    liquor = day.liquor
    level = None if liquor is None else _brought(day, ion, liquor)
    if level is None or not _stated(day, ion):
        return level or trace_of(day, ion)
    total = day.source.ions_mg_l[ion].plus(level.estimate)
    return level._replace(estimate=total, at_least=False)


def _stated(day: BrewDay, ion: str) -> bool:
    return day.source.known and ion in day.source.ions_mg_l


def _brought(day: BrewDay, ion: str, liquor: Liquor) -> Level | None:
    """Return what additions bring of an ion, as a lower bound; None where they bring none."""
    brought = brought_mg(day, ion)
    if not brought.high:
        return None
    total = brought.times(1.0 / liquor.volume_l.best)
    return Level(ion, total, STAGE_WORDS[liquor.stage], day, liquor, at_least=True)


def too_high(level: Level, steps: Iterable[tuple[Severity, float]]) -> Iterator[Finding]:
    """Yield a finding where an ion lies above one of its limits, by the gravest it surely passes.

    steps: severity and limit in mg/L, gravest first.
    """
    weak: tuple[Severity, Verdict] | None = None
    for severity, limit in steps:
        verdict = outside(level.estimate, high=limit, margin=margin_of(limit))
        if verdict is None:
            continue
        if verdict.confidence >= Confidence.LIKELY:
            yield above(level, verdict, severity)
            return
        weak = (severity, verdict)
    if weak is not None:
        yield above(level, weak[1], weak[0])


def above(level: Level, verdict: Verdict, severity: Severity) -> Finding:
    """Return the finding of an ion above a limit."""
    return _finding(level, verdict, severity, "above")


def below(level: Level, verdict: Verdict, severity: Severity) -> Finding:
    """Return the finding of an ion below a limit."""
    return _finding(level, verdict, severity, "below")


def _finding(level: Level, verdict: Verdict, severity: Severity, side: str) -> Finding:
    estimate, liquor = level.estimate, level.liquor
    found = () if liquor is None else shares(level.day, level.ion, liquor)
    digits = digits_of_mg_l(estimate.best)
    origin = "" if liquor is None else mostly_from(found, liquor)
    beside = level.beside
    if side == "below" and not level.day.is_mashed:
        beside += ", not counting what the extract brings"
    return report(
        f"{level.ion.capitalize()} in {level.water} {_stands(level, verdict)}{beside}{origin}",
        found[0].pointer if found else source_pointer(level.day, level.ion),
        confidence=verdict.confidence,
        severity=severity,
        related=related(found, level.ion),
        ion=level.ion,
        water=level.water,
        side=side,
        value=round(estimate.best, digits + 1),
        low=round(estimate.low, digits + 1),
        high=None if level.at_least else round(estimate.high, digits + 1),
        limit=verdict.limit,
        unit="mg/L",
    )


def _stands(level: Level, verdict: Verdict) -> str:
    """Return how the ion stands to the limit; a lower bound that is passed for certain has no band.

    A band that is none makes the number sure, however sure it is that it is one to be judged.
    """
    estimate = level.estimate
    if estimate.exact:
        verdict = verdict._replace(confidence=Confidence.CERTAIN)
    at = "at least " if level.at_least else ""
    if level.at_least and verdict.confidence is Confidence.CERTAIN:
        estimate = exactly(estimate.low)
    digits, limit_digits = digits_of_mg_l(estimate.best), digits_of_mg_l(verdict.limit)
    return standing(verdict, estimate, digits, "{} mg/L", at=at, limit_digits=limit_digits)


def beside_extract(day: BrewDay, verdict: Verdict) -> Verdict:
    """Return a verdict as sure as it can be where extract brings minerals that nobody states."""
    if day.is_mashed or verdict.side == "above":
        return verdict
    return verdict._replace(confidence=min(verdict.confidence, Confidence.LIKELY))
