"""Water records that do not mean what they seem to mean."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.source import target_mark
from recipe_tools.findings import Confidence, Example, Finding, Option, Related, Rule, Severity
from recipe_tools.recipe import WaterSource
from recipe_tools.reference import city_waters, says
from recipe_tools.rules import rule
from recipe_tools.rules.examples import water, well
from recipe_tools.rules.verdicts import report

_GOAL_WORDS = (
    *("profile", "profil", "perfil", "profilo", "style", "stil", "for", "für", "pour", "para"),
    *("balanced", "hoppy", "bitter", "malty", "mild", "pale", "dark", "light", "dla"),
    *("ale", "ipa", "pils", "pilsner", "pilsener", "lager", "helles", "stout", "porter"),
    *("weizen", "wheat", "saison"),
)
_OTHER_SPELLINGS = ("pilsen", "plzen", "münchen", "muenchen", "wien", "burton")
_WORDS = re.compile(r"[^\W\d_]+")


@cache
def _cities() -> frozenset[str]:
    return frozenset(row.city.split(" (")[0].casefold() for row in city_waters())


def _goal_in(record: WaterSource) -> str:
    """Return the word of a name that tells a goal or a classic brewing town; may be empty."""
    name = record.name[:200].casefold()
    words = set(_WORDS.findall(name))
    if says(record.name, "tap"):
        return ""
    for word in (*_GOAL_WORDS, *_OTHER_SPELLINGS):
        if word in words:
            return word
    for city in sorted(_cities()):
        if city in name or (city.split()[0] in words and len(city.split()[0]) > 3):
            return city.title()
    return ""


@rule(
    Rule(
        id="water/looks-like-target",
        severity=Severity.NOTE,
        summary="The water record is named like a goal, but is taken as the water from the tap.",
        why="Recipe programs store both in the same record. If it is a goal, the salts are "
        "counted on top of a water that already holds them.",
        source="common practice, no source",
        remedy='Say what it is: `records = "target"` (or "source") under [water] in '
        "recipe-tools.toml, or put the word target into its name and list the tap beside it.",
        passes=Example("A well is a source."),
        fails=Example(
            "A record named after a kind of beer.", water(well("Hoppy pale ale profile"))
        ),
        reference=("city_waters(city)",),
    )
)
def looks_like_target(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Speak only where salts are added to it: without them nothing is counted twice."""
    del options
    if day.source.origin != "file" or not any(item.ions_mg for item in day.doses):
        return
    for record in day.source.records:
        word = _goal_in(record)
        if word and target_mark(record) is None:
            yield report(
                f"The water '{record.name}' is named like a goal ('{word}'), but is taken as the "
                "source and the salts are added to it",
                record.origin.at("name"),
                confidence=Confidence.LIKELY,
                value=record.name,
            )
            return


@rule(
    Rule(
        id="water/calls-itself-target",
        severity=Severity.NOTE,
        summary="A water record calls itself a goal in its name or notes.",
        why="A goal is not the water from the tap. Taken for a source, the salts are counted on "
        "top of a water that already holds them; left out, its values are not used.",
        source="common practice, no source",
        remedy="If it is the tap, take the word out of its name or notes. If it is a goal, add "
        "the water from the tap as a record of its own or name it with `--water`.",
        passes=Example("A well is a source."),
        fails=Example(
            "A goal, and no other water.", water({**well("Hill water"), "notes": "Target for ales"})
        ),
    )
)
def calls_itself_target(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Name each record that is marked, and what became of it; a warning where it is the source."""
    del options
    for record in day.recipe.waters:
        mark = target_mark(record)
        used = record in day.source.records
        if mark is None or not (used or day.target is not None):
            continue
        where = "in its name" if mark.field == "name" else "at the start of its notes"
        taken = "no other water is given, so it is taken as the source"
        yield report(
            f"The water '{record.name}' calls itself a goal ('{mark.word}' {where}); "
            + (taken if used else "it is not counted as brewing water"),
            record.origin.at(mark.field),
            severity=Severity.WARNING if used else Severity.NOTE,
            confidence=Confidence.LIKELY,
            value=record.name,
            word=mark.word,
        )


@rule(
    Rule(
        id="water/volume-is-batch-size",
        severity=Severity.NOTE,
        summary="Several waters each carry the batch size as their volume.",
        why="Waters are blended by their volumes. Equal volumes mean half and half, which nobody "
        "chose where a program filled in the batch size.",
        source="common practice, no source",
        remedy="Give each water the volume that is really used.",
        options={
            "within": Option(2, "% of the batch", "counts as the batch size", "derived_default")
        },
        passes=Example("One water, whatever its volume."),
        fails=Example(
            "Two waters of 20 L each for a 20 L batch.",
            water(
                well("Aldermoor well", 20),
                well("Aldermoor spring", 20, calcium=60, bicarbonate=159),
            ),
        ),
    )
)
def volume_is_batch_size(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """A single water is used whatever its volume, so only blends are looked at."""
    records, batch_l = day.source.records, day.recipe.batch_l
    if len(records) < 2 or not batch_l or _same_water(records):
        return
    slack = options["within"] / 100.0 * batch_l
    if not all(r.amount_l is not None and abs(r.amount_l - batch_l) <= slack for r in records):
        return
    yield report(
        f"Each of {len(records)} waters is given with the batch size of {batch_l:.1f} L; they are "
        "blended in equal parts",
        records[0].origin.at("amount_l"),
        related=tuple(Related(r.origin.at("amount_l"), f"'{r.name}' too") for r in records[1:4]),
        value=round(batch_l, 1),
        unit="L",
    )


@rule(
    Rule(
        id="water/volume-mismatch",
        severity=Severity.NOTE,
        summary="The waters of a blend do not add up to the water of the recipe.",
        why="The shares of the blend follow from the volumes. If one of them is wrong, so are "
        "all ions.",
        source="derived_default",
        remedy="Give each water the volume that is really used; together mash, sparge and top-up.",
        options={
            "within": Option(15, "%", "difference that passes", "derived_default"),
        },
        passes=Example(
            "Two waters that add up to the 28.5 L of the recipe.",
            water(well("Aldermoor well", 18.5), well("Distilled water", 10)),
        ),
        fails=Example(
            "Two waters of 50 L together, for a recipe with 28.5 L.",
            water(
                well("Aldermoor well", 30),
                well("Aldermoor spring", 20, calcium=60, bicarbonate=159),
            ),
        ),
    )
)
def volume_mismatch(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Only blends, and only where it is not the batch size that was filled in."""
    records, total, batch_l = day.source.records, day.total, day.recipe.batch_l or 0.0
    if len(records) < 2 or total is None or day.mash is None or _same_water(records):
        return
    amounts = [record.amount_l for record in records if record.amount_l is not None]
    if len(amounts) < len(records) or min(amounts) <= 0:
        return
    if all(abs(amount - batch_l) <= 0.02 * batch_l for amount in amounts):
        return
    blended, needed = sum(amounts), total.volume_l.best
    if abs(blended - needed) <= options["within"] / 100.0 * needed:
        return
    yield report(
        f"The waters add up to {blended:.1f} L, mash, sparge and top-up to {needed:.1f} L",
        records[0].origin.at("amount_l"),
        confidence=Confidence.LIKELY,
        related=tuple(Related(r.origin.at("amount_l"), f"'{r.name}'") for r in records[1:4]),
        value=round(blended, 1),
        needed=round(needed, 1),
        unit="L",
    )


def _same_water(records: tuple[WaterSource, ...]) -> bool:
    first = records[0].ions_mg_l
    return all(record.ions_mg_l == first for record in records[1:])
