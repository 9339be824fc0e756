"""The audit of an archive as one self-contained page that a club can put on its web site.

The answer comes first, then what the archive is like, then the beers to look at. Whatever the size
of the archive the page stays small: it lists so many beers and says how many more there are; their
own command has the rest. No path of the machine stands on it, and nobody is named beside a fault.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath, PureWindowsPath
from typing import Any

from recipe_tools import __version__
from recipe_tools.archive.compare import beer_changes
from recipe_tools.archive.recipe_changes import Kind, RecipeChange
from recipe_tools.archive.records import RecipeRecord
from recipe_tools.archive.report import Archive
from recipe_tools.archive.totals import GroupTotal, RecipeLine
from recipe_tools.archive.trouble import is_trouble
from recipe_tools.checking.checklist import catalogue
from recipe_tools.reports.archive_answer import TITLES, cause_words, common_causes, headline
from recipe_tools.reports.archive_pictures import histogram, words
from recipe_tools.reports.page import environment, part, policy
from recipe_tools.reports.ranking import plural
from recipe_tools.reports.recipe_change_words import ion_words, out_words, ph_words

TITLE = "Water, salts, acids and mash pH of a recipe archive"

LISTED_UP_TO = 200
DETAILS_UP_TO = 100
CHANGES_UP_TO: Mapping[Kind, int] = {"newly out": 80, "worse": 40, "new": 20, "better": 40}
GROUPS_UP_TO = 80
ALIKE_UP_TO = 30
FAILURES_UP_TO = 30
"""Lines of each list (derived_default); what is left out is said."""

_VERSIONS = 4
_MEMBERS = 6
_FINDINGS = 8
_LONGEST = 120
_LONGEST_MESSAGE = 320
_ORDER = {"error": 0, "warning": 1, "note": 2}
_TITLES = (("family", "Style families"), ("year", "Years"))
_OF_THE_KEEPER = ("configuration/", "suppression/", "baseline/", "reading/")
"""Topics of findings that are for whoever keeps the archive, not for its readers."""


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
class Version:
    """A version of a beer before and after, in words. out: what is newly out beside the mash."""

    path: str
    ph: str
    ions: str
    out: tuple[str, ...]
    doses: str


@dataclass(frozen=True, slots=True)
class BeerView:
    """A beer that changed: some of its versions, and how many more there are."""

    name: str
    versions: tuple[Version, ...]
    more: int


@dataclass(frozen=True, slots=True)
class ChangeTable:
    """Beers whose most urgent version changed in one way."""

    title: str
    anchor: str
    count: int
    beers: tuple[BeerView, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """A beer by its worst version; found: its findings, where the page has room for them."""

    name: str
    path: str
    versions: int
    recipe: RecipeRecord
    worst: int
    facts: str
    found: tuple[Mapping[str, Any], ...]
    more: int


def render(archive: Archive) -> Iterator[str]:
    """Yield the page piece by piece, to be written as UTF-8; ends with a line feed."""
    rules = catalogue()
    style, script = part("report.css"), part("report.js")
    place = _places(archive)
    count = archive.totals.count
    failures = list(archive.totals.failures(FAILURES_UP_TO))
    rows = list(_rows(archive, place))
    context: dict[str, Any] = {
        "version": __version__,
        "title": archive.title or TITLE,
        "style": style,
        "script": script,
        "policy": policy(style, script),
        "summary": archive.totals.summary,
        "words": _summary(archive),
        "totals": _totals(archive),
        "headline": headline(archive.comparison) if archive.comparison else "",
        "causes": cause_words(archive.comparison) if archive.comparison else "",
        "changes": list(_changes(archive, place)),
        "spreads": _spreads(archive),
        "rules": [
            (item, rules.get(item.rule))
            for item in archive.rules
            if not item.rule.startswith(_OF_THE_KEEPER)
        ],
        "waters": list(archive.totals.groups("water"))[:GROUPS_UP_TO],
        "groups": [_group(archive, column, title) for column, title in _TITLES],
        "rows": rows,
        "more_beers": count("beers") - len(rows),
        "alike": list(_alike(archive, place)),
        "more_alike": max(0, len(archive.alike) - ALIKE_UP_TO),
        "failures": [item._replace(path=place(item.path)) for item in failures],
        "more_failures": sum(1 for _ in archive.totals.failures()) - len(failures),
        "run_findings": [
            item for item in archive.findings if not item.rule.startswith(_OF_THE_KEEPER)
        ],
        "declared": rules,
    }
    pieces = environment().get_template("archive.html").stream(context)
    pieces.enable_buffering(500)
    yield from pieces
    yield "\n"


def _places(archive: Archive) -> Callable[[str], str]:
    """Return the function that turns a path of the run into one below the folders given."""
    several = len(archive.roots) > 1

    def place(path: str) -> str:
        for root in archive.roots:
            if path.startswith(f"{root}/"):
                below = path[len(root) + 1 :]
                return _short(f"{PurePosixPath(root).name}/{below}" if several else below)
        outside = PurePosixPath(path).is_absolute() or PureWindowsPath(path).is_absolute()
        return _short(PurePosixPath(path).name if outside or path.startswith("../") else path)

    return place


def _short(text: str, longest: int = _LONGEST) -> str:
    """Return a text without its middle where it is long: a recipe can have any name."""
    if len(text) <= longest:
        return text
    return f"{text[: longest * 2 // 3]} … {text[-longest // 4 :]}"


def _totals(archive: Archive) -> list[tuple[int, str]]:
    """Return the counts at the head of the page."""
    summary, unknown = archive.totals.summary, archive.water_unknown
    known_trouble = archive.troubled - archive.totals.count("troubled, water unknown")
    fine = summary.recipes - unknown - known_trouble
    counts = [
        (summary.recipes, "recipe" if summary.recipes == 1 else "recipes"),
        (fine, "with nothing to change"),
        (known_trouble, "to look at"),
        (unknown, "with unknown water"),
    ]
    return [pair for place, pair in enumerate(counts) if pair[0] or place < 3]


def _summary(archive: Archive) -> list[str]:
    summary = archive.totals.summary
    beers = archive.totals.count("beers")
    parts = [f"{plural(summary.recipes, 'recipe')} of {plural(beers, 'beer')}"]
    other = archive.totals.count("troubled, water unknown")
    told = (
        (other, "of those with unknown water to look at for another reason"),
        (summary.not_checked, "files could not be checked in full"),
        (summary.accepted, "findings accepted and not counted"),
    )
    return parts + [f"{count} {text}" for count, text in told if count]


def _changes(archive: Archive, place: Callable[[str], str]) -> Iterator[ChangeTable]:
    compared = archive.comparison
    if compared is None:
        return
    known = common_causes(compared)
    for kind, title in TITLES.items():
        if not compared.beers[kind]:
            continue
        beers = tuple(
            BeerView(
                _short(beer.name) or "Recipe without a name",
                tuple(_version(item, known, place) for item in beer.versions[:_VERSIONS]),
                len(beer.versions) - _VERSIONS,
            )
            for beer in beer_changes(archive.totals, kind, CHANGES_UP_TO[kind])
        )
        yield ChangeTable(title, kind.replace(" ", "-"), compared.beers[kind], beers)


def _version(item: RecipeChange, known: Collection[str], place: Callable[[str], str]) -> Version:
    doses = item.after.recipe.get("doses") if item.after else None
    return Version(
        place(item.path),
        ph_words(item).removeprefix("mash pH ").replace("->", "→"),
        ion_words(item, 4).removesuffix(" mg/L").replace("->", "→"),
        tuple(_short(words, _LONGEST_MESSAGE) for words in out_words(item, known)[:3]),
        _short(str(doses or ""), _LONGEST_MESSAGE),
    )


def _spreads(archive: Archive) -> list[Spread]:
    spreads = []
    for place, item in enumerate(archive.distributions):
        if not item.count and not any(apart.total for apart in item.apart.values()):
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


def _alike(
    archive: Archive, place: Callable[[str], str]
) -> Iterator[tuple[str, list[tuple[str, str]], int]]:
    for group in archive.alike[:ALIKE_UP_TO]:
        members = [
            (_short(item.recipe.name), place(item.path))
            for item in archive.members(group, _MEMBERS)
        ]
        yield group.kind, members, len(group.members) - len(members)


def _rows(archive: Archive, place: Callable[[str], str]) -> Iterator[Row]:
    for number, line in enumerate(archive.totals.beers(LISTED_UP_TO)):
        recipe = line.recipe
        found = _found(archive, line) if number < DETAILS_UP_TO else []
        worst = 3 if recipe.bad_errors else 2 if recipe.bad_warnings else 1 if found else 0
        yield Row(
            _short(recipe.name) or "Recipe without a name",
            place(line.path),
            line.versions,
            recipe,
            worst,
            "; ".join(_facts(recipe)),
            tuple(found[:_FINDINGS]),
            len(found) - _FINDINGS,
        )


def _found(archive: Archive, line: RecipeLine) -> list[Mapping[str, Any]]:
    """Return the open findings about the brew, errors first."""
    found = [
        item | {"message": _short(item["message"], _LONGEST_MESSAGE)}
        for item in archive.totals.file(line.file).findings()["findings"]
        if item["recipe"] == line.recipe.place
        and item["suppressed"] is None
        and is_trouble(item["rule"])
    ]
    return sorted(found, key=lambda item: (_ORDER[item["severity"]], item["line"] or 0))


def _facts(recipe: RecipeRecord) -> Iterator[str]:
    if recipe.ph is not None:
        yield f"mash pH {recipe.ph:.2f} ({recipe.ph_low:.2f} to {recipe.ph_high:.2f})"
    levels = [
        f"{ion} {level.mg_l:.0f}"
        for ion, level in recipe.by_ion().items()
        if level.mg_l is not None and recipe.water_known
    ]
    if levels:
        yield f"all water, mg/L: {', '.join(levels)}"
    if recipe.doses:
        yield f"doses: {_short(recipe.doses, _LONGEST_MESSAGE)}"
