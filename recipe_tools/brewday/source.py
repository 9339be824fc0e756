"""The source water: from a water report, from the recipe's water records, or unknown."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal, NamedTuple

from recipe_tools.brewday.defaults import default
from recipe_tools.brewday.records import Assumption, SourceWater
from recipe_tools.brewday.treated import treated
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.ions import alkalinity_meq_l
from recipe_tools.config import Options
from recipe_tools.config.options import Treatment
from recipe_tools.recipe import Recipe, WaterSource
from recipe_tools.reference import recognise_agent, says
from recipe_tools.water_report import WaterReport
from recipe_tools.water_report.recorded import recorded

MAIN_IONS = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate")
_ITALIAN_OF = re.compile(r"\s*acqua\s+di\s+(?!osmosi)\w", re.IGNORECASE)
"""``acqua di fonte``: the word ``di`` is no deionised water there."""

_TARGET = re.compile(
    r"\b(?:target|goal|desired|ziel(?:wasser|profil|werte?)?|wunschwasser|cible|objectif|objetivo"
    r"|obiettivo|doel(?:water|profiel)?|mål(?:vatten|vand|vann|profil)?|cíl|docelow[aey]|önskad"
    r"|ønsket|желаем(?:ая|ый|ое)|целев(?:ая|ой|ое)|цель|tavoite(?:vesi)?)\b",
    re.IGNORECASE,
)
_BEFORE_MARK = (
    r"(?:(?:this|that|it|is|the|a|an|my|our|water|das|dies|ist|der|die|mein|unser|c|ce|est|le|la|l"
    r"|mon|notre|esto|es|el|mi|este|é|o|meu|è|il|questo|mio|dit|het|de|mijn|to|jest|det|den|är|er"
    r"|min|mitt|это|наша|моя|tämä|on)\W+){0,4}"
)
_NOTES_MARK = re.compile(rf"{_BEFORE_MARK}(?P<word>{_TARGET.pattern})", re.IGNORECASE)
"""Notes mark a record only by their first words (``Target``, ``This is the goal for ...``)."""


class SourceAndTarget(NamedTuple):
    """The source water, the record marked as target (if any) and what had to be supposed."""

    source: SourceWater
    target: WaterSource | None
    assumptions: tuple[Assumption, ...]


def is_pure_water_name(name: str) -> bool:
    """True for reverse-osmosis, distilled, demineralised or rain water in any listed language.

    False where the name speaks of another water too, or says that it is none (``not RO``).
    """
    match = recognise_agent(name)
    return (
        match is not None
        and match.candidates == ("pure_water",)
        and not says(name, "tap", "negation")
        and not _ITALIAN_OF.match(name)
    )


class TargetMark(NamedTuple):
    """The word by which a record calls itself a goal, and the field it stands in."""

    word: str
    field: Literal["name", "notes"]


def target_mark(water: WaterSource) -> TargetMark | None:
    """Return what calls a record a target rather than a source: its name or how its notes begin.

    Notes that say more (``Tap water; on target``) and negations are no mark.
    """
    found = _TARGET.search(water.name[:200])
    if found is not None and not says(water.name[: found.start()], "negation"):
        return TargetMark(found[0], "name")
    notes = water.notes[:500].lstrip()
    found = _NOTES_MARK.match(notes)
    if found is not None and not says(notes[: found.end()], "negation", "tap"):
        return TargetMark(found["word"], "notes")
    return None


def plan_source(recipe: Recipe, pure_water_share: float, options: Options) -> SourceAndTarget:
    """Return the source water of a recipe.

    A water report (configuration or command line) comes first. Otherwise the water records are the
    source, blended by their amounts, unless they are configured or marked as target; a marked one
    is used where there is no other water. All ions zero is known water only under a pure-water
    name. pure_water_share: part of the liquor that an addition of pure water makes up (0..1).
    """
    said: list[Assumption] = []
    records, target = _sorted_records(recipe, options)
    report = options.water
    if report is not None:
        if records:
            text = f"the water report stands for the source; {_names(records)} is not used"
            said.append(Assumption("report-replaces-records", text, records[0].origin.path))
        said.extend(Assumption(f"report-{doubt.id}", doubt.text) for doubt in report.doubts)
        source = SourceWater(
            known=True,
            name=report.name or "water report",
            origin="report",
            ions_mg_l=report.ions_mg_l,
            alkalinity_meq_l=report.alkalinity_meq_l,
            ph=report.ph or default("unknown_water_ph"),
            end_point_ph=report.end_point_ph,
            chlorine_mg_l=(
                report.chlorine_mg_l if options.chlorine_mg_l is None else options.chlorine_mg_l
            ),
            chloramine=report.chloramine if options.chloramine is None else options.chloramine,
            report=report,
        )
    elif records:
        source = _from_records(records, options, said)
    else:
        source = unknown_source(options)
    if options.treatment is not None:
        source = _treated(source, options.treatment, said)
    if pure_water_share > 0 and source.known:
        source = _diluted(source, pure_water_share)
        text = (
            f"{100 * pure_water_share:.0f} % of the liquor is pure water listed among the additions"
        )
        said.append(Assumption("pure-water-among-additions", text))
    return SourceAndTarget(source, target, tuple(said))


def _treated(source: SourceWater, how: Treatment, said: list[Assumption]) -> SourceWater:
    word = {"boiled": "boiled", "lime": "treated with lime"}[how]
    if not source.known:
        text = f"what is left of a water {word} cannot be told: the water is not known"
        said.append(Assumption("treated-water-unknown", text))
        return source
    if source.origin == "pure":
        return source
    left = treated(how, source.ions_mg_l, source.alkalinity_meq_l, source.ph.best)
    calcium = left.ions_mg_l.get("calcium")
    text = (
        f"the source water is {word}: alkalinity {source.alkalinity_meq_l.best:.1f} to "
        f"{left.alkalinity_meq_l.best:.1f} mEq/L"
    )
    if calcium is not None:
        text += f", calcium {source.mg_l('calcium'):.0f} to {calcium.best:.0f} mg/L"
    said.append(Assumption("treated-water", text))
    return source._replace(
        ions_mg_l=left.ions_mg_l, alkalinity_meq_l=left.alkalinity_meq_l, treated=left
    )


def unknown_source(options: Options, records: tuple[WaterSource, ...] = ()) -> SourceWater:
    """Return water nobody describes: no ions, alkalinity within the span of drinking waters."""
    return SourceWater(
        known=False,
        name=records[0].name if records else "",
        origin="unknown",
        ions_mg_l={},
        alkalinity_meq_l=default("unknown_alkalinity"),
        ph=default("unknown_water_ph"),
        chlorine_mg_l=options.chlorine_mg_l,
        chloramine=options.chloramine,
        records=records,
        pointer=records[0].origin.path if records else "",
        record_reports=_reports(records),
    )


def _reports(records: Sequence[WaterSource]) -> tuple[WaterReport, ...]:
    return tuple([recorded(item.name, item.ions_mg_l, item.ph) for item in records])


def _names(records: Sequence[WaterSource]) -> str:
    return ", ".join(f"'{record.name}'" for record in records[:3])


def _sorted_records(
    recipe: Recipe, options: Options
) -> tuple[tuple[WaterSource, ...], WaterSource | None]:
    if options.records == "ignore":
        return (), None
    if options.records == "target":
        return (), recipe.waters[0] if recipe.waters else None
    marked = [target_mark(water) is not None for water in recipe.waters]
    if all(marked) and options.water is None:
        return recipe.waters, None
    sources = tuple(w for w, is_goal in zip(recipe.waters, marked, strict=True) if not is_goal)
    targets = [w for w, is_goal in zip(recipe.waters, marked, strict=True) if is_goal]
    return sources, targets[0] if targets else None


def _is_empty(water: WaterSource) -> bool:
    return not any(abs(water.ions_mg_l.get(ion, 0.0)) > 0 for ion in MAIN_IONS)


def _from_records(
    records: tuple[WaterSource, ...], options: Options, said: list[Assumption]
) -> SourceWater:
    pure = [_is_empty(water) and is_pure_water_name(water.name) for water in records]
    if any(_is_empty(water) and not ok for water, ok in zip(records, pure, strict=True)):
        return unknown_source(options, records)
    parts = _parts(records, said)
    ions: dict[str, float] = {}
    for name in dict.fromkeys(ion for water in records for ion in water.ions_mg_l):
        known = [name in water.ions_mg_l or ok for water, ok in zip(records, pure, strict=True)]
        if all(known):
            ions[name] = sum(
                part * max(0.0, water.ions_mg_l.get(name, 0.0))
                for part, water in zip(parts, records, strict=True)
            )
    alkalinity, main = default("unknown_alkalinity"), records[0]
    if "bicarbonate" in ions or "carbonate" in ions:
        alkalinity = default("file_alkalinity_error").times(alkalinity_meq_l(ions))
    else:
        text = "the water record states no bicarbonate: the alkalinity is not known"
        said.append(Assumption("alkalinity-not-stated", text, main.origin.path))
    return SourceWater(
        known=True,
        name=" + ".join(water.name for water in records[:4]),
        origin="pure" if all(pure) else "file",
        ions_mg_l={name: exactly(amount) for name, amount in ions.items()},
        alkalinity_meq_l=alkalinity,
        ph=_ph(main, said) if len(records) == 1 else default("unknown_water_ph"),
        chlorine_mg_l=options.chlorine_mg_l,
        chloramine=options.chloramine,
        records=records,
        pointer=main.origin.path,
        record_reports=_reports(records),
    )


def _ph(water: WaterSource, said: list[Assumption]) -> Estimate:
    if water.ph is not None and 4.0 <= water.ph <= 11.0:
        return exactly(water.ph)
    ph = default("unknown_water_ph")
    if not _is_empty(water):
        text = f"pH of the water not stated: {ph.best:g} taken ({ph.low:g} to {ph.high:g})"
        said.append(Assumption("water-ph-not-stated", text, water.origin.path))
    return ph


def _parts(records: tuple[WaterSource, ...], said: list[Assumption]) -> list[float]:
    """Return the share of each record in the blend; a single one is used whatever its amount."""
    if len(records) == 1:
        return [1.0]
    amounts = [water.amount_l for water in records]
    if any(amount is None or amount < 0 for amount in amounts) or not sum(a or 0 for a in amounts):
        text = f"{len(records)} water records without usable amounts: equal parts taken"
        said.append(Assumption("blend-in-equal-parts", text, records[0].origin.path))
        return [1.0 / len(records)] * len(records)
    litres = [amount or 0.0 for amount in amounts]
    total = sum(litres)
    shares = [amount / total for amount in litres]
    text = " + ".join(
        f"{100 * share:.0f} % {water.name}" for share, water in zip(shares, records, strict=True)
    )
    said.append(
        Assumption("blended-by-amount", f"all liquor is a blend: {text}", records[0].origin.path)
    )
    return shares


def _diluted(source: SourceWater, pure_share: float) -> SourceWater:
    rest = 1.0 - pure_share
    return source._replace(
        ions_mg_l={name: level.times(rest) for name, level in source.ions_mg_l.items()},
        alkalinity_meq_l=source.alkalinity_meq_l.times(rest),
    )
