"""What a check says of kept readings: outliers, recipes changed since, lots of no malt."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from recipe_tools.checking.own_rules import READING_CHANGED, READING_LOT, READING_OUTLIER
from recipe_tools.findings import Finding, find

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay
    from recipe_tools.config import Options
    from recipe_tools.readings import KeptReading


def of_recipe(day: BrewDay, options: Options, path: str) -> Iterator[Finding]:
    """Yield what is to be said of the readings of one recipe.

    path: of its file, relative to the folder of the configuration, as readings name it.
    """
    if options.readings is None:
        return
    recipe = day.recipe
    own = [i for i in options.readings.entries if (i.recipe, i.name) == (path, recipe.name)]
    plain = [item for item in own if not item.added]
    prediction = day.prediction
    if plain and prediction is not None and prediction.without_readings is not None:
        latest = max(plain, key=lambda item: item.date)
        yield from _changed(latest, prediction.without_readings.best, day, _tolerance(options))
    malts = {item.name.strip().casefold() for item in recipe.fermentables}
    for item in own:
        for malt, lot in item.lots.items():
            if malt.strip().casefold() not in malts:
                yield find(
                    READING_LOT.id,
                    "The reading of {date} names lot {lot} of {value}, which is no malt of this "
                    "recipe.",
                    recipe.origin.at("name"),
                    date=item.date,
                    lot=lot,
                    value=malt,
                )


def _tolerance(options: Options) -> float:
    settings = options.rules.get(READING_CHANGED.id)
    settled = None if settings is None else settings.options.get("tolerance")
    return float(READING_CHANGED.options["tolerance"].default if settled is None else settled)


def _changed(latest: KeptReading, now: float, day: BrewDay, tolerance: float) -> Iterator[Finding]:
    then = latest.expected.predicted
    if abs(now - then) <= tolerance:
        return
    yield find(
        READING_CHANGED.id,
        "When its mash was read on {date}, pH {then:.2f} was predicted without readings; now it is "
        "{now:.2f}: recipe, water or configuration was changed since. What was learnt stays.",
        day.recipe.origin.at("name"),
        date=latest.date,
        then=then,
        now=now,
        value=latest.date,
    )


def of_configuration(options: Options) -> Iterator[Finding]:
    """Yield the readings that are far off what the others let expect."""
    if options.readings is None:
        return
    for item in options.readings.learnt.comparisons:
        if not item.is_outlier:
            continue
        kept = options.readings.entries[item.reading]
        yield find(
            READING_OUTLIER.id,
            "{file}, line {line}: pH {ph:.2f} of {value} on {date} lies {off:.1f} standard "
            "deviations from the {expected:.2f} to be expected; it counts for less.",
            file=options.readings_file,
            line=kept.line,
            ph=kept.mash_ph,
            date=kept.date,
            off=abs(item.off),
            expected=item.expected,
            value=kept.name or kept.recipe,
        )
