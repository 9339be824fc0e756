"""A measured mash as JSON, described by schemas/reading.schema.json."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from recipe_tools import __version__
from recipe_tools.reports.escaping import json_visible
from recipe_tools.reports.json_report import learnt_from, number
from recipe_tools.results import SCHEMA_VERSION

if TYPE_CHECKING:
    from recipe_tools.chemistry.mash_ph import Prediction
    from recipe_tools.dosing.correction import Correction
    from recipe_tools.measuring import MeasuredMash

Json = dict[str, Any]


def render(measured: MeasuredMash, path: str) -> str:
    """Return the answer as indented JSON, ending with a line feed."""
    text = json.dumps(document(measured, path), ensure_ascii=False, allow_nan=False, indent=1)
    return "".join(f"{json_visible(line)}\n" for line in text.split("\n"))


def document(measured: MeasuredMash, path: str) -> Json:
    """Return the answer ready for JSON."""
    reading, at_25 = measured.reading, measured.at_25
    recipe = measured.day.recipe
    corrections = [_correction(item, measured) for item in measured.corrections]
    return {
        "schema_version": SCHEMA_VERSION,
        "tool": {"name": "recipe-tools", "version": __version__},
        "path": path,
        "recipe": {"index": recipe.index, "name": recipe.name},
        "reading": {
            "ph": number(reading.ph),
            "celsius": number(reading.celsius),
            "minutes": number(reading.minutes),
            "ph_at_25": number(at_25.best),
            "low": number(at_25.low),
            "high": number(at_25.high),
        },
        "prediction": _prediction(measured.prediction),
        "agreement": {
            "difference": number(measured.difference),
            "half_widths": number(measured.half_widths),
            "verdict": measured.verdict,
        },
        "explanations": [
            {
                "id": item.id,
                "label": item.label,
                "assumed": number(item.assumed),
                "needed": number(item.needed),
                "unit": item.unit,
                "half_widths": number(item.half_widths),
            }
            for item in measured.explanations
        ],
        "window": [number(end) for end in measured.window],
        "correction": corrections[0] if corrections else None,
        "alternatives": corrections[1:],
    }


def _prediction(prediction: Prediction) -> Json:
    return {
        "predicted": number(prediction.ph),
        "low": number(prediction.low),
        "high": number(prediction.high),
        **learnt_from(prediction),
    }


def _correction(item: Correction, measured: MeasuredMash) -> Json:
    low, high = measured.window
    after = measured.at_25.best if item.ph_after is None else item.ph_after
    return {
        "target_ph": number(item.target_ph),
        "steps": [
            {
                "agent": portion.stock.name,
                "grams" if portion.stock.unit == "g" else "millilitres": number(portion.amount),
                "when": "now" if place == 0 else "after reading again",
                "ph_after": number(portion.ph_after.best),
                "low": number(portion.ph_after.low),
                "high": number(portion.ph_after.high),
            }
            for place, portion in enumerate(item.steps)
        ],
        "stays_inside": low <= after <= high,
        "why": item.why or None,
    }
