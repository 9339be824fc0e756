"""Checks the water, salts, acids and mash pH of beer recipes before brew day.

What a program may use (everything else may change): `check_file` and `check_bytes` give findings,
`load_recipes` gives recipes, `plan` a brew day, `predict` a mash pH, `render` a report;
`load_config` and `read_report` read what is settled outside the recipe. All load on first use.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "1.0.0"

if TYPE_CHECKING:
    from recipe_tools.brewday.plan import plan
    from recipe_tools.brewday.records import BrewDay
    from recipe_tools.checking import check_bytes, check_file, load_recipes
    from recipe_tools.checking.checklist import catalogue
    from recipe_tools.chemistry.estimate import Estimate, exactly
    from recipe_tools.chemistry.mash_input import AcidCharge, MaltShare, MashInput
    from recipe_tools.chemistry.mash_ph import Prediction, predict
    from recipe_tools.config import Options, load_config
    from recipe_tools.findings import Confidence, Finding, Severity
    from recipe_tools.recipe import Recipe
    from recipe_tools.reports import render
    from recipe_tools.results import CheckedFile, CheckedRecipe, Run
    from recipe_tools.water_report import WaterReport, read_report

__all__ = [
    "AcidCharge",
    "BrewDay",
    "CheckedFile",
    "CheckedRecipe",
    "Confidence",
    "Estimate",
    "Finding",
    "MaltShare",
    "MashInput",
    "Options",
    "Prediction",
    "Recipe",
    "Run",
    "Severity",
    "WaterReport",
    "catalogue",
    "check_bytes",
    "check_file",
    "exactly",
    "load_config",
    "load_recipes",
    "plan",
    "predict",
    "read_report",
    "render",
]

_HOMES = {
    "AcidCharge": "recipe_tools.chemistry.mash_input",
    "BrewDay": "recipe_tools.brewday",
    "CheckedFile": "recipe_tools.results",
    "CheckedRecipe": "recipe_tools.results",
    "Confidence": "recipe_tools.findings",
    "Estimate": "recipe_tools.chemistry.estimate",
    "Finding": "recipe_tools.findings",
    "MaltShare": "recipe_tools.chemistry.mash_input",
    "MashInput": "recipe_tools.chemistry.mash_input",
    "Options": "recipe_tools.config",
    "Prediction": "recipe_tools.chemistry.mash_ph",
    "Recipe": "recipe_tools.recipe",
    "Run": "recipe_tools.results",
    "Severity": "recipe_tools.findings",
    "WaterReport": "recipe_tools.water_report",
    "catalogue": "recipe_tools.checking.checklist",
    "check_bytes": "recipe_tools.checking",
    "check_file": "recipe_tools.checking",
    "exactly": "recipe_tools.chemistry.estimate",
    "load_config": "recipe_tools.config",
    "load_recipes": "recipe_tools.checking",
    "plan": "recipe_tools.brewday",
    "predict": "recipe_tools.chemistry.mash_ph",
    "read_report": "recipe_tools.water_report",
    "render": "recipe_tools.reports",
}


def __getattr__(name: str) -> Any:
    """Load a public name on first use, so that importing the package costs next to nothing."""
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    import importlib

    value = getattr(importlib.import_module(home), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
