"""A water report and its answers as JSON."""

from __future__ import annotations

import json
from typing import Any

from recipe_tools import __version__
from recipe_tools.brewday.treated import CLEAR_WATER, LIME_CAUTIONS, TreatedWater
from recipe_tools.checking import catalogue
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.findings import Finding, Severity
from recipe_tools.reports.escaping import json_visible
from recipe_tools.results import SCHEMA_VERSION
from recipe_tools.water_advice.advice import AcidDemand, Dechlorination, Dilution
from recipe_tools.water_advice.sheet import WaterSheet
from recipe_tools.water_report.balance import Balance
from recipe_tools.water_report.pasted import Pasted


def render(sheet: WaterSheet, pasted: Pasted | None = None) -> str:
    """Return one JSON document (see schemas/water-report.schema.json, ``$defs/answer``).

    pasted: what became of each line of a copied table.
    """
    answer = document(sheet) | {"lines": None if pasted is None else _lines(pasted)}
    text = json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False)
    return "\n".join(map(json_visible, text.split("\n"))) + "\n"


def _lines(pasted: Pasted) -> list[dict[str, Any]]:
    return [
        {
            "line": line.number,
            "text": line.text,
            "key": line.key or None,
            "value": line.value if line.key else None,
            "why_not": line.why or None,
        }
        for line in pasted.lines
    ]


def document(sheet: WaterSheet) -> dict[str, Any]:
    """Return the members of the document."""
    report = sheet.report
    return {
        "schema_version": SCHEMA_VERSION,
        "tool": {"name": "recipe-tools", "version": __version__},
        "name": report.name,
        "source": report.source,
        "date": report.date,
        "kind": report.kind,
        "ions_mg_l": {ion: _number(level.best) for ion, level in report.ions_mg_l.items()},
        "ranges_mg_l": {
            ion: _band(level) for ion, level in report.ions_mg_l.items() if not level.exact
        },
        "alkalinity_meq_l": _number(report.alkalinity_meq_l.best),
        "alkalinity_band_meq_l": _band(report.alkalinity_meq_l),
        "alkalinity_stated": report.alkalinity_stated,
        "end_point_ph": report.end_point_ph,
        "ph": None if report.ph is None else _number(report.ph.best),
        "ph_band": None if report.ph is None else _band(report.ph),
        "hardness_meq_l": _number(sheet.hardness_meq_l),
        "residual_alkalinity_meq_l": _number(sheet.residual_alkalinity_meq_l),
        "temperature_c": _number(report.temperature_c),
        "conductivity_us_cm": _number(report.conductivity_us_cm),
        "total_dissolved_solids_mg_l": _number(report.total_dissolved_solids_mg_l),
        "chlorine_mg_l": _number(report.chlorine_mg_l),
        "chlorine_band_mg_l": (
            None if report.chlorine_band_mg_l is None else _band(report.chlorine_band_mg_l)
        ),
        "chloramine": report.chloramine,
        "charge_balance": _balance(sheet.charges),
        "limits_exceeded": [
            {
                "name": item.name,
                "value": _number(item.value),
                "limit": item.limit,
                "unit": item.unit,
                "kind": item.row.kind,
                "body": item.row.body,
                "document": item.row.document,
            }
            for item in sheet.exceeded
        ],
        "dechlorination": _dechlorination(sheet.dechlorination),
        "acid_to_ph": _acid(sheet.acid),
        "dilution": _dilution(sheet.dilution),
        "treatment": None if sheet.treated is None else _treated(sheet.treated, sheet.volume_l),
        "findings": [_finding(item) for item in sheet.findings],
        "assumptions": [{"id": item.id, "text": item.text} for item in report.supposed],
    }


def _number(value: float | None) -> float | None:
    """Round to what can be told: four decimals."""
    return None if value is None else round(value, 4)


def _band(value: Estimate) -> list[float | None]:
    return [_number(value.low), _number(value.high)]


