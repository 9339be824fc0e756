"""The report for people: for each recipe the verdict, the mash pH, what to do, and its water.

What is only a remark on how the file is written, how to handle products and what was supposed folds
into one line; ``verbose`` unfolds it. No warning or error of the beer ever folds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from recipe_tools.findings import Finding, ProposedEdit, Rule, Severity
from recipe_tools.reports.brew_day_lines import INDENT, LABEL, entry, mash_lines, water_lines
from recipe_tools.reports.ranking import most_harmful_first, plural, severity_of
from recipe_tools.reports.terminal import PLAIN, WIDTH, Ink, visible, wrapped
from recipe_tools.reports.to_do import (
    advice,
    amount_advice,
    is_remark,
    lines_of,
    place_of,
    said_once,
    tallied,
    things_to_do,
    verdict,
    window_of,
)
from recipe_tools.results import CheckedFile, CheckedRecipe, Run

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay
    from recipe_tools.config import Options

_MARGIN = INDENT + " " * LABEL


class View(NamedTuple):
    """How the report is shown. verbose: with all that folds, accepted findings and edits."""

    ink: Ink = PLAIN
    verbose: bool = False


DEFAULT_VIEW = View()


def render(run: Run, catalogue: Mapping[str, Rule], view: View = DEFAULT_VIEW) -> str:
    """Return the report as lines of 80 columns, ending with a line feed; the summary is last."""
    pages = _Pages(catalogue, view)
    lines: list[str] = []
    for file in run.files if view.verbose else said_once(run.files):
        lines += pages.file(file)
    lines += pages.whole_run(run)
    lines += _totals(run, view)
    return "\n".join(_single_spaced(lines)) + "\n"


def _single_spaced(lines: Iterable[str]) -> Iterator[str]:
    before = ""
    for line in lines:
        if line or before:
            yield line
        before = line


class _Pages:
    """Writes one file after the other."""

    def __init__(self, catalogue: Mapping[str, Rule], view: View) -> None:
        self._catalogue = catalogue
        self._view = view

    def file(self, file: CheckedFile) -> Iterator[str]:
        ink = self._view.ink
        shown: dict[int | None, list[Finding]] = {}
        folded = 0
        for item in file.findings:
            if self._is_shown(item, folds=bool(file.recipes) and not file.members):
                shown.setdefault(item.recipe, []).append(item)
            else:
                folded += item.suppressed is None and is_remark(item)
        alone = file.recipes[0] if len(file.recipes) == 1 else None
        for line in _heading(visible(file.path), _titled(alone) if alone is not None else ""):
            yield ink(line, "strong")
        if file.status == "skipped":
            yield f"{INDENT}no recipe, skipped"
        elif file.status == "not_checked":
            extent = "NOT CHECKED IN FULL" if file.recipes else "NOT CHECKED"
            yield INDENT + ink(extent, "error")
        elif not file.recipes:
            yield f"{INDENT}no recipe in it; what it holds was checked against the standard"
        of_file = shown.pop(None, [])
        for checked in file.recipes:
            if alone is None:
                yield ""
                yield from wrapped(_titled(checked), first=INDENT, rest=INDENT * 2)
            own = shown.pop(checked.recipe.index, [])
            yield from self._recipe(checked, file, own, of_file if alone else None)
        if of_file and alone is None:
            yield ""
            if file.recipes:
                yield f"{INDENT}The file as a whole"
            yield from self._findings(of_file)
        for index, left in sorted(shown.items(), key=lambda pair: pair[0] or 0):
            yield ""
            yield f"{INDENT}Recipe {(index or 0) + 1} of the file, which could not be read in full"
            yield from self._findings(left)
        if file.over_limit:
            yield ""
        for more in file.over_limit:
            yield f"{INDENT}{more.count} more findings of {more.rule} are counted and not listed."
        if not self._view.verbose:
            yield from _folded(file, folded)
        yield ""

    def _is_shown(self, item: Finding, *, folds: bool = True) -> bool:
        """Tell whether a finding is shown. folds: remarks do, as there is a beer beside them."""
        if self._view.verbose:
            return True
        return item.suppressed is None and not (folds and is_remark(item))

    def _recipe(
        self,
        checked: CheckedRecipe,
        file: CheckedFile,
        own: list[Finding],
        of_file: list[Finding] | None,
    ) -> Iterator[str]:
        """Yield a recipe. of_file: what the file as a whole shows, if it is the only recipe."""
        day, verbose, index = checked.day, self._view.verbose, checked.recipe.index
        indices = (index, None) if of_file is not None else (index,)
        counted = tallied(item for item in file.findings if item.recipe in indices)
        said = "Checked against the standard only" if file.members else verdict(day, counted)
        for line in wrapped(said, first=INDENT, rest=INDENT * 2):
            yield self._view.ink(line, "strong")
        yield ""
        if day is not None:
            yield from mash_lines(day, window_of(file.options), verbose=verbose)
        yield from self._findings([*own, *(of_file or [])], day, file.options)
        if day is not None:
            yield ""
            yield from water_lines(day, verbose=verbose)
            if verbose:
                for place, item in enumerate(day.assumptions):
                    yield from entry("supposed" if place == 0 else "", visible(item.text))

    def _findings(
        self,
        found: Iterable[Finding],
        day: BrewDay | None = None,
        options: Options | None = None,
    ) -> Iterator[str]:
        """Yield the findings worst first; what to do is said once for each rule.

        A note is a thing to look at: what to do about it is said where there is an amount, and
        otherwise by `explain`.
        """
        advised: set[str] = set()
        for item in most_harmful_first(found):
            yield from self._finding(item)
            if item.suppressed is not None or item.rule in advised:
                continue
            advised.add(item.rule)
            if self._view.verbose or severity_of(item) is not Severity.NOTE:
                do = advice(item, self._catalogue.get(item.rule), day, options)
            else:
                do = amount_advice(item, day, options)
            if do:
                yield from _paragraph("do: ", do)

    def _finding(self, item: Finding) -> Iterator[str]:
        severity, ink = severity_of(item), self._view.ink
        known = [] if item.confidence.word == "certain" else [item.confidence.word]
        brackets = ", ".join([*known, *filter(None, [place_of(item)]), item.rule])
        lines = entry(severity.word, f"{visible(item.message)} ({brackets})")
        label = INDENT + severity.word
        yield ""
        yield INDENT + ink.severity(severity.word, severity) + lines[0][len(label) :]
        yield from lines[1:]
        if not self._view.verbose:
            return
        for message, lines_there in _elsewhere(item):
            yield from _paragraph(
                "see " if lines_there else "also: ", _at(lines_there) + visible(message)
            )
        yield from _edits(item.edits)
        if item.suppressed is not None:
            yield from _paragraph("accepted: ", visible(item.suppressed))

    def whole_run(self, run: Run) -> Iterator[str]:
        """Yield what belongs to no single file; handling is one line per product."""
        found = [item for item in run.findings if self._is_shown(item) and not item.is_handling]
        handling = [item for item in run.findings if item.is_handling] if self._view.verbose else []
        if found or handling:
            yield self._view.ink("For the whole run", "strong")
            yield from self._findings(found)
        for place, item in enumerate(handling):
            yield from entry("" if place else "handling", f"{visible(item.message)} ({item.rule})")
        if found or handling:
            yield ""


def _heading(path: str, title: str) -> list[str]:
    """Return path and title in one line where they fit; a path is never torn."""
    if not title:
        return [path]
    line = f"{path}: {title}"
    return [line] if len(line) <= WIDTH else [path, *wrapped(title, first=INDENT, rest=INDENT * 2)]


def _titled(checked: CheckedRecipe) -> str:
    recipe = checked.recipe
    name = visible(recipe.name) or f"recipe {recipe.index + 1}, without a name"
    if recipe.style is None or not recipe.style.name:
        return name
    code = f" ({visible(recipe.style.code)})" if recipe.style.code else ""
    return f"{name} - {visible(recipe.style.name)}{code}"


def _folded(file: CheckedFile, remarks: int) -> Iterator[str]:
    """Yield one line for all that is not shown of a file."""
    supposed = sum(len(item.day.assumptions) for item in file.recipes if item.day is not None)
    parts = [
        f"{plural(remarks, 'remark')} on how the file is written" if remarks else "",
        f"{len(file.safety)} on handling" if file.safety else "",
        f"{plural(supposed, 'thing')} supposed" if supposed else "",
    ]
    if any(parts):
        yield ""
        yield from entry("folded", f"{', '.join(filter(None, parts))}: --verbose")


def _edits(edits: Iterable[ProposedEdit]) -> Iterator[str]:
    """Yield what a program could change, those that change the same together with all lines."""
    lines: dict[tuple[str, str, str], list[int]] = {}
    for edit in edits:
        change = visible(edit.replacement)
        if edit.current is not None:
            change = f"{visible(edit.current)} -> {change}"
        spots = lines.setdefault((visible(edit.description), change, edit.kind), [])
        if edit.line is not None and edit.line not in spots:
            spots.append(edit.line)
    for (description, change, kind), spots in lines.items():
        yield from _paragraph(f"change ({kind}): ", f"{_at(spots)}{change} ({description})")


def _elsewhere(item: Finding) -> Iterator[tuple[str, list[int]]]:
    """Yield what other places say, those that say the same together with all their lines."""
    lines: dict[str, list[int]] = {}
    for place in item.related:
        spots = lines.setdefault(place.message, [])
        if place.line is not None and place.line not in spots:
            spots.append(place.line)
    yield from lines.items()


def _at(lines: list[int]) -> str:
    return f"{lines_of(lines)}: " if lines else ""


def _paragraph(label: str, text: str) -> list[str]:
    return wrapped(label + text, first=_MARGIN, rest=_MARGIN + " " * min(len(label), 4))


def _totals(run: Run, view: View) -> Iterator[str]:
    """Yield what was left out, and last how many things there are to do."""
    for name, records in run.members().items():
        standard = "BeerXML" if name == "beerxml" else "BeerJSON"
        yield f"Members of {standard} that were checked, by record"
        for record, names in records.items():
            yield from wrapped(f"{record}: {', '.join(names)}", first=INDENT, rest=INDENT * 2)
        yield ""
    if run.skipped:
        yield f"{plural(run.skipped, 'file')} skipped: well-formed, but no recipe"
    if run.suppressed:
        yield f"{plural(run.suppressed, 'finding')} accepted earlier, not counted"
    for word in ("likely", "possible"):
        if count := run.hidden.get(word, 0):
            yield f"{plural(count, f'{word} finding')} left out (--confidence {word} lists them)"
    counts, judged = run.counts(), run.judged()
    levels = ", ".join(
        view.ink.severity(plural(counts[level], level.word), level)
        if counts[level]
        else plural(0, level.word)
        for level in (Severity.ERROR, Severity.WARNING, Severity.NOTE)
    )
    unread = f" ({run.not_checked} not checked in full)" if run.not_checked else ""
    files = f"{plural(len(run.files), 'file')}{unread}, {plural(run.recipe_count, 'recipe')}"
    to_do = things_to_do(judged[Severity.ERROR] + judged[Severity.WARNING])
    yield f"{files}: {to_do} ({levels})"
