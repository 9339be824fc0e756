"""Markdown for the comment on a change: recipes, findings worst first, and what to do about them.

A comment holds 65,536 characters. What does not fit is left out from the end; exact counts say so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, TypeVar

from recipe_tools.findings import Finding, Rule, Severity
from recipe_tools.reports.escaping import markdown_code, markdown_inline, markdown_prose
from recipe_tools.reports.ranking import (
    counted,
    open_findings,
    plural,
    severity_of,
    tally,
)
from recipe_tools.reports.to_do import amount_advice
from recipe_tools.results import CheckedFile, CheckedRecipe, Run

if TYPE_CHECKING:
    from recipe_tools.archive.recipe_comparison import RecipeComparison
    from recipe_tools.config import Options

MAX_LENGTH = 65_536
_KEPT_FOR_CLOSING_LINES = 2_000
_RECIPES_SHARE = 0.3
_CHANGED_SHARE = 0.5
_LONGEST_MESSAGE = 600
_LONGEST_NAME = 120

Item = TypeVar("Item")
Recipes = Mapping[tuple[str, int | None], tuple[CheckedRecipe, "Options | None"]]
RecipeRow = tuple[CheckedFile, CheckedRecipe, Mapping[Severity, int]]


def render(
    run: Run, catalogue: Mapping[str, Rule], changed: Sequence[RecipeComparison] = ()
) -> str:
    """Return the comment, at most MAX_LENGTH characters long; ends with a line feed.

    changed: before and after of each changed recipe, which come first.
    """
    findings = open_findings(run)
    head = f"## recipe-tools: {counted(run.counts())}\n\n{_overview(run)}\n"
    room = MAX_LENGTH - _KEPT_FOR_CLOSING_LINES - _length(head)
    parts, room = _changed_parts(changed, room)
    head += parts
    recipes, room = _recipe_table(run, room)
    recipes_of: Recipes = {
        (file.path, item.recipe.index): (item, file.options)
        for file in run.files
        for item in file.recipes
    }
    listed, shown, room = _finding_table(findings, recipes_of, room)
    return head + recipes + listed + _remedies(shown, catalogue, room) + _not_listed(run)


def _changed_parts(changed: Sequence[RecipeComparison], room: int) -> tuple[str, int]:
    """Return before and after of the changed recipes, the most urgent first, and what is left."""
    if not changed:
        return "", room
    from recipe_tools.archive.recipe_changes import KINDS
    from recipe_tools.reports.compare_markdown import recipe_part

    ordered = sorted(
        changed, key=lambda item: (KINDS.index(item.change.kind), -item.change.urgency)
    )
    quota = int(room * _CHANGED_SHARE)
    lines, _ = _fitting(ordered, lambda item: f"\n{recipe_part(item)}", quota)
    text = "".join(lines)
    if len(lines) < len(ordered):
        text += f"\n{plural(len(ordered) - len(lines), 'more changed recipe')} not shown here.\n"
    return text, room - _length(text)


def _length(text: str) -> int:
    """Return the length in UTF-16 units, the strictest way in which a host may count."""
    return len(text.encode("utf-16-le")) // 2


def _overview(run: Run) -> str:
    parts = [plural(len(run.files), "file"), plural(run.recipe_count, "recipe")]
    if run.not_checked:
        parts.append(f"**{plural(run.not_checked, 'file')} could not be checked**")
    if run.skipped:
        parts.append(f"{run.skipped} skipped as no recipe")
    if run.suppressed:
        parts.append(f"{run.suppressed} accepted")
    hidden = sum(run.hidden.values())
    if hidden:
        parts.append(f"{hidden} below the asked confidence")
    return ", ".join(parts) + "."


def _recipe_table(run: Run, room: int) -> tuple[str, int]:
    rows = _recipe_rows(run)
    if not rows:
        return "", room
    head = "\n| recipe | file | mash pH | errors | warnings | notes |\n|---|---|---|--:|--:|--:|\n"
    # The recipes most in need of a look first, as the table may be cut.
    rows.sort(key=lambda row: [-row[2][level] for level in row[2]])
    quota = int(room * _RECIPES_SHARE) if len(rows) > 1 else room
    lines, _ = _fitting(rows, _recipe_line, quota - _length(head))
    text = head + "".join(lines)
    if len(lines) < len(rows):
        missing = sum((_summed(row[2] for row in rows[len(lines) :])).values())
        text += (
            f"\n{plural(len(rows) - len(lines), 'more recipe')} not shown in this table, "
            f"with {plural(missing, 'finding')}.\n"
        )
    return text, room - _length(text)


def _recipe_rows(run: Run) -> list[RecipeRow]:
    rows: list[RecipeRow] = []
    for file in run.files:
        open_ones = [item for item in file.findings if item.suppressed is None]
        for checked in file.recipes:
            own = (item for item in open_ones if item.recipe == checked.recipe.index)
            rows.append((file, checked, tally(own)))
    return rows


def _summed(counts: Iterable[Mapping[Severity, int]]) -> Mapping[Severity, int]:
    total = tally(())
    for item in counts:
        for level, count in item.items():
            total[level] += count
    return total


def _recipe_line(row: RecipeRow) -> str:
    file, checked, counts = row
    day = checked.day
    predicted = "not predicted"
    if day is not None and day.prediction is not None:
        ph = day.prediction
        predicted = f"{ph.ph:.2f} ({ph.low:.2f} to {ph.high:.2f})"
    numbers = " | ".join(str(counts[level]) for level in counts)
    name = markdown_inline(_shortened(checked.recipe.name or "without a name", _LONGEST_NAME))
    path = markdown_code(_shortened(file.path, _LONGEST_NAME))
    return f"| {name} | {path} | {predicted} | {numbers} |\n"


def _finding_table(
    findings: Sequence[Finding], recipes_of: Recipes, room: int
) -> tuple[str, Sequence[Finding], int]:
    """Return the table, the findings that stand in it, and the room that is left."""
    if not findings:
        return "\nNothing found.\n", (), room
    head = "\n| severity | where | recipe | finding | rule |\n|---|---|---|---|---|\n"

    def line(finding: Finding) -> str:
        return _finding_line(finding, recipes_of)

    lines, left = _fitting(findings, line, room - _length(head))
    text = head + "".join(lines)
    if len(lines) < len(findings):
        text += (
            f"\nThe {len(lines)} worst of {len(findings)} findings are shown. "
            f"Left out: {counted(tally(findings[len(lines) :]))}.\n"
        )
    return text, findings[: len(lines)], left


def _remedies(findings: Sequence[Finding], catalogue: Mapping[str, Rule], room: int) -> str:
    """Return what to do about each rule that stands in the table, as far as there is room."""
    rules = [
        catalogue[name]
        for name in dict.fromkeys(item.rule for item in findings)
        if name in catalogue and catalogue[name].remedy
    ]
    head = "\n| rule | what to do |\n|---|---|\n"
    lines, _ = _fitting(rules, _remedy_line, room - _length(head))
    return head + "".join(lines) if lines else ""


def _remedy_line(rule: Rule) -> str:
    return f"| {markdown_code(rule.id)} | {markdown_prose(rule.remedy)} |\n"


def _finding_line(finding: Finding, recipes_of: Recipes) -> str:
    severity = severity_of(finding)
    word = severity.word if severity is Severity.NOTE else f"**{severity.word}**"
    place = recipe = do = ""
    if finding.path is not None:
        line = "" if finding.line is None else f":{finding.line}"
        place = markdown_code(_shortened(finding.path, _LONGEST_NAME) + line)
        found = recipes_of.get((finding.path, finding.recipe))
        if found is not None:
            checked, options = found
            recipe = markdown_inline(_shortened(checked.recipe.name, _LONGEST_NAME))
            if advised := amount_advice(finding, checked.day, options):
                do = f"; **to do:** {markdown_prose(advised)}"
    message = markdown_inline(_shortened(finding.message, _LONGEST_MESSAGE)) + do
    return f"| {word} | {place} | {recipe} | {message} | {markdown_code(finding.rule)} |\n"


def _fitting(
    items: Sequence[Item], line: Callable[[Item], str], room: int
) -> tuple[list[str], int]:
    """Return the lines of as many items, from the first, as there is room for, and what is left."""
    lines: list[str] = []
    for item in items:
        text = line(item)
        room -= _length(text)
        if room < 0:
            break
        lines.append(text)
    return lines, room


def _not_listed(run: Run) -> str:
    if not run.over_limit:
        return ""
    rules = list(run.over_limit.items())
    parts = [f"{count} of {markdown_inline(rule)}" for rule, count in rules[:10]]
    rest = sum(count for _, count in rules[10:])
    if rest:
        parts.append(f"{rest} of other rules")
    return f"\nCounted but not listed: {', '.join(parts)}.\n"


def _shortened(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[:longest]}… (shortened)"
