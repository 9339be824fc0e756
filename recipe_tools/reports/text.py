"""The report for people: what each recipe comes to, what is wrong with it, what to do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from recipe_tools.findings import Finding, ProposedEdit, Rule, Severity
from recipe_tools.reports.brew_day_lines import day_lines
from recipe_tools.reports.terminal import PLAIN, Ink, visible, wrapped
from recipe_tools.results import CheckedFile, CheckedRecipe, Run

_FORMATS = {"beerxml": "BeerXML", "beerjson": "BeerJSON", None: ""}
_LABEL = 11
_INDENT = " " * 4
_LINES_SHOWN = 6


class View(NamedTuple):
    """How the report is shown. verbose: with assumptions, accepted findings and edits."""

    ink: Ink = PLAIN
    verbose: bool = False


DEFAULT_VIEW = View()


def render(run: Run, catalogue: Mapping[str, Rule], view: View = DEFAULT_VIEW) -> str:
    """Return the report as lines of 80 columns, ending with a line feed."""
    lines: list[str] = []
    for file in run.files:
        lines += _file(file, catalogue, view)
    lines += _whole_run(run, catalogue, view)
    lines += _totals(run, view)
    return "\n".join(lines) + "\n"


def _file(file: CheckedFile, catalogue: Mapping[str, Rule], view: View) -> Iterator[str]:
    word = _FORMATS[file.format]
    yield view.ink(visible(file.path), "strong") + (f"  {word}" if word else "")
    if file.status == "skipped":
        yield "  no recipe, skipped"
    elif file.status == "not_checked":
        extent = "NOT CHECKED IN FULL" if file.recipes else "NOT CHECKED"
        yield "  " + view.ink(extent, "error")
    elif not file.recipes:
        yield "  no recipe in it; what it holds was checked against the standard"
    yield ""
    of_file = [item for item in file.findings if item.recipe is None]
    if _shown(of_file, view):
        yield "  The file as a whole"
        yield from _findings(of_file, catalogue, view)
        yield ""
    by_recipe: dict[int, list[Finding]] = {}
    for item in file.findings:
        if item.recipe is not None:
            by_recipe.setdefault(item.recipe, []).append(item)
    for checked in file.recipes:
        yield from _recipe(checked, by_recipe.pop(checked.recipe.index, []), catalogue, view)
        yield ""
    for index, left in sorted(by_recipe.items()):
        yield f"  Recipe {index + 1} of the file, which could not be read in full"
        yield from _findings(left, catalogue, view)
        yield ""
    for more in file.over_limit:
        yield f"  {more.count} more findings of {more.rule} are counted and not listed."
        yield ""


def _recipe(
    checked: CheckedRecipe, found: list[Finding], catalogue: Mapping[str, Rule], view: View
) -> Iterator[str]:
    recipe = checked.recipe
    name = visible(recipe.name) or f"recipe {recipe.index + 1}, without a name"
    yield from wrapped(_titled(checked, name), first="  ", rest=_INDENT)
    if checked.day is not None:
        yield from day_lines(checked.day, verbose=view.verbose)
    if _shown(found, view):
        yield from _findings(found, catalogue, view)
    else:
        yield f"{_INDENT}{'found':<{_LABEL}}nothing to change"


def _titled(checked: CheckedRecipe, name: str) -> str:
    style = checked.recipe.style
    if style is None or not style.name:
        return name
    code = f" ({visible(style.code)})" if style.code else ""
    return f"{name} - {visible(style.name)}{code}"


def _shown(found: Iterable[Finding], view: View) -> list[Finding]:
    return [item for item in found if view.verbose or item.suppressed is None]


def _findings(found: Iterable[Finding], catalogue: Mapping[str, Rule], view: View) -> Iterator[str]:
    """Yield the findings worst first; what to do is said once for each rule."""
    advised: set[str] = set()
    for item in sorted(_shown(found, view), key=_worst_first):
        yield ""
        yield from _finding(item, view)
        rule = catalogue.get(item.rule)
        if rule is not None and item.rule not in advised and item.suppressed is None:
            advised.add(item.rule)
            yield from _paragraph("do: ", rule.remedy)


def _worst_first(item: Finding) -> tuple[int, int, int, int]:
    return (-(item.severity or Severity.ERROR), -item.confidence, item.line or 0, item.column or 0)


def _finding(item: Finding, view: View) -> Iterator[str]:
    severity = item.severity or Severity.ERROR
    place = "" if item.line is None else f" at {item.line}:{item.column}"
    word = view.ink.severity(f"{severity.word:<{_LABEL}}", severity)
    yield f"{_INDENT}{word}{item.rule} ({item.confidence.word}){place}"
    yield from _paragraph("", visible(item.message))
    for message, lines in _elsewhere(item):
        yield from _paragraph("see " if lines else "also: ", _places(lines) + visible(message))
    if view.verbose:
        yield from _edits(item.edits)
    if item.suppressed is not None:
        yield from _paragraph("accepted: ", visible(item.suppressed))


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
        yield from _paragraph(f"change ({kind}): ", f"{_places(spots)}{change} ({description})")


def _elsewhere(item: Finding) -> Iterator[tuple[str, list[int]]]:
    """Yield what other places say, those that say the same together with all their lines."""
    lines: dict[str, list[int]] = {}
    for place in item.related:
        spots = lines.setdefault(place.message, [])
        if place.line is not None and place.line not in spots:
            spots.append(place.line)
    yield from lines.items()


def _places(lines: list[int]) -> str:
    if not lines:
        return ""
    shown = ", ".join(str(line) for line in lines[:_LINES_SHOWN])
    more = f" and {len(lines) - _LINES_SHOWN} more" if len(lines) > _LINES_SHOWN else ""
    return f"line{'' if len(lines) == 1 else 's'} {shown}{more}: "


def _paragraph(label: str, text: str) -> list[str]:
    margin = " " * (len(_INDENT) + _LABEL)
    return wrapped(label + text, first=margin, rest=margin + " " * min(len(label), 4))


def _whole_run(run: Run, catalogue: Mapping[str, Rule], view: View) -> Iterator[str]:
    if not _shown(run.findings, view):
        return
    yield view.ink("For the whole run", "strong")
    yield from _findings(run.findings, catalogue, view)
    yield ""


def _totals(run: Run, view: View) -> Iterator[str]:
    counts = run.counts()
    parts = [
        view.ink.severity(_number(counts[severity], severity.word), severity)
        if counts[severity]
        else _number(0, severity.word)
        for severity in (Severity.ERROR, Severity.WARNING, Severity.NOTE)
    ]
    yield f"{_number(len(run.files), 'file')}, {_number(run.recipe_count, 'recipe')}: " + ", ".join(
        parts
    )
    if run.not_checked:
        yield view.ink(f"{_number(run.not_checked, 'file')} not checked in full", "error")
    if run.skipped:
        yield f"{_number(run.skipped, 'file')} skipped: well-formed, but no recipe"
    if run.suppressed:
        yield f"{_number(run.suppressed, 'finding')} accepted earlier, not counted"
    hidden = run.hidden.get("possible", 0)
    likely = run.hidden.get("likely", 0)
    if likely:
        yield f"{_number(likely, 'likely finding')} left out (--confidence likely lists them)"
    if hidden:
        yield f"{_number(hidden, 'possible finding')} left out (--confidence possible lists them)"


def _number(count: int, word: str) -> str:
    return f"{count} {word}" + ("" if count == 1 else "s")
