"""The JSON report, described by schemas/report.schema.json.

The same run always gives the same bytes: fixed order of members, no time stamps, rounded numbers.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from math import isfinite
from typing import TYPE_CHECKING, Any

from recipe_tools import __version__
from recipe_tools.findings import Finding, Rule, Severity
from recipe_tools.recipe import IONS
from recipe_tools.reports.escaping import json_visible
from recipe_tools.results import SCHEMA_VERSION, CheckedFile, CheckedRecipe, Run

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay, Dose, Liquor
    from recipe_tools.chemistry.estimate import Estimate
    from recipe_tools.chemistry.mash_ph import Prediction

BAND_LEVEL = 0.95

Json = dict[str, Any]

_DECIMALS = 4
_CONTRIBUTIONS = ("malt", "carbonate", "calcium_magnesium", "acid", "base")


def render(run: Run, catalogue: Mapping[str, Rule]) -> str:
    """Return the report as JSON text with a line for each file and each finding.

    Indenting it further would take longer than the check. catalogue: not needed here.
    """
    del catalogue
    parts = []
    for name, value in report(run).items():
        if isinstance(value, list) and value:
            lines = ",\n  ".join(_encoded(item) for item in value)
            parts.append(f'"{name}": [\n  {lines}\n ]')
        else:
            parts.append(f'"{name}": {_encoded(value)}')
    return "{\n " + ",\n ".join(parts) + "\n}\n"


_encode = json.JSONEncoder(ensure_ascii=False, allow_nan=False, check_circular=False).encode


def _encoded(value: Any) -> str:
    return json_visible(_encode(value))


def report(run: Run) -> Json:
    """Return the report as an object ready for JSON."""
    counts = run.counts()
    return {
        "schema_version": SCHEMA_VERSION,
        "tool": {"name": "recipe-tools", "version": __version__},
        "summary": {
            "files": len(run.files),
            "recipes": run.recipe_count,
            "not_checked": run.not_checked,
            "skipped": run.skipped,
            "findings": {
                "error": counts[Severity.ERROR],
                "warning": counts[Severity.WARNING],
                "note": counts[Severity.NOTE],
            },
            **({"members": run.members()} if run.members() else {}),
        },
        "files": [_file(file) for file in run.files],
        "findings": [finding(item) for item in run.all_findings()],
    }


def _file(file: CheckedFile) -> Json:
    return {
        "path": file.path,
        "format": file.format,
        "status": file.status,
        "recipes": [recipe(item) for item in file.recipes],
    }


def recipe(checked: CheckedRecipe) -> Json:
    """Return one recipe of the report."""
    day = checked.day
    return {
        "index": checked.recipe.index,
        "name": checked.recipe.name,
        "style": _style(checked),
        "water": None if day is None else _water(day),
        "mash_ph": None if day is None or day.prediction is None else _mash_ph(day, day.prediction),
        "additions": [] if day is None else [_addition(item) for item in day.doses],
        "assumptions": (
            [] if day is None else [{"id": item.id, "text": item.text} for item in day.assumptions]
        ),
    }


def finding(item: Finding) -> Json:
    """Return one finding of the report."""
    return {
        "rule": item.rule,
        "severity": (item.severity or Severity.NOTE).word,
        "confidence": item.confidence.word,
        "message": item.message,
        "values": {name: plain(value) for name, value in item.values.items()},
        "path": item.path,
        "recipe": item.recipe,
        "pointer": item.pointer,
        "line": item.line,
        "column": item.column,
        "end_line": item.end_line,
        "end_column": item.end_column,
        "fingerprint": item.fingerprint,
        "edits": [
            {
                "description": edit.description,
                "pointer": edit.pointer,
                "current": edit.current,
                "replacement": edit.replacement,
                "keeps_meaning": edit.keeps_meaning,
                "line": edit.line,
                "column": edit.column,
                "end_line": edit.end_line,
                "end_column": edit.end_column,
            }
            for edit in item.edits
        ],
        "suppressed": None if item.suppressed is None else {"reason": item.suppressed},
    }


def plain(value: Any) -> Any:
    """Return a value as JSON knows it; numbers rounded, what is not finite as null."""
    if value is None or isinstance(value, (str, bool, int)):
        return value
    if isinstance(value, float):
        return number(value)
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, (set, frozenset)):
        return sorted(str(item) for item in value)
    return str(value)


def number(value: float | None) -> float | None:
    """Return a number rounded for the report, without a negative zero; None if it is not finite."""
    if value is None or not isfinite(value):
        return None
    return round(value, _DECIMALS) + 0.0


def _best(estimate: Estimate | None) -> float | None:
    return None if estimate is None else number(estimate.best)


def _style(checked: CheckedRecipe) -> Json | None:
    style = checked.recipe.style
    family = checked.day.family if checked.day is not None else None
    if style is None and family is None:
        return None
    return {
        "name": style.name if style is not None else "",
        "code": (style.code if style is not None else "") or (family.code if family else ""),
        "family": None if family is None else family.family,
    }


def _water(day: BrewDay) -> Json:
    source = day.source
    return {
        "source": {
            "known": source.known,
            "ions_mg_l": (
                {ion: _best(source.ions_mg_l.get(ion)) for ion in IONS} if source.known else {}
            ),
            "alkalinity_meq_l": _best(source.alkalinity_meq_l) if source.known else None,
            "ph": _best(source.ph) if source.known else None,
        },
        "mash": _liquor(day.mash),
        "sparge": _liquor(day.sparge),
        "total": _total(day.total),
    }


def _liquor(liquor: Liquor | None) -> Json | None:
    if liquor is None:
        return None
    after = liquor.after_acid
    return {
        "volume_l": _best(liquor.volume_l),
        "ions_mg_l": _ions(liquor),
        "alkalinity_meq_l": _best(liquor.alkalinity_meq_l),
        "residual_alkalinity_meq_l": _best(liquor.residual_alkalinity_meq_l),
        "after_acid": (
            None
            if after is None
            else {"alkalinity_meq_l": number(after.alkalinity_meq_l), "ph": number(after.ph)}
        ),
    }


def _total(liquor: Liquor | None) -> Json | None:
    if liquor is None:
        return None
    return {
        "volume_l": _best(liquor.volume_l),
        "ions_mg_l": _ions(liquor),
        "sulfate_to_chloride": number(liquor.sulfate_to_chloride),
    }


def _ions(liquor: Liquor) -> Json:
    return {ion: _best(liquor.ions_mg_l.get(ion)) for ion in IONS}


def _mash_ph(day: BrewDay, prediction: Prediction) -> Json:
    return {
        "predicted": number(prediction.ph),
        "low": number(prediction.low),
        "high": number(prediction.high),
        "level": BAND_LEVEL,
        "at_celsius": number(prediction.at_celsius),
        "water_to_grist_l_kg": number(day.water_to_grist_l_kg),
        "contributions_meq_kg": {
            name: number(prediction.contributions_meq_kg.get(name, 0.0))
            for name in (*_CONTRIBUTIONS, *(("readings",) if prediction.readings_used else ()))
        },
        **learnt_from(prediction),
    }


def learnt_from(prediction: Prediction) -> Json:
    """Return how many readings a prediction was learnt from, and what it is without them."""
    plain = prediction.without_readings
    return {
        "readings_used": prediction.readings_used,
        "without_readings": {
            "predicted": number(prediction.ph if plain is None else plain.best),
            "low": number(prediction.low if plain is None else plain.low),
            "high": number(prediction.high if plain is None else plain.high),
        },
    }


def _addition(dose: Dose) -> Json:
    entry: Json = {
        "name": dose.addition.name,
        "agent": None if dose.agent is None else dose.agent.id,
        "form": dose.form,
        "stage": dose.stage,
    }
    if dose.millilitres is not None:
        entry["millilitres"] = _best(dose.millilitres)
    else:
        entry["grams"] = _best(dose.grams)
    entry["strength_percent"] = _best(dose.strength_percent)
    return entry
