"""Every rule on its own examples: fires on the fault, silent on the repair, right place, explained.

`python -m tests.rules.matrix` prints the table, the departures from the standards included. Rules
on a whole run (suppressions, baseline, paths) and on failures have no file to show them in.
"""

from __future__ import annotations

from dataclasses import dataclass

from recipe_tools.checking.checklist import catalogue
from recipe_tools.findings import Confidence, Example, Finding, Rule
from recipe_tools.rules import recipe_rules
from recipe_tools.rules.examples import example_file
from tests.rules.brew import checked


@dataclass(frozen=True)
class Row:
    """How a rule does on its examples. place: text of the file at the first finding."""

    rule: str
    fires: bool
    silent: bool
    place: str
    explained: bool
    also: tuple[str, ...]


def declarations() -> dict[str, Rule]:
    """Return the declarations of all rules on a brew day, by id."""
    return {name: item.declaration for name, item in recipe_rules().items()}


def spoken(example: Example, rule: str) -> list[Finding]:
    """Return the findings of a rule on an example that are at least likely."""
    file = checked(example)
    return [
        item
        for item in (*file.findings, *file.safety)
        if item.rule == rule and item.confidence >= Confidence.LIKELY
    ]


def place_of(example: Example, finding: Finding) -> str:
    """Return the text of the example's file that a finding points at, white space made single."""
    if None in (finding.line, finding.column, finding.end_line, finding.end_column):
        return ""
    first, last = (finding.line or 1) - 1, finding.end_line or 1
    lines = example_file(example)[1].decode("utf-8", "replace").split("\n")[first:last]
    lines[-1] = lines[-1][: (finding.end_column or 1) - 1]
    lines[0] = lines[0][(finding.column or 1) - 1 :]
    return " ".join("\n".join(lines).split())


def explained(rule: Rule) -> bool:
    """Tell whether a declaration has all that ``explain`` shows."""
    texts = (rule.summary, rule.why, rule.source, rule.remedy, rule.passes.text, rule.fails.text)
    return all(len(text) > 3 for text in texts) and all(
        option.text and option.source for option in rule.options.values()
    )


def row(rule: Rule) -> Row:
    """Apply a rule to its examples."""
    on_fault = spoken(rule.fails, rule.id)
    file = checked(rule.fails)
    also = {item.rule for item in file.findings if item.confidence >= Confidence.LIKELY}
    return Row(
        rule.id,
        fires=bool(on_fault),
        silent=not spoken(rule.passes, rule.id),
        place=place_of(rule.fails, on_fault[0]) if on_fault else "",
        explained=explained(rule),
        also=tuple(sorted(also - {rule.id})),
    )


OF_NO_FILE = ("reading/", "suppression/", "baseline/", "configuration/", "internal/", "archive/")
OF_A_PATH = frozenset(
    {"file/no-recipes", "file/not-opened", "file/not-regular", "file/outside-root"}
)
OF_A_LIMIT = frozenset({"file/too-large", "file/too-many-records"})


def shown_in_files() -> dict[str, Rule]:
    """Return the declarations of all rules that an example file shows, by id."""
    return {
        name: rule
        for name, rule in catalogue().items()
        if not name.startswith(OF_NO_FILE) and name not in OF_A_PATH | OF_A_LIMIT
    }


def table() -> str:
    """Return the matrix as text, one line for each rule."""
    lines = [f"{'rule':42} {'fires':5} {'silent':6} {'explained':9} place | other rules that speak"]
    for rule in shown_in_files().values():
        found = row(rule)
        marks = ("yes" if flag else "NO" for flag in (found.fires, found.silent, found.explained))
        fires, silent, told = marks
        also = ", ".join(found.also)
        lines.append(f"{rule.id:42} {fires:5} {silent:6} {told:9} {found.place[:60]} | {also}")
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