def _treated(left: TreatedWater, volume_l: float | None) -> dict[str, Any]:
    lime = left.treatment == "lime"
    grams = left.lime_mg_l * volume_l / 1000.0 if lime and volume_l is not None else None
    return {
        "treatment": left.treatment,
        "ions_mg_l": {ion: _number(level.best) for ion, level in left.ions_mg_l.items()},
        "alkalinity_meq_l": _number(left.alkalinity_meq_l.best),
        "alkalinity_band_meq_l": _band(left.alkalinity_meq_l),
        "lime_mg_l": _number(left.lime_mg_l) if lime else None,
        "lime_g": _number(grams),
        "cautions": [*(LIME_CAUTIONS if lime else ()), CLEAR_WATER],
    }


def _balance(charges: Balance) -> dict[str, Any]:
    return {
        "cations_meq_l": _number(charges.cations_meq_l),
        "anions_meq_l": _number(charges.anions_meq_l),
        "difference_percent": round(charges.difference_percent, 2),
        "verdict": charges.verdict,
        "explanation": charges.explanation,
        "missing": list(charges.missing),
        "would_close": [
            {
                "id": closing.misreading.id,
                "text": closing.misreading.text,
                "difference_percent": round(closing.difference_percent, 2),
            }
            for closing in charges.closings
        ],
    }


def _dechlorination(item: Dechlorination | None) -> dict[str, Any] | None:
    if item is None:
        return None
    return {
        "chlorine_mg_l": _number(item.chlorine_mg_l),
        "chloramine": item.chloramine,
        "volume_l": _number(item.volume_l),
        "doses": [
            {
                "agent": dose.agent,
                "mg_l": _number(dose.mg_l),
                "grams": _number(dose.grams),
                "tablets": _number(dose.tablets),
                "stock_solution_ml": _number(dose.stock_ml),
                "sulfur_dioxide_left_mg_l": _number(dose.sulfur_dioxide_mg_l),
                "brings_mg_l": {ion: _number(amount) for ion, amount in dose.brings_mg_l.items()},
            }
            for dose in item.doses
        ],
        "cautions": list(item.cautions),
    }


def _acid(item: AcidDemand | None) -> dict[str, Any] | None:
    if item is None:
        return None
    return {
        "ph": item.ph,
        "from_ph": _number(item.from_ph),
        "from_ph_stated": item.ph_stated,
        "meq_l": _number(item.meq_l.best),
        "band_meq_l": _band(item.meq_l),
        "volume_l": _number(item.volume_l),
        "doses": [
            {
                "agent": dose.agent,
                "strength_percent": dose.strength_percent,
                "unit": dose.unit,
                "per_l": _number(dose.per_l),
                "amount": _number(dose.amount),
                "leaves": {dose.leaves: _number(dose.leaves_mg_l)},
                "hazard": dose.hazard,
                "advice": dose.advice,
            }
            for dose in item.doses
        ],
        "cautions": list(item.cautions),
    }


def _dilution(item: Dilution | None) -> dict[str, Any] | None:
    if item is None:
        return None
    volume, share = item.volume_l, item.tap_share
    tap = None if volume is None or share is None else volume * share
    return {
        "target_meq_l": _number(item.target_meq_l),
        "tap_share": _number(share),
        "pure_water": item.pure,
        "volume_l": _number(volume),
        "tap_l": _number(tap),
        "pure_l": None if tap is None or volume is None else _number(volume - tap),
        "ions_mg_l": {ion: _number(amount) for ion, amount in item.ions_mg_l.items()},
        "ph": _number(item.ph),
        "explanation": item.explanation,
    }


def _finding(item: Finding) -> dict[str, Any]:
    return {
        "id": item.rule.partition("/")[2],
        "severity": (item.severity or Severity.ERROR).word,
        "confidence": item.confidence.word,
        "message": f"{item.message}.",
        "source": catalogue()[item.rule].source,
        "rule": item.rule,
    }
