"""The answer of an audit against an earlier one: which recipes break, and which get better.

Lines for a terminal, and the sentences that the page shows as well.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from recipe_tools.archive.compare import Comparison, beer_changes
from recipe_tools.archive.recipe_changes import MASH_PH, BeerChanges, Kind, RecipeChange
from recipe_tools.archive.report import Archive
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.reports.ranking import plural
from recipe_tools.reports.recipe_change_words import ion_words, out_words, ph_words
from recipe_tools.reports.terminal import Ink, visible, wrapped

_WINDOW = f"{WINDOW_PH[0]} to {WINDOW_PH[1]}"
TITLES: Mapping[Kind, str] = {
    "newly out": f"Newly out of the window (mash pH {_WINDOW}) or past a limit",
    "worse": "Worse than before",
    "new": "New in the archive, and to look at",
    "better": "Better than before",
}
SHOWN: Mapping[Kind, int] = {"newly out": 8, "worse": 3, "new": 0, "better": 0}
"""Beers a terminal lists of each kind (derived_default); --verbose lists all."""
_VERSIONS = 2
_COMMON = 0.5
"""Share of the recipes from which a cause is said once for all (derived_default)."""
_FEW = 5


def headline(compared: Comparison) -> str:
    """Return the answer in a sentence."""
    found = compared.recipes
    total = sum(found.values()) - found["gone"]
    newly = f"{found['newly out']} of {plural(total, 'recipe')}"
    parts = [
        f"{newly} newly out of the window or past a limit",
        f"{found['worse']} worse",
        f"{found['better']} better",
        f"{found['unchanged']} unchanged",
    ]
    parts += [f"{found[kind]} {kind}" for kind in ("new", "gone") if found[kind]]
    return f"{water_words(compared)}{', '.join(parts)}"


def water_words(compared: Comparison) -> str:
    """Return which water took the place of which, empty where that is the same."""
    before, after = compared.waters
    gone = [name for name in before if before[name] > after.get(name, 0)]
    come = [name for name in after if after[name] > before.get(name, 0)]
    if not gone or not come:
        return ""
    more = f" and {plural(len(gone) - 1, 'other')}" if len(gone) > 1 else ""
    return f"With {come[0]} in place of {gone[0]}{more}: "


def cause_words(compared: Comparison) -> str:
    """Return what is newly out in how many recipes."""
    words = {what: what.replace("mash-ph", MASH_PH) for what in compared.causes}
    return ", ".join(
        f"{words[what].replace('/', ' ').replace('-', ' ')} in {count}"
        for what, count in compared.causes.items()
    )


def common_causes(compared: Comparison) -> Collection[str]:
    """Return the causes that so many recipes share that they are not said again for each."""
    most = compared.recipes["newly out"]
    return [
        what for what, count in compared.causes.items() if count > _FEW and count > _COMMON * most
    ]


def answer(archive: Archive, ink: Ink, *, everything: bool) -> Iterator[str]:
    """Yield the answer in lines; nothing where nothing was compared with."""
    compared = archive.comparison
    if compared is None:
        return
    yield from wrapped(visible(headline(compared)), first="", rest="  ")
    if compared.causes:
        yield from wrapped(f"newly out: {visible(cause_words(compared))}", first="  ", rest="    ")
    known = common_causes(compared)
    for kind, title in TITLES.items():
        count = compared.beers[kind]
        limit = -1 if everything else SHOWN[kind]
        if not count or limit == 0:
            continue
        yield ""
        yield ink(f"{title}: {plural(count, 'beer')}", "strong")
        shown = 0
        for beer in beer_changes(archive.totals, kind, limit):
            shown += 1
            yield from _beer(beer, known, ink, everything=everything)
        if count > shown:
            yield f"  and {plural(count - shown, 'more beer')} (--verbose lists all)"
    yield ""


def _beer(
    beer: BeerChanges, known: Collection[str], ink: Ink, *, everything: bool
) -> Iterator[str]:
    name = visible(beer.name) or "without a name"
    versions = [item for item in beer.versions if everything or item.kind == beer.kind]
    if len(beer.versions) > 1:
        same = sum(item.kind == beer.kind for item in beer.versions)
        yield f"  {ink(name, 'strong')}: {same} of {len(beer.versions)} versions"
    shown = versions if everything else versions[:_VERSIONS]
    for item in shown:
        lead = "    " if len(beer.versions) > 1 else f"  {ink(name, 'strong')}, "
        yield from _version(item, known, lead)
    if rest := len(versions) - len(shown):
        yield f"    and {plural(rest, 'more version')}"


def _version(item: RecipeChange, known: Collection[str], lead: str) -> Iterator[str]:
    place = f" #{item.recipe['index'] + 1}" if item.recipe["index"] else ""
    parts = [text for text in (ph_words(item), ion_words(item, 2)) if text]
    text = f"{visible(item.path)}{place}: {'; '.join(parts) or 'the numbers are the same'}"
    yield from wrapped(text, first=lead, rest="      ")
    for words in out_words(item, known)[:2]:
        yield from wrapped(visible(words), first="      ", rest="        ")
    if item.after is not None and item.after.recipe.get("doses"):
        doses = f"doses: {visible(str(item.after.recipe['doses']))}"
        yield from wrapped(doses, first="      ", rest="        ")
