"""What the rules ask of a brew day: levels of ions, where they come from, ranges of the style."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from recipe_tools.brewday import BrewDay, Dose, Liquor
from recipe_tools.findings import Related
from recipe_tools.reference import family_words
from recipe_tools.rules.verdicts import grams, millilitres

STAGE_WORDS = {
    "source": "the source water",
    "mash": "the mash water",
    "sparge": "the sparge water",
    "boil": "the boil",
    "fermenter": "the fermenter",
    "package": "the package",
    "unknown": "an unnamed stage",
    "total": "all brewing water together",
}

_WORTH_NAMING = 0.1


class Share(NamedTuple):
    """A part of an ion in the water: who brings it, how many milligrams, where it is written."""

    label: str
    milligrams: float
    pointer: str


def liquor_of(day: BrewDay, stage: str) -> Liquor | None:
    """Return the liquor an addition of that stage ends up in, or None."""
    if stage == "mash":
        return day.mash
    if stage == "sparge":
        return day.sparge
    return day.liquor


def amount_text(dose: Dose) -> str:
    """Return the amount of a dose as a scale or syringe shows it; empty where it is not known."""
    if dose.grams is not None:
        return grams(dose.grams.best)
    if dose.millilitres is not None:
        return millilitres(dose.millilitres.best)
    return ""


def shares(day: BrewDay, ion: str, liquor: Liquor) -> tuple[Share, ...]:
    """Return what brings an ion into a liquor, largest part first."""
    found = list(_shares(day, ion, liquor))
    found.sort(key=lambda share: -share.milligrams)
    return tuple(found)


def _shares(day: BrewDay, ion: str, liquor: Liquor) -> Iterator[Share]:
    native = day.source.mg_l(ion) * liquor.volume_l.best
    if native > 0:
        yield Share("the source water", native, source_pointer(day, ion))
    for dose in day.doses:
        brought = dose.ions_mg.get(ion)
        if brought is None or brought.best <= 0 or not _goes_into(dose, liquor):
            continue
        label = f"{dose.addition.name} {amount_text(dose)}".rstrip()
        part = _part(day, dose, liquor)
        yield Share(label, part * brought.best, dose.addition.origin.at("amount"))


def _goes_into(dose: Dose, liquor: Liquor) -> bool:
    if liquor.stage == "total":
        return dose.in_wort
    return dose.stage in (liquor.stage, "source")


def _part(day: BrewDay, dose: Dose, liquor: Liquor) -> float:
    """Return which part of a dose a liquor receives: one for all water is shared out by volume."""
    if dose.stage != "source" or liquor.stage == "total" or day.total is None:
        return 1.0
    return liquor.volume_l.best / day.total.volume_l.best


def source_pointer(day: BrewDay, ion: str) -> str:
    """Return where the source water states an ion, or the place of the water itself."""
    for record in day.source.records:
        if ion in record.ions_mg_l:
            return record.origin.at(ion)
    return day.source.pointer or day.recipe.origin.at("name")


def mostly_from(found: tuple[Share, ...], liquor: Liquor) -> str:
    """Return ``; most of it from X (N mg/L)``, or nothing where the source water is alone."""
    if len(found) < 2 and (not found or found[0].label == "the source water"):
        return ""
    first = found[0]
    return f"; most of it from {first.label} ({first.milligrams / liquor.volume_l.best:.0f} mg/L)"


def related(found: tuple[Share, ...], ion: str) -> tuple[Related, ...]:
    """Return the other places that bring a good part of an ion."""
    total = sum(share.milligrams for share in found)
    return tuple(
        Related(share.pointer, f"{share.label} also brings {ion}")
        for share in found[1:4]
        if share.milligrams >= _WORTH_NAMING * total
    )


def into_water(day: BrewDay, dose: Dose) -> tuple[Related, ...]:
    """Return the place of the water an addition goes into."""
    if dose.stage == "sparge" or dose.stage == "mash":
        pointer = _step_pointer(day, dose)
    else:
        pointer = day.source.pointer
    if not pointer or pointer == dose.pointer:
        return ()
    return (Related(pointer, f"goes into {STAGE_WORDS[dose.stage]}"),)


def _step_pointer(day: BrewDay, dose: Dose) -> str:
    mash = day.recipe.mash
    if mash is None:
        return ""
    step = dose.addition.step
    if step is not None and 1 <= step <= len(mash.steps):
        return mash.steps[step - 1].origin.path
    for candidate in mash.steps:
        if ("sparge" in candidate.kind) == (dose.stage == "sparge"):
            return candidate.origin.path
    return mash.origin.path


def mash_pointer(day: BrewDay) -> str:
    """Return the place of the mash (its name), or of the recipe where it has none."""
    mash = day.recipe.mash
    if mash is not None and mash.origin.path:
        return mash.origin.at("name")
    return day.recipe.origin.at("name")


def family_name(day: BrewDay) -> str:
    """Return the style family in plain words."""
    return family_words(day.targets.family) if day.targets is not None else ""
