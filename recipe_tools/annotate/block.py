"""What is written into the notes of a recipe, line by line, in plain words.

Notes are mostly shown in a proportional type and a narrow field, so there are no columns: one entry
for each stage of the water. Nothing depends on the day, the machine or the lines of the file.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from recipe_tools.chemistry.estimate import bests
from recipe_tools.findings import Finding, Rule, Severity
from recipe_tools.recipe import IONS
from recipe_tools.reports.brew_day_lines import readings_words
from recipe_tools.reports.terminal import visible, wrapped

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay, Liquor, SourceWater
    from recipe_tools.chemistry.estimate import Estimate
    from recipe_tools.chemistry.mash_ph import Prediction
    from recipe_tools.results import CheckedFile, CheckedRecipe

_WIDTH: Final = 76
_STAGES: Final = {"mash": "Mash", "sparge": "Sparge", "total": "All water"}
_ORIGINS: Final = {
    "file": "as this recipe states it",
    "report": "from a water report",
    "configuration": "from the configuration",
    "pure": "counted as pure water",
}
_HEAD: Final = (
    "Written by recipe-tools, which replaces it when it runs again;",
    "`recipe-tools annotate --remove` takes it out. Write above or below, not in it.",
)


@dataclass(frozen=True, slots=True)
class Judged:
    """A recipe with all that is to be said about it.

    found: open findings of this recipe, worst first. cautions: handling notes. accepted: number of
    findings that a suppression or the baseline accepts.
    """

    recipe: CheckedRecipe
    found: tuple[Finding, ...]
    cautions: tuple[Finding, ...]
    accepted: int


def judged(file: CheckedFile) -> tuple[Judged, ...]:
    """Return the recipes of a file, each with its findings."""
    by_recipe: dict[int, list[Finding]] = {}
    for item in file.findings:
        if item.recipe is not None:
            by_recipe.setdefault(item.recipe, []).append(item)
    result = []
    for checked in file.recipes:
        found = by_recipe.get(checked.recipe.index, [])
        path = checked.recipe.origin.path
        cautions: dict[tuple[str, str], Finding] = {}
        for item in file.safety:
            if item.pointer == path or item.pointer.startswith(f"{path}/"):
                cautions.setdefault((item.rule, item.message), item)
        listed = sorted((item for item in found if item.suppressed is None), key=_worst_first)
        accepted = sum(item.suppressed is not None for item in found)
        result.append(Judged(checked, tuple(listed), tuple(cautions.values()), accepted))
    return tuple(result)


def lines(judged: Judged, catalogue: Mapping[str, Rule]) -> tuple[str, ...]:
    """Return the lines of the block between its first line and what it replaced."""
    written = [*_HEAD, ""]
    day = judged.recipe.day
    if day is None:
        written += ["The brew day could not be computed.", ""]
    else:
        written += [*_water(day), "", *_mash(day), ""]
    written += [*_found(judged, catalogue), ""]
    if day is not None and day.assumptions:
        written.append("Supposed, because the recipe does not say")
        for item in day.assumptions:
            written += _entry(item.text)
        written.append("")
    if judged.cautions:
        written += ["Handling", *_listed(judged.cautions, catalogue), ""]
    return tuple(written)


def _worst_first(item: Finding) -> tuple[int, int, str, str]:
    return (-(item.severity or Severity.ERROR), -item.confidence, item.rule, item.pointer)


def _entry(text: str, mark: str = "- ") -> list[str]:
    return wrapped(visible(text), first=f"  {mark}", rest="  " + " " * len(mark), width=_WIDTH)


def _water(day: BrewDay) -> Iterator[str]:
    source = day.source
    liquors = [item for item in (day.mash, day.sparge, day.total) if item is not None]
    if not source.known:
        yield "Water: nothing says what is in it"
        for liquor in liquors:
            yield from _entry(f"{_STAGES[liquor.stage]}, {liquor.volume_l.best:.1f} L")
        return
    yield "Water with the salts of this recipe, in mg/L"
    yield from _entry(f"{_source(source)}: {_levels(bests(source.ions_mg_l))}")
    acidified = {dose.stage for dose in day.doses if dose.acid_mmol.best > 0}
    for liquor in liquors:
        yield from _entry(_liquor(liquor, with_acid=liquor.stage in acidified))


def _source(source: SourceWater) -> str:
    origin = _ORIGINS.get(source.origin, source.origin)
    return f"Source ({source.name}, {origin})" if source.name else f"Source ({origin})"


def _levels(ions_mg_l: Mapping[str, float]) -> str:
    stated = [f"{ion} {_fixed(ions_mg_l[ion], 0)}" for ion in IONS if ion in ions_mg_l]
    return ", ".join(stated) or "no ions stated"


def _liquor(liquor: Liquor, *, with_acid: bool) -> str:
    parts = [_levels(bests(liquor.ions_mg_l))]
    if liquor.residual_alkalinity_meq_l is not None:
        residual = _between(liquor.residual_alkalinity_meq_l, 1)
        parts.append(f"residual alkalinity {residual} mEq/L")
    ratio = liquor.sulfate_to_chloride
    if liquor.stage == "total" and ratio is not None:
        parts.append(f"sulfate to chloride {_fixed(ratio, 1)} by mass")
    if with_acid and liquor.after_acid is not None:
        after = liquor.after_acid
        parts.append(
            f"with its acid alkalinity {_fixed(after.alkalinity_meq_l, 1)} mEq/L, "
            f"pH {_fixed(after.ph, 1)}"
        )
    return f"{_STAGES[liquor.stage]}, {liquor.volume_l.best:.1f} L: {'; '.join(parts)}"


def _mash(day: BrewDay) -> Iterator[str]:
    prediction = day.prediction
    if prediction is None:
        if day.not_predictable:
            yield from wrapped(
                f"Mash pH: cannot be predicted, {visible(', '.join(day.not_predictable))}",
                first="",
                rest="  ",
                width=_WIDTH,
            )
        else:
            yield "Mash pH: there is no mash"
        return
    yield f"Mash pH, read in a sample cooled to {prediction.at_celsius:.0f} °C"
    yield from _entry(
        f"predicted {_fixed(prediction.ph, 2)}, most likely {_fixed(prediction.low, 2)} "
        f"to {_fixed(prediction.high, 2)}"
    )
    if plain := prediction.without_readings:
        yield from _entry(f"{readings_words(prediction)}; without them {_fixed(plain.best, 2)}")
    if day.water_to_grist_l_kg is not None:
        yield from _entry(
            f"for {day.grist_kg:.2f} kg of grist at {day.water_to_grist_l_kg:.1f} L/kg"
        )
    yield from _doubts(prediction)


def _doubts(prediction: Prediction) -> Iterator[str]:
    drivers = [item for item in prediction.drivers if item.half_width >= 0.005][:2]
    if drivers:
        named = "; ".join(f"{item.label} +-{item.half_width:.2f}" for item in drivers)
        yield from _entry(f"least certain: {named}")
    for warning in prediction.warnings:
        yield from _entry(f"outside what was measured: {warning}")


def _found(judged: Judged, catalogue: Mapping[str, Rule]) -> Iterator[str]:
    if judged.found:
        yield "Found"
    elif judged.accepted:
        yield "Found: nothing more to change"
    else:
        yield "Found: nothing to change"
    yield from _listed(judged.found, catalogue)
    if judged.accepted:
        count = "1 finding is" if judged.accepted == 1 else f"{judged.accepted} findings are"
        yield from _entry(f"{count} accepted and not listed")


def _listed(found: Sequence[Finding], catalogue: Mapping[str, Rule]) -> Iterator[str]:
    """Yield findings, and behind the last of each rule what to do about it."""
    last = {item.rule: place for place, item in enumerate(found)}
    for place, item in enumerate(found):
        severity = (item.severity or Severity.ERROR).word
        yield from _entry(f"{severity} ({item.confidence.word}), {item.rule}: {item.message}")
        rule = catalogue.get(item.rule)
        if rule is not None and last[item.rule] == place:
            yield from _entry(f"what to do: {rule.remedy}", "  ")


def _between(estimate: Estimate, digits: int) -> str:
    low, high = _fixed(estimate.low, digits), _fixed(estimate.high, digits)
    best = _fixed(estimate.best, digits)
    return best if low == high else f"{best} ({low} to {high})"


def _fixed(value: float, digits: int) -> str:
    """Return a number as scales and meters show it; never a negative zero."""
    return f"{round(value, digits) + 0.0:.{digits}f}"
