"""The audit of an archive for people: what it comes to, and where to begin."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from recipe_tools.archive.compare import changes
from recipe_tools.archive.distributions import Distribution
from recipe_tools.archive.records import LEVELS
from recipe_tools.archive.report import Archive
from recipe_tools.archive.totals import GroupTotal, RecipeLine
from recipe_tools.findings import Severity
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.reference import family_words
from recipe_tools.reports.archive_answer import answer
from recipe_tools.reports.archive_pictures import apart_words
from recipe_tools.reports.ranking import plural
from recipe_tools.reports.terminal import PLAIN, Ink, visible, wrapped

_WORST = 10
_GROUPS = 12
_ALIKE = 10
_MEMBERS = 4
_FAILURES = 20
_BAR = 36


def render(archive: Archive, ink: Ink = PLAIN, *, everything: bool = False) -> Iterator[str]:
    """Yield the report in lines of 80 columns. everything: do not shorten any list."""
    for lines in (
        answer(archive, ink, everything=everything),
        _head(archive, ink),
        _worst(archive, ink, _limit(_WORST, everything)),
        _waters(archive, ink),
        _comparison(archive, ink, everything=everything),
        _rules(archive, ink),
        _groups(archive, ink, everything=everything),
        _mash_ph(archive, ink),
        _ions(archive, ink),
        _alike(archive, ink, everything=everything),
        _failures(archive, ink, _limit(_FAILURES, everything)),
        _whole_run(archive, ink),
    ):
        for line in lines:
            yield f"{line}\n"


def _limit(count: int, everything: bool) -> int:
    return -1 if everything else count


def _head(archive: Archive, ink: Ink) -> Iterator[str]:
    summary = archive.totals.summary
    if summary.interrupted:
        yield ink("INTERRUPTED", "error") + f": {plural(summary.not_reached, 'file')} not reached"
    yield f"{plural(summary.files, 'file')}, {plural(summary.recipes, 'recipe')}: " + ", ".join(
        ink.severity(plural(count, level.word), level) if count else plural(count, level.word)
        for count, level in zip(summary.findings, LEVELS, strict=True)
    )
    if summary.recipes:
        share = 100.0 * archive.troubled / summary.recipes
        yield f"{plural(archive.troubled, 'recipe')} to look at ({share:.0f} %)"
        if apart := archive.counted_apart():
            yield from wrapped(apart, first="", rest="  ")
    if summary.not_checked:
        yield ink(f"{plural(summary.not_checked, 'file')} not checked in full", "error")
    left_out = [
        (summary.skipped, "well-formed, but no recipe"),
        (summary.other, "of another kind"),
        (summary.ignored, "left out by patterns"),
    ]
    told = [f"{count} {words}" for count, words in left_out if count]
    if told:
        yield "besides: " + ", ".join(told)
    if summary.accepted:
        yield f"{plural(summary.accepted, 'finding')} accepted earlier, not counted"
    for word, count in sorted(summary.hidden.items()):
        yield f"{plural(count, f'{word} finding')} left out (--confidence {word} lists them)"


def _heading(title: str, ink: Ink) -> Iterator[str]:
    yield ""
    yield ink(title, "strong")


def _waters(archive: Archive, ink: Ink) -> Iterator[str]:
    """Yield which water was used for how many recipes."""
    groups = list(archive.totals.groups("water"))
    if not groups:
        return
    yield from _heading("Water", ink)
    yield f"  {'':<40} {'recipes':>8} {'to look at':>11} {'pH in window':>13}"
    for item in groups:
        yield _group(item, 40)


def _comparison(archive: Archive, ink: Ink, *, everything: bool) -> Iterator[str]:
    compared = archive.comparison
    if compared is None:
        return
    yield from _heading("Findings since the earlier report", ink)
    yield (
        f"  {compared.new} new, {compared.gone} gone, {compared.changed} changed;"
        f" {plural(compared.new_files, 'new file')}, {plural(compared.gone_files, 'file')} gone"
    )
    if not everything:
        return
    for item in changes(archive.totals):
        yield f"  {item.change:<8} {item.severity:<8} {item.rule}"
        yield from _indented(f"{_at(item.path, item.recipe)}: {visible(item.message or item.was)}")
        if item.change == "changed":
            yield from _indented(f"was {visible(item.was)}")


def _indented(text: str) -> list[str]:
    return wrapped(text, first="           ", rest="           ")


def _at(path: str, recipe: int | None) -> str:
    return visible(path) + (f" #{recipe + 1}" if recipe else "")


def _more(count: int, noun: str) -> Iterator[str]:
    if count > 0:
        yield f"  and {plural(count, f'more {noun}')} (--verbose lists all)"


def _rules(archive: Archive, ink: Ink) -> Iterator[str]:
    if not archive.rules:
        return
    yield from _heading("What was found", ink)
    yield f"  {'severity':<9} {'rule':<42} {'findings':>9} {'recipes':>8}"
    for item in archive.rules:
        word = ink.severity(f"{item.severity.word:<9}", item.severity)
        yield f"  {word} {item.rule:<42} {item.findings:>9} {item.recipes:>8}"


def _groups(archive: Archive, ink: Ink, *, everything: bool) -> Iterator[str]:
    titles = {"family": "Style families", "year": "Years"}
    nouns = {"family": "families", "year": "years"}
    if not archive.totals.summary.recipes:
        return
    for column, title in titles.items():
        groups = list(_first(archive.totals.groups(column), None if everything else 400))
        yield from _heading(title, ink)
        yield f"  {'':<32} {'recipes':>8} {'to look at':>11} {'pH in window':>13}"
        shown = groups if everything or column == "year" else groups[:_GROUPS]
        for item in shown:
            yield _group(item)
        if rest := len(groups) - len(shown):
            yield f"  and {rest} more {nouns[column]} (--verbose lists all)"


def _first(items: Iterable[GroupTotal], count: int | None) -> Iterator[GroupTotal]:
    from itertools import islice

    return islice(items, count)


def _group(item: GroupTotal, width: int = 32) -> str:
    name = "not stated" if item.name in (None, "") else family_words(visible(str(item.name)))
    if len(name) > width:
        name = name[: width - 3] + "..."
    within = "" if not item.ph_predicted else f"{100 * item.ph_within / item.ph_predicted:.0f} %"
    trouble = f"{100 * item.troubled / item.recipes:.0f} %"
    return f"  {name:<{width}} {item.recipes:>8} {trouble:>11} {within:>13}"


def _mash_ph(archive: Archive, ink: Ink) -> Iterator[str]:
    spread = archive.distributions[0]
    if not spread.count or spread.quartiles is None:
        return
    low, high = WINDOW_PH
    yield from _heading(f"Predicted mash pH of {plural(spread.count, 'recipe')}", ink)
    yield f"  median {spread.quartiles[1]:.2f}, half of them {_half(spread, 2)}"
    yield f"  below {low}: {spread.below}; within: {spread.within}; above {high}: {spread.above}"
    yield from _bars(spread)
    for words in apart_words(spread):
        yield f"  {words}"


def _half(spread: Distribution, digits: int) -> str:
    if spread.quartiles is None:
        return ""
    lower, _, upper = spread.quartiles
    return f"{lower:.{digits}f} to {upper:.{digits}f}"


def _bars(spread: Distribution) -> Iterator[str]:
    histogram = spread.histogram
    rows = [(f"< {histogram.start:.1f}", histogram.under)]
    for place, count in enumerate(histogram.counts):
        start = histogram.start + place * histogram.step
        rows.append((f"{start:.1f}", count))
    rows.append((f">= {histogram.end:.1f}", histogram.beyond))
    while rows and not rows[0][1]:
        rows.pop(0)
    while rows and not rows[-1][1]:
        rows.pop()
    most = max((count for _, count in rows), default=1)
    for label, count in rows:
        bar = "#" * max(round(_BAR * count / most), 1 if count else 0)
        yield f"  {label:>7} {count:>7} {bar}"


def _ions(archive: Archive, ink: Ink) -> Iterator[str]:
    spreads = [item for item in archive.distributions[1:] if item.count]
    if not spreads:
        return
    yield from _heading("Ions in all water, and the ranges of the style families", ink)
    yield f"  {'mg/L':<12} {'recipes':>8} {'median':>7} {'half of them':>14} {'below':>6}" + (
        f" {'within':>7} {'above':>6} {'> limit':>8}"
    )
    for item in spreads:
        median = "" if item.quartiles is None else f"{item.quartiles[1]:.0f}"
        yield f"  {item.quantity:<12} {item.count:>8} {median:>7} {_half(item, 0):>14}" + (
            f" {item.below:>6} {item.within:>7} {item.above:>6} {item.over_limit:>8}"
        )


def _worst(archive: Archive, ink: Ink, limit: int) -> Iterator[str]:
    worst = archive.totals.worst(limit)
    if not worst:
        return
    yield from _heading("To look at first: errors, warnings", ink)
    for item in worst:
        recipe = item.recipe
        counts = f"{recipe.bad_errors:>3} {recipe.bad_warnings:>3}"
        more = f" (the worst of {item.versions} versions)" if item.versions > 1 else ""
        yield from wrapped(f"{_named(item)}{more}", first=f"  {counts}  ", rest=" " * 12)
        if recipe.doses:
            yield from wrapped(f"doses: {visible(recipe.doses)}", first=" " * 12, rest=" " * 14)
    yield from _more(archive.totals.count("troubled beers") - len(worst), "beer")


def _named(item: RecipeLine) -> str:
    recipe = item.recipe
    name = visible(recipe.name) or "without a name"
    ph = "" if recipe.ph is None else f", mash pH {recipe.ph:.2f}"
    return f"{_at(item.path, recipe.place)}: {name}{ph}"


def _alike(archive: Archive, ink: Ink, *, everything: bool) -> Iterator[str]:
    if not archive.alike:
        return
    yield from _heading("Recipes that are alike", ink)
    shown = archive.alike if everything else archive.alike[:_ALIKE]
    for group in shown:
        limit = None if everything else _MEMBERS
        yield f"  {group.kind} ({len(group.members)})"
        for item in archive.members(group, limit):
            yield from wrapped(_named(item), first="      ", rest="        ")
        rest = len(group.members) - (limit or len(group.members))
        if rest > 0:
            yield f"      and {plural(rest, 'more')}".removesuffix("s")
    yield from _more(len(archive.alike) - len(shown), "group")


def _failures(archive: Archive, ink: Ink, limit: int) -> Iterator[str]:
    if not archive.totals.summary.incomplete:
        return
    yield from _heading("Not checked, and why", ink)
    shown = 0
    for item in archive.totals.failures(limit):
        shown += 1
        place = visible(item.path) + (f":{item.line}" if item.line else "")
        yield from wrapped(
            f"{place}: {visible(item.message)} ({item.rule})", first="  ", rest="    "
        )
    yield from _more(sum(1 for _ in archive.totals.failures()) - shown, "place")


def _whole_run(archive: Archive, ink: Ink) -> Iterator[str]:
    if not archive.findings:
        return
    yield from _heading("For the whole run", ink)
    for item in archive.findings:
        severity = item.severity or Severity.NOTE
        yield f"  {ink.severity(f'{severity.word:<9}', severity)} {item.rule}"
        yield from _indented(visible(item.message))
