"""From a checked file to what is kept of it: a few lines of JSON instead of trees of recipes."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from hashlib import blake2b
from math import isfinite
from typing import Any

from recipe_tools.archive.records import (
    LEVELS,
    Against,
    Failure,
    FileRecord,
    IonLevel,
    Packed,
    RecipeRecord,
    RuleCount,
    findings_of,
)
from recipe_tools.archive.repairs import repair
from recipe_tools.archive.trouble import is_trouble
from recipe_tools.brewday import BrewDay, Liquor
from recipe_tools.chemistry.estimate import bests
from recipe_tools.config import Options
from recipe_tools.findings import Finding, Severity
from recipe_tools.judgement.ions import exempt, range_of, upper_limit
from recipe_tools.judgement.mash import ABOVE_RANGE, BELOW_RANGE, MARGIN_PH
from recipe_tools.recipe import IONS, Addition, Hop, Recipe
from recipe_tools.results import CheckedFile, CheckedRecipe

_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
_DEFAULTS = Options()
_SURROGATE = re.compile("[\ud800-\udfff]")
_encode = json.JSONEncoder(
    ensure_ascii=False, check_circular=False, separators=(",", ":"), allow_nan=False
).encode


def packed(
    file: CheckedFile,
    options: Options = _DEFAULTS,
    *,
    itemised: bool = True,
    doses: bool = False,
) -> Packed:
    """Return what is kept of a checked file.

    options: it was checked with. itemised: with its findings one by one. doses: work out what would
    repair each recipe.
    """
    by_recipe: dict[int | None, list[Finding]] = {}
    for item in file.findings:
        by_recipe.setdefault(item.recipe, []).append(item)
    recipes = []
    for checked in file.recipes:
        kept = _recipe(checked, by_recipe.get(checked.recipe.index, ()), _window(options))
        if doses:
            kept = kept._replace(doses=repair(checked, kept, options, file.format))
        recipes.append(kept)
    open_findings = [item for item in file.findings if item.suppressed is None]
    counts = _counts(open_findings)
    for more in file.over_limit:
        counts[LEVELS.index(more.severity)] += more.count
    own_counts = list(counts)
    for recipe in recipes:
        for place, count in enumerate((recipe.errors, recipe.warnings, recipe.notes)):
            own_counts[place] -= count
    record = FileRecord(
        status=file.status,
        format=file.format,
        digest=file.data_digest,
        incomplete=file.incomplete,
        counts=counts,
        own_counts=own_counts,
        accepted=len(file.findings) - len(open_findings),
        hidden=dict(file.hidden),
        rules=_rule_counts(file, open_findings),
        failures=_failures(file),
        safety=file.safety,
        used_settings=sorted(file.used_settings),
        unused_acceptance=dict(file.unused_acceptance),
        recipes=[item.values() for item in recipes],
    )
    return Packed(_text(record.values()), _text(findings_of(file)) if itemised else "")


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
    for more in file.over_limit:
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


def _window(options: Options) -> tuple[float, float]:
    """Return the window of the mash pH in force."""
    low, high = BELOW_RANGE.in_force(options)["low"], ABOVE_RANGE.in_force(options)["high"]
    return low, high


def _ph_against(day: BrewDay, ph: float, window: tuple[float, float]) -> Against:
    low, high = window
    if day.soured_by and ph < low:
        return "exempt"
    if ph < low - MARGIN_PH:
        return "below"
    return "above" if ph > high + MARGIN_PH else "within"


def _recipe(
    checked: CheckedRecipe, findings: Iterable[Finding], window: tuple[float, float]
) -> RecipeRecord:
    recipe, day = checked.recipe, checked.day
    open_ones = [item for item in findings if item.suppressed is None]
    errors, warnings, notes = _counts(open_ones)
    bad_errors, bad_warnings, _ = _counts([item for item in open_ones if is_trouble(item.rule)])
    year = _YEAR.search(recipe.date)
    prediction = day.prediction if day is not None else None
    liquor = None if day is None else day.liquor
    residual = day.mash.residual_alkalinity_meq_l if day and day.mash else None
    whole, grist, amounts, water = _signature(recipe, day)
    return RecipeRecord(
        place=recipe.index,
        name=recipe.name,
        brewer=" ".join(recipe.brewer.split()),
        year=int(year.group()) if year else None,
        style=recipe.style.name if recipe.style else "",
        family=day.family.family if day and day.family else "",
        batch_l=_rounded(recipe.batch_l, 2),
        grist_kg=_rounded(day.grist_kg, 3) if day else None,
        water_known=bool(day and day.source.known),
        water_name=day.source.name if day else "",
        water_origin=day.source.origin if day else "unknown",
        ph=_rounded(prediction.ph, 2) if prediction else None,
        ph_low=_rounded(prediction.low, 2) if prediction else None,
        ph_high=_rounded(prediction.high, 2) if prediction else None,
        ph_window=f"{window[0]:g} {window[1]:g}",
        ph_against=_ph_against(day, prediction.ph, window) if day and prediction else None,
        residual_alkalinity=_rounded(residual.best, 2) if residual else None,
        sulfate_to_chloride=_rounded(liquor.sulfate_to_chloride, 2) if liquor else None,
        errors=errors,
        warnings=warnings,
        notes=notes,
        bad_errors=bad_errors,
        bad_warnings=bad_warnings,
        doses="",
        whole=whole,
        grist=grist,
        amounts=" ".join(map(str, amounts)),
        water=water,
        ions=_ions(liquor, day),
    )


def _ions(liquor: Liquor | None, day: BrewDay | None) -> list[IonLevel]:
    if liquor is None or day is None:
        return [IonLevel()] * len(IONS)
    found = []
    for ion in IONS:
        level = liquor.ions_mg_l.get(ion)
        mg_l = None if level is None else _rounded(level.best, 1)
        if mg_l is None or exempt(day, ion):
            found.append(IonLevel(mg_l, None if mg_l is None else "exempt"))
            continue
        limit = upper_limit(ion)
        against = _against(mg_l, *range_of(day, ion))
        found.append(IonLevel(mg_l, against, limit is not None and mg_l > limit))
    return found


def _against(level: float, low: float | None, high: float | None) -> Against | None:
    if low is None and high is None:
        return None
    if low is not None and level < low:
        return "below"
    return "above" if high is not None and level > high else "within"


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
    levels = bests(day.source.ions_mg_l)
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
