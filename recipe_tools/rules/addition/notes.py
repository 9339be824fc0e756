"""Agents that stand only in the notes of the recipe: in prose, or in a line no one can read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Confidence, Example, Finding, Rule, Severity
from recipe_tools.note_additions import MOST_LINES, find_note_additions
from recipe_tools.reference import agent, agents_in_prose
from recipe_tools.rules import rule
from recipe_tools.rules.verdicts import report

_SHOWN = 100
_COUNTED_KINDS = frozenset({"salt", "base", "acid", "sulfite"})


@rule(
    Rule(
        id="addition/notes-agents-not-counted",
        severity=Severity.NOTE,
        summary="The notes speak of salts or acid that no addition of the recipe names.",
        why="Prose is not computed. If the notes mean what is really added, ions and mash pH of "
        "this report are wrong.",
        source="common practice, no source",
        remedy="Enter them as additions with amount and stage, or say in the notes that they are "
        "not used.",
        passes=Example(
            "Notes that name what is listed too.", {"notes": "Add the gypsum to the strike."}
        ),
        fails=Example(
            "Lactic acid in the notes only.",
            {"notes": "Add 3 ml of lactic acid to the mash and stir."},
        ),
    )
)
def notes_agents_not_counted(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Leave out families that an addition or a malt of the recipe covers."""
    del options
    listed = {item.agent.family for item in day.doses if item.agent is not None}
    for item in day.doses:
        listed.update(agent(name).family for name in item.candidates)
    missing = [
        name
        for name in day.notes_agents
        if (found := agent(name)).kind in _COUNTED_KINDS and found.family not in listed
    ]
    for record in day.recipe.waters:
        there = [name for name in missing if name in agents_in_prose(record.notes)]
        missing = [name for name in missing if name not in there]
        notes = f"The notes of the water '{record.name}'"
        yield from _not_counted(there, notes, record.origin.at("notes"))
    yield from _not_counted(missing, "The notes", day.recipe.origin.at("notes"))


def _not_counted(missing: Sequence[str], notes: str, pointer: str) -> Iterator[Finding]:
    names = list(dict.fromkeys(agent(name).name for name in missing))
    if not names:
        return
    them, so = ("it", "it is") if len(names) == 1 else ("them", "they are")
    yield report(
        f"{notes} speak of {', '.join(names)}; no addition lists {them}, so {so} not counted",
        pointer,
        confidence=Confidence.LIKELY,
        value=", ".join(names),
        agents=names,
    )


@rule(
    Rule(
        id="addition/sparge-line-unclear",
        severity=Severity.WARNING,
        summary="A line of the notes for the sparge water has no amount and name to count.",
        why="`dose --apply` writes what goes into the sparge as a line of the notes where the file "
        "has no record for it, and every command counts that line as it stands. Changed so that "
        "amount or name cannot be read, it is not counted.",
        source="this program's own line",
        remedy="Write it as 'Into the sparge water: 3.2 mL Lactic acid 80 %.' with amount, unit "
        "and name, or delete the line.",
        passes=Example(
            "A line that can be read.", {"notes": "Into the sparge water: 1 mL Lactic acid 80 %."}
        ),
        fails=Example(
            "A line without an amount.",
            {"notes": "Into the sparge water of 15.5 L: a little Lactic acid 80 %."},
        ),
    )
)
def sparge_line_unclear(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Name each line by its number in the notes."""
    del options
    for place, item in enumerate(find_note_additions(day.recipe.notes)):
        if item.addition is not None:
            continue
        why = "names no amount and agent that can be read: it is not counted"
        if place >= MOST_LINES:
            why = f"and any behind it are not counted: {MOST_LINES} lines for the sparge are"
        yield report(
            f"Line {item.number} of the notes, '{item.text[:_SHOWN]}', {why}",
            day.recipe.origin.at("notes"),
            value=item.text[:_SHOWN],
            number=item.number,
        )
