"""The audit of an archive as one self-contained page: sums, histograms, and a section per recipe.

Of a very large archive the page lists the worst recipes only and says so; JSON and CSV have all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from recipe_tools import __version__
from recipe_tools.archive.compare import Changed, changes
from recipe_tools.archive.records import IonLevel, RecipeRecord
from recipe_tools.archive.report import Archive
from recipe_tools.archive.totals import GroupTotal, RecipeLine
from recipe_tools.checking.checklist import catalogue
from recipe_tools.reports.archive_pictures import histogram, words
from recipe_tools.reports.page import environment, part, policy
from recipe_tools.reports.ranking import plural

LISTED_UP_TO = 5_000
"""Recipes that get a section (derived_default): beyond it a browser gets slow."""

GROUPS_UP_TO = 500
ALIKE_UP_TO = 200
CHANGES_UP_TO = 1_000
FAILURES_UP_TO = 2_000
"""Lines of the other tables (derived_default); what is left out is said."""

_ORDER = {"error": 0, "warning": 1, "note": 2}
_TITLES = (("family", "Style families"), ("year", "Years"), ("brewer", "Brewers"))


@dataclass(frozen=True, slots=True)
class Spread:
    """A distribution as the page shows it: picture and the same in words."""

    title: str
    picture: Any
    text: str


@dataclass(frozen=True, slots=True)
class GroupTable:
    """One breakdown: its rows, and how many there are beyond them."""

    title: str
    rows: tuple[GroupTotal, ...]
    more: int


@dataclass(frozen=True, slots=True)
class AlikeView:
    """A group of recipes with the anchors of those that have a section."""

    kind: str
    members: tuple[tuple[str, RecipeLine], ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A recipe with what was found; water: ion, mg/L and how it lies to the range of the family."""

    anchor: str
    line: RecipeLine
    worst: int
    findings: tuple[Mapping[str, Any], ...]
    water: tuple[tuple[str, str, str], ...]
    facts: tuple[str, ...]


def render(archive: Archive) -> Iterator[str]:
    """Yield the page piece by piece, to be written as UTF-8; ends with a line feed."""
    rules = catalogue()
    style, script = part("report.css"), part("report.js")
    listed = list(archive.totals.recipes(LISTED_UP_TO))
    anchors = {_key(item): f"r{place}" for place, item in enumerate(listed)}
    failures = list(archive.totals.failures(FAILURES_UP_TO))
    changed = list(changes(archive.totals, CHANGES_UP_TO)) if archive.comparison else []
    context: dict[str, Any] = {
        "version": __version__,
        "style": style,
        "script": script,
        "policy": policy(style, script),
        "summary": archive.totals.summary,
        "words": _summary(archive),
        "counts": list(zip(_ORDER, archive.totals.summary.findings, strict=True)),
        "spreads": _spreads(archive),
        "rules": [(item, rules.get(item.rule)) for item in archive.rules],
        "groups": [_group(archive, column, title) for column, title in _TITLES],
        "listed": [(anchors[_key(item)], item) for item in listed],
        "more_recipes": archive.totals.summary.recipes - len(listed),
        "sections": (_section(archive, item, anchors[_key(item)]) for item in listed),
        "alike": list(_alike(archive, anchors)),
        "more_alike": max(0, len(archive.alike) - ALIKE_UP_TO),
        "failures": failures,
        "more_failures": sum(1 for _ in archive.totals.failures()) - len(failures),
        "comparison": archive.comparison,
        "changes": changed,
        "more_changes": _more_changes(archive, changed),
        "run_findings": archive.findings,
        "declared": rules,
    }
    pieces = environment().get_template("archive.html").stream(context)
    pieces.enable_buffering(500)
    yield from pieces
    yield "\n"


def _key(line: RecipeLine) -> tuple[int, int]:
    """Return what tells a recipe from all others of the run."""
    return line.file, line.recipe.place


def _summary(archive: Archive) -> list[str]:
    summary = archive.totals.summary
    parts = [f"{plural(summary.files, 'file')} with {plural(summary.recipes, 'recipe')}"]
    if summary.recipes:
        share = 100.0 * archive.troubled / summary.recipes
        parts.append(f"{archive.troubled} of them with an error or a warning ({share:.0f} %)")
    told = (
        (summary.not_checked, "could not be checked in full"),
        (summary.skipped, "skipped as no recipe"),
        (summary.other, "of another kind"),
        (summary.ignored, "left out by patterns"),
        (summary.accepted, "findings accepted and not counted"),
    )
    parts += [f"{count} {text}" for count, text in told if count]
    parts += [f"{count} findings only {word}, left out" for word, count in summary.hidden.items()]
    return parts


def _spreads(archive: Archive) -> list[Spread]:
    spreads = []
    for place, item in enumerate(archive.distributions):
        if not item.count:
            continue
        title = "Predicted mash pH" if item.quantity == "mash_ph" else f"{item.quantity}, mg/L"
        title = title[0].upper() + title[1:]
        spreads.append(Spread(title, histogram(f"h{place}", title, item), words(item)))
    return spreads


def _group(archive: Archive, column: str, title: str) -> GroupTable:
    rows: list[GroupTotal] = []
    more = 0
    for item in archive.totals.groups(column):
        if len(rows) < GROUPS_UP_TO:
            rows.append(item)
        else:
            more += 1
    return GroupTable(title, tuple(rows), more)


def _alike(archive: Archive, anchors: Mapping[tuple[int, int], str]) -> Iterator[AlikeView]:
    for group in archive.alike[:ALIKE_UP_TO]:
        members = archive.members(group, 50)
        yield AlikeView(
            group.kind,
            tuple((anchors.get(_key(item), ""), item) for item in members),
        )


def _more_changes(archive: Archive, shown: list[Changed]) -> int:
    if archive.comparison is None:
        return 0
    new, gone, changed, *_ = archive.comparison
    return new + gone + changed - len(shown)


def _section(archive: Archive, line: RecipeLine, anchor: str) -> Section:
    file, recipe = archive.totals.file(line.file), line.recipe
    only = len(file.recipes) == 1
    found = [
        item
        for item in file.findings()["findings"]
        if item["recipe"] == recipe.place or (only and item["recipe"] is None)
    ]
    found.sort(key=lambda item: (_ORDER[item["severity"]], item["line"] or 0))
    water = tuple(
        (ion, f"{level.mg_l:.0f}", _verdict(level))
        for ion, level in recipe.by_ion().items()
        if level.mg_l is not None
    )
    worst = 3 if recipe.errors else 2 if recipe.warnings else 1 if recipe.notes else 0
    return Section(anchor, line, worst, tuple(found), water, tuple(_facts(recipe)))


def _verdict(level: IonLevel) -> str:
    against = level.against if level.against != "within" else None
    return ", ".join(text for text in (against, "over the limit" if level.over else None) if text)


def _facts(recipe: RecipeRecord) -> Iterator[str]:
    if recipe.ph is not None:
        yield f"mash pH {recipe.ph:.2f} ({recipe.ph_low:.2f} to {recipe.ph_high:.2f})"
    if recipe.grist_kg:
        yield f"{recipe.grist_kg:.2f} kg of grist"
    if recipe.batch_l:
        yield f"{recipe.batch_l:.1f} L of beer"
    if recipe.residual_alkalinity is not None:
        yield f"residual alkalinity {recipe.residual_alkalinity:.2f} mEq/L".replace("-", "−")
    if recipe.sulfate_to_chloride is not None:
        yield f"sulfate to chloride {recipe.sulfate_to_chloride:.1f}"
    if not recipe.water_known:
        yield "water unknown"
