"""Whether an analysis can be true."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.carbonate import speciate, total_carbonate_mmol_l
from recipe_tools.chemistry.estimate import bests
from recipe_tools.chemistry.ions import CACO3_MG_MEQ, meq_l
from recipe_tools.findings import Confidence, Example, Finding, Option, Related, Rule, Severity
from recipe_tools.reference import drinking_limits
from recipe_tools.rules import rule
from recipe_tools.rules.examples import well_with, xml_file
from recipe_tools.rules.verdicts import report
from recipe_tools.rules.water.stated import StatedWater, stated_waters
from recipe_tools.water_report import WaterReport
from recipe_tools.water_report.balance import Balance, balance

_FIZZY_MG_L = 250.0
"""Carbon dioxide from which a mineral water may be called sparkling (Directive 2009/54/EC, Annex
III: naturally more than 250 mg/L; from memory)."""
_LAID_DOWN_FOR_WATER = (
    max(limit.low or 0.0 for limit in drinking_limits("ph")),
    max(limit.high or 0.0 for limit in drinking_limits("ph")),
)


def balance_of(stated: WaterReport) -> Balance:
    """Return the charge balance of a water as stated."""
    return balance(
        bests(stated.ions_mg_l),
        stated.alkalinity_meq_l.best if stated.alkalinity_stated else 0.0,
        kind=stated.kind,
        alkalinity_column=stated.alkalinity_column,
        with_basis=stated.with_basis,
    )


@rule(
    Rule(
        id="water/charge-imbalance",
        severity=Severity.WARNING,
        summary="Cations and anions of the water do not balance.",
        why="Water is neutral, so both sums must agree. A gap means a wrong figure or a column "
        "read in a wrong unit, and then salts, alkalinity and mash pH are wrong too.",
        source="Standard Methods 1030 E for one sample (0.2 mEq/L up to 3 mEq/L of anions, 2 % up "
        "to 10, 5 % above; from memory); for averages of a year a derived_default",
        remedy="Compare the figures with the report, above all sulfate (as SO4, not S), nitrate "
        "(as NO3, not N) and bicarbonate (as HCO3, not CO3 or CaCO3).",
        options={
            "note_above": Option(
                5,
                "%",
                "above this a note, for averages and the records of recipes; less than 5 has no "
                "effect, and below 3 mEq/L of anions the absolute rule holds",
                "derived_default",
            ),
            "warn_above": Option(
                10,
                "%",
                "above this a warning; one sample beyond its band always is",
                "derived_default",
            ),
        },
        passes=Example("The plain water: 1.0 % apart."),
        fails=Example(
            "Sulfate copied as sulfur from a laboratory's report.",
            well_with(
                calcium=120, magnesium=15, sodium=30, chloride=40, sulfate=55, bicarbonate=200
            ),
        ),
    )
)
def charge_imbalance(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at a report, and at each record that states all main ions."""
    for water in stated_waters(day):
        result = balance_of(water.report)
        off = abs(result.difference_percent)
        incomplete = result.verdict == "incomplete"
        average = water.report.kind == "average"
        if result.verdict == "balanced" or (water.record and result.missing):
            continue
        if average and off <= options["note_above"]:
            continue
        warns = not incomplete and not (average and off <= options["warn_above"])
        told = "cannot be judged" if incomplete else "do not balance"
        yield report(
            f"The ions of '{water.name}' {told}. {result.explanation.rstrip('.')}",
            water.origin.path if water.record else water.at("name"),
            severity=Severity.WARNING if warns else Severity.NOTE,
            related=_columns(water, result),
            value=round(result.difference_percent, 1),
            cations=round(result.cations_meq_l, 2),
            anions=round(result.anions_meq_l, 2),
            closes_if=[closing.misreading.id for closing in result.closings],
            unit="%",
        )


def _columns(water: StatedWater, result: Balance) -> tuple[Related, ...]:
    """Return the places of the values of a record whose unit would close the gap."""
    found: list[Related] = []
    if not water.record:
        return ()
    for closing in result.closings[:2]:
        ions = tuple(closing.misreading.factors) or ("bicarbonate",)
        found += [Related(water.at(ion), closing.misreading.text) for ion in ions]
    return tuple(found[:4])


