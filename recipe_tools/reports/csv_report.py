"""CSV (RFC 4180): one row per recipe, for a spreadsheet.

A row without a recipe stands for the file itself, where it could not be checked, holds no recipe
or has findings of its own; a row without a path for findings of the whole run. The counts of all
rows add up to those of the run.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from recipe_tools.findings import Finding, Rule, Severity
from recipe_tools.recipe import IONS
from recipe_tools.reports.escaping import csv_cell
from recipe_tools.reports.ranking import tally
from recipe_tools.results import CheckedFile, CheckedRecipe, OverLimit, Run

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay, Liquor

Cell = str | int | float | None
Row = dict[str, Cell]

_NAME_COLUMNS = ("path", "status", "format", "recipe_index", "recipe", "style", "style_family")
_COUNT_COLUMNS = ("errors", "warnings", "notes", "accepted")
COLUMNS = (
    *_NAME_COLUMNS,
    "source_known",
    "mash_l",
    "sparge_l",
    "total_l",
    *(f"mash_{ion}_mg_l" for ion in IONS),
    *(f"total_{ion}_mg_l" for ion in IONS),
    "mash_alkalinity_meq_l",
    "mash_residual_alkalinity_meq_l",
    "sulfate_to_chloride",
    "water_to_grist_l_kg",
    "mash_ph",
    "mash_ph_low",
    "mash_ph_high",
    *_COUNT_COLUMNS,
)


def render(run: Run, catalogue: Mapping[str, Rule]) -> str:
    """Return the table with a header row. Rows end with CR LF, so a bare CR is quoted too."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    for file in run.files:
        writer.writerows(_cells(row) for row in _rows(file))
    if run.findings:
        writer.writerow(_cells(_counts(run.findings)))
    return text.getvalue()


def _cells(row: Row) -> dict[str, Cell]:
    return {key: csv_cell(value) if isinstance(value, str) else value for key, value in row.items()}


def _rows(file: CheckedFile) -> Iterable[Row]:
    known = {item.recipe.index for item in file.recipes}
    own = [item for item in file.findings if item.recipe not in known]
    head: Row = {"path": file.path, "status": file.status, "format": file.format}
    if own or file.over_limit or not known or file.status != "checked":
        yield head | _counts(own, file.over_limit)
    for checked in file.recipes:
        index = checked.recipe.index
        findings = [item for item in file.findings if item.recipe == index]
        yield head | _recipe(checked) | _counts(findings)


def _counts(findings: Iterable[Finding], over_limit: Iterable[OverLimit] = ()) -> Row:
    every = list(findings)
    total = tally(item for item in every if item.suppressed is None)
    for more in over_limit:
        total[more.severity] += more.count
    return {
        "errors": total[Severity.ERROR],
        "warnings": total[Severity.WARNING],
        "notes": total[Severity.NOTE],
        "accepted": sum(item.suppressed is not None for item in every),
    }


def _recipe(checked: CheckedRecipe) -> Row:
    recipe, day = checked.recipe, checked.day
    row: Row = {
        "recipe_index": recipe.index,
        "recipe": recipe.name,
        "style": recipe.style.name if recipe.style else None,
    }
    return row if day is None else row | _brew_day(day)


def _brew_day(day: BrewDay) -> Row:
    row: Row = {
        "style_family": day.family.family if day.family else None,
        "source_known": "yes" if day.source.known else "no",
        "water_to_grist_l_kg": _rounded(day.water_to_grist_l_kg, 2),
    }
    for liquor in (day.mash, day.sparge, day.total):
        if liquor is not None:
            row[f"{liquor.stage}_l"] = _rounded(liquor.volume_l.best, 2)
    row |= _ions("mash", day.mash) | _ions("total", day.total)
    if day.mash is not None:
        alkalinity, residual = day.mash.alkalinity_meq_l, day.mash.residual_alkalinity_meq_l
        row["mash_alkalinity_meq_l"] = _rounded(alkalinity.best if alkalinity else None, 3)
        row["mash_residual_alkalinity_meq_l"] = _rounded(residual.best if residual else None, 3)
    if day.total is not None:
        row["sulfate_to_chloride"] = _rounded(day.total.sulfate_to_chloride, 2)
    if day.prediction is not None:
        row["mash_ph"] = _rounded(day.prediction.ph, 2)
        row["mash_ph_low"] = _rounded(day.prediction.low, 2)
        row["mash_ph_high"] = _rounded(day.prediction.high, 2)
    return row


def _ions(stage: str, liquor: Liquor | None) -> Row:
    if liquor is None:
        return {}
    return {
        f"{stage}_{ion}_mg_l": _rounded(liquor.ions_mg_l[ion].best, 1)
        for ion in IONS
        if ion in liquor.ions_mg_l
    }


def _rounded(value: float | None, digits: int) -> float | None:
    """Return the value rounded; adding 0.0 turns a negative zero into a plain one."""
    return None if value is None else round(value, digits) + 0.0
