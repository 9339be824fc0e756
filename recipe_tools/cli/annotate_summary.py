"""What ``recipe-tools annotate`` says about the files: diffs, lines or JSON."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from recipe_tools.annotate.annotating import Annotated, Status, Wish
from recipe_tools.cli.output import say, write_out
from recipe_tools.cli.rewriting import Delivered, Destination
from recipe_tools.formats.xml_repair import LABELS
from recipe_tools.reports.terminal import visible
from recipe_tools.results import SCHEMA_VERSION


@dataclass(frozen=True, slots=True)
class Task:
    """What the command was asked to do with the files."""

    wish: Wish
    to: Destination
    every: bool
    as_json: bool

    def asks_for(self, item: Outcome) -> bool:
        """Tell whether a file is not as it should be, for ``--check``."""
        if self.wish.remove:
            return item.status == "annotated"
        return bool(item.out_of_date or (self.every and item.without_block))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one file. output: where it was written to, empty where it was not.

    out_of_date, without_block: number of its recipes whose block says something else now, or that
    had none.
    """

    path: str
    status: Status
    recipes: int = 0
    repairs: tuple[str, ...] = ()
    problem: str = ""
    line: int | None = None
    output: str = ""
    diff: str = ""
    out_of_date: int = 0
    without_block: int = 0

    @classmethod
    def of(cls, item: Delivered[Annotated]) -> Outcome:
        """Return what is said of a file."""
        result = item.result or Annotated("refused", b"")
        return cls(
            item.path,
            "refused" if item.status == "refused" else result.status,
            len(result.recipes),
            result.repairs,
            item.problem,
            item.line,
            item.output,
            item.diff,
            result.out_of_date,
            result.without_block,
        )


_ALL_WORDS = (
    "annotated",
    "with the block taken out",
    "with a block",
    "out of date",
    "without a block",
    "laid out in another way",
    "up to date",
    "unchanged",
)
"""What can be said of a file, in the order of the last line."""


_TOLD: tuple[Status, ...] = ("annotated", "unchanged")


def _word(item: Outcome, task: Task) -> str:
    """Return what is said of a file that can be annotated."""
    changed = item.status == "annotated"
    if task.wish.remove:
        taken = "with the block taken out" if task.to.writes else "with a block"
        return taken if changed else "unchanged"
    if task.to.writes:
        return "annotated" if changed else "unchanged"
    if item.out_of_date:
        return "out of date"
    if item.without_block:
        return "without a block"
    return "laid out in another way" if changed else "up to date"


def tell(outcomes: Sequence[Outcome], task: Task) -> None:
    """Write the diffs or one line a file, and to standard error what was not written."""
    for item in outcomes:
        if item.status == "refused":
            place = "" if item.line is None else f":{item.line}"
            say(f"{item.path}{place}: not written, {item.problem}")
        elif item.repairs and item.status == "annotated":
            say(f"{item.path}: the repaired text is what is written: {_repairs(item)}")
    if task.as_json:
        write_out(json.dumps(_document(outcomes, task), indent=2) + "\n", machine=True)
        return
    shown = "".join(item.diff for item in outcomes)
    if not task.to.diff:
        shown = "".join(_line(item, task) for item in outcomes)
    write_out(shown, machine=False)
    say(_totals(outcomes, task))


def _line(item: Outcome, task: Task) -> str:
    if item.status in ("refused", "skipped"):
        return ""
    to = f" -> {visible(item.output)}" if item.output not in ("", item.path) else ""
    return f"{visible(item.path)}: {_word(item, task)}, {_number(item.recipes, 'recipe')}{to}\n"


def _repairs(item: Outcome) -> str:
    return "; ".join(f"{label} ({_REPAIRS.get(label, label)})" for label in item.repairs)


_REPAIRS: Mapping[str, str] = {
    **LABELS,
    "encoding": "the encoding declared is not the one the file is in; it becomes UTF-8",
    "windows-1252": "bytes that are no UTF-8, read as Windows-1252; they become UTF-8",
    "lone-surrogates": "escapes of half a character become the replacement character",
    "control-characters": "raw control characters are escaped or left out",
}


def _totals(outcomes: Sequence[Outcome], task: Task) -> str:
    counts = Counter(item.status for item in outcomes)
    told = Counter(_word(item, task) for item in outcomes if item.status in _TOLD)
    parts = [f"{told[word]} {word}" for word in _ALL_WORDS if told[word]]
    if counts["refused"]:
        parts.append(f"{counts['refused']} not written")
    if counts["skipped"]:
        parts.append(f"{counts['skipped']} skipped, no recipe")
    return f"{_number(len(outcomes), 'file')}: {', '.join(parts) or 'none with a recipe'}"


def _document(outcomes: Sequence[Outcome], task: Task) -> dict[str, object]:
    counts = Counter(item.status for item in outcomes)
    files = []
    for item in outcomes:
        entry: dict[str, object] = {
            "path": item.path,
            "status": item.status,
            "recipes": item.recipes,
            "repairs": list(item.repairs),
            "problem": item.problem or None,
            "line": item.line,
            "output": item.output or None,
            "out_of_date": item.out_of_date,
            "without_block": item.without_block,
        }
        if task.to.diff:
            entry["diff"] = item.diff
        files.append(entry)
    statuses: tuple[Status, ...] = ("annotated", "unchanged", "refused", "skipped")
    summary = {"files": len(outcomes)}
    summary.update((str(name), counts[name]) for name in statuses)
    return {
        "schema_version": SCHEMA_VERSION,
        "summary": summary,
        "written": task.to.writes,
        "files": files,
    }


def _number(count: int, word: str) -> str:
    return f"{count} {word}" + ("" if count == 1 else "s")