@rule(
    Rule(
        id="water/hardness-softened",
        severity=Severity.WARNING,
        summary="The water looks softened: alkalinity with sodium in place of calcium.",
        why="An ion exchanger takes out the calcium that a mash wants, leaves the alkalinity "
        "that it does not want, and adds 0.46 mg/L of sodium for each mg/L of hardness.",
        source="stoichiometry of the exchange; the levels are a derived_default",
        remedy="Brew with water from before the softener, often the garden tap, or with pure "
        "water.",
        options={
            "alkalinity_from": Option(
                75, "mg/L as CaCO3", "alkalinity of at least this", "derived_default"
            ),
            "hardness_below": Option(
                30, "% of the alkalinity", "hardness below this", "derived_default"
            ),
            "sodium_from": Option(
                60,
                "% of the alkalinity",
                "sodium in equivalents of at least this",
                "derived_default",
            ),
        },
        passes=Example("The plain water."),
        fails=Example(
            "Softened water.",
            well_with(calcium=4, magnesium=1, sodium=105, chloride=30, sulfate=25, bicarbonate=200),
        ),
    )
)
def hardness_softened(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare hardness and sodium with alkalinity, in equivalents."""
    ions, source = bests(day.source.ions_mg_l), day.source
    if not source.known or not {"calcium", "magnesium", "sodium"} <= ions.keys():
        return
    alkalinity = source.alkalinity_meq_l.best
    if alkalinity * CACO3_MG_MEQ < options["alkalinity_from"]:
        return
    hardness = meq_l("calcium", ions["calcium"]) + meq_l("magnesium", ions["magnesium"])
    sodium = meq_l("sodium", ions["sodium"])
    if hardness > alkalinity * options["hardness_below"] / 100.0:
        return
    if sodium < alkalinity * options["sodium_from"] / 100.0:
        return
    record = source.records[0] if source.records else None
    pointer = source.pointer or day.recipe.origin.at("name")
    yield report(
        f"'{source.name}' looks softened: {ions['sodium']:.0f} mg/L sodium and only "
        f"{ions['calcium']:.0f} mg/L calcium beside {alkalinity * CACO3_MG_MEQ:.0f} mg/L "
        "alkalinity as CaCO3",
        record.origin.at("sodium") if record is not None else pointer,
        confidence=Confidence.LIKELY,
        value=round(ions["sodium"], 1),
        calcium=round(ions["calcium"], 1),
        alkalinity=round(alkalinity * CACO3_MG_MEQ),
        unit="mg/L",
    )


@rule(
    Rule(
        id="water/ph-implausible",
        severity=Severity.WARNING,
        summary="The stated pH is not one that drinking water has.",
        why="The pH decides how much of the carbonate is bicarbonate. A pH of 5.4 in a water "
        "record is usually a mash target in the wrong place.",
        source="Directive (EU) 2020/2184 (6.5 to 9.5); pure water in contact with air lies near "
        "5.7",
        remedy="Enter the pH of the report, or leave it out: its influence on the mash is small.",
        options={
            "low": Option(
                _LAID_DOWN_FOR_WATER[0],
                "pH",
                "below this, water with alkalinity",
                "drinking_water_limits",
            ),
            "high": Option(_LAID_DOWN_FOR_WATER[1], "pH", "above this", "drinking_water_limits"),
        },
        passes=Example("pH 7.4.", raw=xml_file()),
        fails=Example(
            "pH 5.2 for well water.", raw=xml_file().replace(b"<PH>7.4</PH>", b"<PH>5.2</PH>")
        ),
        reference=("drinking_water_limits[ion=ph]",),
    )
)
def ph_implausible(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at each water; one without alkalinity may well be sour."""
    for water in stated_waters(day):
        if water.report.ph is None or not water.report.alkalinity_stated:
            continue
        ph, alkalinity = water.report.ph.best, water.report.alkalinity_meq_l.best
        if not 0 < ph < 14 or alkalinity < 0.3 or options["low"] <= ph <= options["high"]:
            continue
        side = "below" if ph < options["low"] else "above"
        limit = options["low"] if side == "below" else options["high"]
        yield report(
            f"'{water.name}' is given with pH {ph:.1f}, {side} {limit:g}{_fizz(alkalinity, ph)}",
            water.at("ph"),
            value=round(ph, 2),
            limit=limit,
            unit="pH",
        )


def _fizz(alkalinity_meq_l: float, ph: float) -> str:
    """Say how much carbon dioxide such a water would hold, where it is more than a spring has."""
    total = total_carbonate_mmol_l(alkalinity_meq_l, ph)
    dioxide = speciate(total, ph).carbon_dioxide * 44.009
    if dioxide < _FIZZY_MG_L:
        return ""
    return (
        f"; with its alkalinity of {alkalinity_meq_l * CACO3_MG_MEQ:.0f} mg/L as CaCO3 it would "
        f"hold {dioxide:.0f} mg/L of carbon dioxide, like soda water"
    )
