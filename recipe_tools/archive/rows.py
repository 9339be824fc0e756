"""What is kept of each file of an archive: a few lines of JSON instead of trees of recipes.

A row has two parts, so that a run over thousands of files need not take apart what it only passes
on: ``entry`` is the file's entry in the JSON report in short form, ``marks`` what is summed up.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from functools import cache
from hashlib import blake2b
from math import isfinite
from typing import Any, NamedTuple

from recipe_tools.archive.entries import short_entry
from recipe_tools.archive.marks import (
    ABOVE,
    BELOW,
    LEVELS,
    NO_RANGE,
    NOT_OVER,
    OVER,
    WITHIN,
    Failure,
    Marks,
    RecipeMarks,
    RuleCount,
)
from recipe_tools.brewday import BrewDay, Liquor
from recipe_tools.findings import Finding, Severity
from recipe_tools.recipe import IONS, Addition, Hop, Recipe
from recipe_tools.results import CheckedFile, CheckedRecipe

_UNKNOWN_IONS: Sequence[float | None] = (None,) * len(IONS)

_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
_SURROGATE = re.compile("[\ud800-\udfff]")
_encode = json.JSONEncoder(
    ensure_ascii=False, check_circular=False, separators=(",", ":"), allow_nan=False
).encode


class Row(NamedTuple):
    """A file as workers and cache hand it on: both parts are JSON text."""

    shown: str
    entry: str
    marks: str


def row(file: CheckedFile) -> Row:
    """Return what is kept of a checked file."""
    by_recipe: dict[int | None, list[Finding]] = {}
    for item in file.findings:
        by_recipe.setdefault(item.recipe, []).append(item)
    recipes = [_recipe_marks(item, by_recipe.get(item.recipe.index, ())) for item in file.recipes]
    open_findings = [item for item in file.findings if item.suppressed is None]
    counts = _counts(open_findings)
    for more in file.unlisted:
        counts[LEVELS.index(more.severity)] += more.count
    marks = Marks(
        file.status,
        file.format,
        file.data_digest,
        file.incomplete,
        counts,
        len(file.findings) - len(open_findings),
        dict(file.hidden),
        _rule_counts(file, open_findings),
        _failures(file),
        [
            (item.rule, item.message, int(item.severity or Severity.NOTE), int(item.confidence))
            for item in file.safety
        ],
        sorted(file.used_settings),
        dict(file.unused_acceptance),
        recipes,
    )
    amounts = [_amounts(item) for item in file.recipes]
    return Row(file.path, _text(short_entry(file, recipes, amounts)), _text(marks))


def _text(value: Any) -> str:
    text = _encode(value)
    if text.isascii():
        return text
    # Lone surrogates can stand in names of recipes; UTF-8 cannot carry them.
    return _SURROGATE.sub(lambda found: f"\\\\u{ord(found.group()):04x}", text)


def _counts(findings: Iterable[Finding]) -> list[int]:
    counts = [0, 0, 0]
    for item in findings:
        counts[Severity.ERROR - (item.severity or Severity.NOTE)] += 1
    return counts


def _rule_counts(file: CheckedFile, open_findings: Iterable[Finding]) -> list[RuleCount]:
    found: dict[tuple[str, int], list[Any]] = {}
    for item in open_findings:
        entry = found.setdefault((item.rule, int(item.severity or Severity.NOTE)), [0, set()])
        entry[0] += 1
        entry[1].add(item.recipe)
    for more in file.unlisted:
        entry = found.setdefault((more.rule, int(more.severity)), [0, set()])
        entry[0] += more.count
    return [
        RuleCount(rule, severity, count, len(recipes))
        for (rule, severity), (count, recipes) in found.items()
    ]


def _failures(file: CheckedFile) -> list[Failure]:
    if not file.incomplete:
        return []
    telling = [item for item in file.findings if item.rule.startswith(("internal/", "archive/"))]
    if not telling and file.status == "not_checked":
        telling = [item for item in file.findings if item.severity is Severity.ERROR][:1]
        telling = telling or list(file.findings[:1])
    return [Failure(item.rule, item.message, item.line) for item in telling]


def _recipe_marks(checked: CheckedRecipe, findings: Iterable[Finding]) -> RecipeMarks:
    recipe, day = checked.recipe, checked.day
    errors, warnings, notes = _counts([item for item in findings if item.suppressed is None])
    year = _YEAR.search(recipe.date)
    prediction = day.prediction if day is not None else None
    liquor = None if day is None else day.total or day.mash
    ions = _ions(liquor)
    residual = day.mash.residual_alkalinity_meq_l if day and day.mash else None
    whole, grist, amounts, water = _signature(recipe, day)
    return RecipeMarks(
        recipe.index,
        recipe.name,
        " ".join(recipe.brewer.split()),
        int(year.group()) if year else None,
        recipe.style.name if recipe.style else "",
        day.family.family if day and day.family else "",
        errors,
        warnings,
        notes,
        _rounded(prediction.ph, 2) if prediction else None,
        _rounded(prediction.low, 2) if prediction else None,
        _rounded(prediction.high, 2) if prediction else None,
        ions,
        _against(ions, day),
        _over(ions, day),
        _rounded(residual.best, 2) if residual else None,
        _rounded(liquor.sulfate_to_chloride, 2) if liquor else None,
        whole,
        grist,
        amounts,
        water,
    )


def _ions(liquor: Liquor | None) -> Sequence[float | None]:
    if liquor is None or not liquor.ions_mg_l:
        return _UNKNOWN_IONS
    levels = liquor.ions_mg_l
    return [_rounded(levels[ion].best, 1) if ion in levels else None for ion in IONS]


def _against(ions: Sequence[float | None], day: BrewDay | None) -> str:
    if ions is _UNKNOWN_IONS or day is None or day.targets is None:
        return NO_RANGE * len(IONS)
    exempt = day.family.exempt if day.family else frozenset()
    letters = []
    for ion, level in zip(IONS, ions, strict=True):
        low, high = day.targets.ranges.get(ion, (None, None))
        if level is None or ion in exempt or (low is None and high is None):
            letters.append(NO_RANGE)
        elif low is not None and level < low:
            letters.append(BELOW)
        else:
            letters.append(ABOVE if high is not None and level > high else WITHIN)
    return "".join(letters)


def _over(ions: Sequence[float | None], day: BrewDay | None) -> str:
    if ions is _UNKNOWN_IONS:
        return NOT_OVER * len(IONS)
    exempt = day.family.exempt if day and day.family else frozenset()
    return "".join(
        OVER
        if level is not None
        and ion not in exempt
        and (limit := upper_limit(ion)) is not None
        and level > limit
        else NOT_OVER
        for ion, level in zip(IONS, ions, strict=True)
    )


@cache
def upper_limit(ion: str) -> float | None:
    """Return the level in mg/L above which an ion is warned of, else the end of its usual range."""
    from recipe_tools.reference import ion_range

    try:
        found = ion_range(ion)
    except KeyError:
        return None
    return found.high if found.warn_above is None else found.warn_above


def _signature(recipe: Recipe, day: BrewDay | None) -> tuple[str, str, list[float], str]:
    """Return what makes two recipes alike: everything, names of the malts, their amounts, water.

    Amounts count per litre of beer, so that a recipe for another batch size is the same.
    """
    malts = sorted(
        (_plain(item.name), item.amount_kg) for item in recipe.fermentables if item.amount_kg
    )
    if not malts:
        return "", "", [], ""
    litres = recipe.batch_l or 1.0
    names = "\n".join([name for name, _ in malts])
    amounts = [_significant(kilograms / litres) for _, kilograms in malts]
    water = _water(day)
    parts = [
        names,
        " ".join([f"{kilograms / litres:.3g}" for _, kilograms in malts]),
        *sorted([_hop(item, litres) for item in recipe.hops]),
        *sorted([_addition(item, litres) for item in recipe.additions]),
        *sorted([_plain(item.name) for item in recipe.cultures]),
        water,
    ]
    return _hash("\n".join(parts)), _hash(names), amounts, water


def _hop(hop: Hop, litres: float) -> str:
    amount = (hop.amount_kg or 0.0) / litres
    return f"{_plain(hop.name)} {amount:.3g} {hop.use} {hop.time_min or 0:g}"


def _addition(item: Addition, litres: float) -> str:
    amount = item.mass_g or item.volume_ml or item.pieces or item.amount or 0.0
    return f"{_plain(item.name)} {amount / litres:.3g} {item.use}"


def _water(day: BrewDay | None) -> str:
    if day is None or not day.source.known:
        return ""
    levels = day.source.ions_mg_l
    return "/".join(f"{round(levels[ion])}" if ion in levels else "" for ion in IONS)


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def _hash(text: str) -> str:
    return blake2b(text.encode("utf-8", "surrogatepass"), digest_size=8).hexdigest()


def _significant(value: float) -> float:
    return float(f"{value:.4g}")


def _rounded(value: float | None, digits: int) -> float | None:
    if value is None or not isfinite(value):
        return None
    return round(value, digits) + 0.0


def _amounts(checked: CheckedRecipe) -> tuple[float | None, float | None, bool]:
    day = checked.day
    return (
        _rounded(checked.recipe.batch_l, 2),
        _rounded(day.grist_kg, 3) if day else None,
        bool(day and day.source.known),
    )
