"""What a water report leaves out, and where it contradicts itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Example, Finding, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import reported
from recipe_tools.rules.verdicts import report
from recipe_tools.rules.water.stated import doubted, stated_waters
from recipe_tools.water_report.carbonate import (
    CALCIUM_SHARE,
    CONTRADICTION,
    MOST_CARBONATE_SHARE,
    PH_OF_CARBONATE,
    UNKNOWN_ALKALINITY,
)

_SOUND = Example("A report that states each figure once.", config=reported())


@rule(
    Rule(
        id="water/alkalinity-unknown",
        severity=Severity.WARNING,
        summary="Nothing says what alkalinity the water has.",
        why="Alkalinity decides the mash pH more than all else in the water. Without it the pH is "
        "only known for the span of usual waters.",
        source=f"{UNKNOWN_ALKALINITY.low:g} to {UNKNOWN_ALKALINITY.high:g} mEq/L for usual waters "
        "is a derived_default",
        remedy="Ask the water works for the alkalinity, the bicarbonate or the acid capacity to "
        "pH 4.3.",
        passes=_SOUND,
        fails=Example("Calcium and sulfate only.", config=reported(bicarbonate=None, sodium=None)),
    )
)
def alkalinity_unknown(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Speak of reports and of records."""
    del options
    return doubted(day, "water/alkalinity-unknown")


@rule(
    Rule(
        id="water/hardness-only",
        severity=Severity.WARNING,
        summary="Calcium and magnesium are guessed from the total hardness.",
        why="Calcium lowers the mash pH twice as much as magnesium and feeds the yeast; the "
        "share of the two is not the same everywhere.",
        source=f"{100 * CALCIUM_SHARE.low:.0f} to {100 * CALCIUM_SHARE.high:.0f} % of the hardness "
        "as calcium is a derived_default",
        remedy="Ask the water works for calcium and magnesium.",
        passes=_SOUND,
        fails=Example(
            "Only the hardness is stated.",
            config=reported(calcium=None, magnesium=None, total_hardness="4.4 °dH"),
        ),
    )
)
def hardness_only(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Speak of reports; a record has no place for the hardness."""
    del options
    return doubted(day, "water/hardness-only", records=False)


@rule(
    Rule(
        id="water/report-contradiction",
        severity=Severity.WARNING,
        summary="A water report states hardness or alkalinity twice, and not alike.",
        why="One of the two figures is wrong or in another unit, and nobody can tell which.",
        source=f"apart by more than {100 * CONTRADICTION:.0f} % (hardness "
        f"{200 * CONTRADICTION:.0f} %): a derived_default",
        remedy="Compare both figures and their units with the paper.",
        passes=_SOUND,
        fails=Example(
            "Alkalinity of 120 mg/L as CaCO3 beside 52 mg/L of bicarbonate.",
            config=reported(alkalinity="120 mg/L as CaCO3"),
        ),
    )
)
def report_contradiction(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Speak of reports; a record states nothing twice."""
    del options
    return doubted(day, "water/report-contradiction", records=False)


@rule(
    Rule(
        id="water/carbonate-at-low-ph",
        severity=Severity.WARNING,
        summary="Carbonate is stated at a pH that leaves hardly any.",
        why=f"Below pH {PH_OF_CARBONATE:g} nearly all of it is bicarbonate. A column of carbonate "
        "there often holds bicarbonate, and the alkalinity is half of what is computed.",
        source="Plummer & Busenberg (1982): below pH 8.3 under 1 % is carbonate; more than "
        f"{100 * MOST_CARBONATE_SHARE:.0f} % of the alkalinity speaks, a derived_default",
        remedy="Ask whether the figure is bicarbonate (HCO3) or carbonate (CO3).",
        passes=_SOUND,
        fails=Example(
            "Carbonate at pH 7.2.",
            config=reported(bicarbonate=None, carbonate="26 mg/L", ph=7.2),
        ),
    )
)
def carbonate_at_low_ph(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Speak of reports and of records."""
    del options
    return doubted(day, "water/carbonate-at-low-ph")


@rule(
    Rule(
        id="water/chlorine-not-stated",
        severity=Severity.NOTE,
        summary="A water report does not say how much chlorine is in the water.",
        why="A tenth of a milligram spoils beer, and most mains water holds more.",
        source="common practice, no source",
        remedy="Ask the water works for it, and whether it is chloramine, or use a test strip; "
        "write 0 for a well without any.",
        passes=Example("A report without chlorine, by its word.", config=reported(chlorine="0")),
        fails=Example("A report that is silent on it.", config=reported(chlorine=None)),
    )
)
def chlorine_not_stated(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Speak of reports only: a record of a recipe has no place for chlorine."""
    del options
    for water in stated_waters(day, records=False):
        if day.source.chlorine_mg_l is None:
            yield report(
                f"'{water.name}' does not state chlorine",
                water.at("name"),
                value=water.name,
            )
