"""How a number with a band stands to its limits, and how such a number is written for a brewer."""

from __future__ import annotations

from typing import Literal, NamedTuple

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.findings import Confidence, Finding, ProposedEdit, Related, Severity, Value

Side = Literal["below", "above"]
_MORE_DIGITS = 4


class Verdict(NamedTuple):
    """On which side of which limit a number lies, and how sure that is."""

    side: Side
    confidence: Confidence
    limit: float


def outside(
    estimate: Estimate, low: float | None = None, high: float | None = None, margin: float = 0.0
) -> Verdict | None:
    """Return the verdict on a number against a range whose ends are still inside; None if inside.

    certain: the whole band is outside. likely: the best value is. possible: only the band reaches.
    margin: how far outside counts at all, usually half the last digit of the instrument, so that
    nobody reads "5.60 is above 5.60".
    """
    if high is not None and estimate.best > high + margin:
        return Verdict("above", _confidence(estimate.low > high + margin), high)
    if low is not None and estimate.best < low - margin:
        return Verdict("below", _confidence(estimate.high < low - margin), low)
    if high is not None and estimate.high > high + margin:
        return Verdict("above", Confidence.POSSIBLE, high)
    if low is not None and estimate.low < low - margin:
        return Verdict("below", Confidence.POSSIBLE, low)
    return None


def _confidence(whole_band: bool) -> Confidence:
    return Confidence.CERTAIN if whole_band else Confidence.LIKELY


_VERBS = {
    Confidence.CERTAIN: "is",
    Confidence.LIKELY: "is probably",
    Confidence.POSSIBLE: "may be",
}


def verb(confidence: Confidence) -> str:
    """Return the verb that says how sure a statement is."""
    return _VERBS[confidence]


def digits_of_mg_l(value: float) -> int:
    """Return how many decimals a water report shows for a value in mg/L."""
    magnitude = abs(value)
    if magnitude >= 10 or magnitude == 0:
        return 0
    if magnitude >= 1:
        return 1
    return 2 if magnitude >= 0.1 else 3


def mg_l(value: float) -> str:
    """Return a concentration as a water report shows it, without its unit."""
    digits = digits_of_mg_l(value)
    return f"{value:.{digits}f}"


def told_apart(
    value: float, limit: float, digits: int, limit_digits: int | None = None
) -> tuple[str, str]:
    """Return a number and its limit as text, with as many decimals as it takes to tell them apart.

    digits, limit_digits: decimals of the two where they differ so; None: the limit as it is set.
    """
    if limit_digits is None:
        limit_digits = len(f"{limit:g}".partition(".")[2])
    shown, edge = f"{value:.{digits}f}", f"{limit:.{limit_digits}f}"
    for more in range(_MORE_DIGITS):
        shown = f"{value:.{digits + more}f}"
        if float(edge) != limit:
            edge = f"{limit:.{limit_digits + more}f}"
        if float(shown) != float(edge) and (float(shown) < float(edge)) == (value < limit):
            return shown, edge
    return f"{value:.{digits}f}", f"{limit:.{limit_digits}f}"


def standing(
    verdict: Verdict,
    estimate: Estimate,
    digits: int,
    unit: str,
    *,
    at: str = "",
    note: str = "",
    limit_digits: int | None = None,
) -> str:
    """Return how a number stands to a limit: "is 252 mg/L (most likely 240 to 261), above 200".

    Where only the band reaches there: "may be above 200 (best value 180, most likely 150 to 220)".
    unit: with ``{}`` for a number. at: stands before it. note: what else belongs in the brackets.
    """
    best, limit = told_apart(estimate.best, verdict.limit, digits, limit_digits)
    width = band(estimate, digits)[2:-1]
    if verdict.confidence is Confidence.POSSIBLE:
        inside = ", ".join(part for part in (f"best value {best}", width, note) if part)
        return f"may be {verdict.side} {unit.format(limit)} ({inside})"
    inside = ", ".join(part for part in (width, note) if part)
    brackets = f" ({inside})" if inside else ""
    return (
        f"{verb(verdict.confidence)} {at}{unit.format(best)}{brackets}, "
        f"{verdict.side} {unit.format(limit)}"
    )


def grams(value: float) -> str:
    """Return a mass as a brewer's scale shows it, with unit."""
    if value >= 1000:
        return f"{value / 1000:.2f} kg"
    if value >= 100:
        return f"{value:.0f} g"
    if value >= 0.1:
        return f"{value:.1f} g"
    return f"{value * 1000:.0f} mg"


def millilitres(value: float) -> str:
    """Return a volume as a syringe or measuring cylinder shows it, with unit."""
    if value >= 1000:
        return f"{value / 1000:.2f} L"
    return f"{value:.0f} mL" if value >= 100 else f"{value:.1f} mL"


def band(estimate: Estimate, digits: int) -> str:
    """Return `` (most likely LOW to HIGH)``, the 95 % band; empty where nothing is open."""
    low, high = f"{estimate.low:.{digits}f}", f"{estimate.high:.{digits}f}"
    return "" if low == high else f" (most likely {low} to {high})"


def between(threshold: float, estimate: Estimate) -> bool:
    """Tell whether a threshold separates the readings of an estimate."""
    return estimate.low < threshold < estimate.high


def report(
    message: str,
    at: str,
    *,
    confidence: Confidence = Confidence.CERTAIN,
    severity: Severity | None = None,
    related: tuple[Related, ...] = (),
    edits: tuple[ProposedEdit, ...] = (),
    **values: Value | list[str],
) -> Finding:
    """Return a finding whose message is ready, so that its values hold only what a program wants.

    The decorator `rule` puts in whose it is. (`findings.find` renders a message from the values;
    the numbers here are rounded by size.)
    """
    return Finding(
        rule="",
        message=message,
        values=values,
        pointer=at,
        severity=severity,
        confidence=confidence,
        related=related,
        edits=edits,
    )
