"""What ``recipe-tools annotate`` says about the files: diffs, lines or JSON."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from recipe_tools.annotate.annotating import Status, Wish
from recipe_tools.cli.output import say, write_out
from recipe_tools.formats.xml_repair import LABELS
from recipe_tools.reports.terminal import visible
from recipe_tools.results import SCHEMA_VERSION


@dataclass(frozen=True, slots=True)
class Task:
    """What the command was asked to do with the files."""

    wish: Wish
    in_place: bool
    output_dir: Path | None
    diff: bool
    check: bool
    as_json: bool

    @property
    def writes(self) -> bool:
        """True where files are written."""
        return self.in_place or self.output_dir is not None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one file. output: where it was written to, empty where it was not."""

    path: str
    status: Status
    recipes: int = 0
    repairs: tuple[str, ...] = ()
    problem: str = ""
    line: int | None = None
    output: str = ""
    diff: str = ""


_WORDS = {
    (True, False, "annotated"): "annotated",
    (True, True, "annotated"): "with the block taken out",
    (False, False, "annotated"): "out of date",
    (False, True, "annotated"): "with a block",
}


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
    if not task.diff:
        shown = "".join(_line(item, task) for item in outcomes)
    write_out(shown, machine=False)
    say(_totals(outcomes, task))


def _line(item: Outcome, task: Task) -> str:
    if item.status in ("refused", "skipped"):
        return ""
    word = _WORDS.get((task.writes, task.wish.remove, item.status), "unchanged")
    to = f" -> {visible(item.output)}" if item.output not in ("", item.path) else ""
    return f"{visible(item.path)}: {word}, {_number(item.recipes, 'recipe')}{to}\n"


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
    word = _WORDS[(task.writes, task.wish.remove, "annotated")]
    parts = [f"{counts['annotated']} {word}", f"{counts['unchanged']} unchanged"]
    if counts["refused"]:
        parts.append(f"{counts['refused']} not written")
    if counts["skipped"]:
        parts.append(f"{counts['skipped']} skipped, no recipe")
    return f"{_number(len(outcomes), 'file')}: {', '.join(parts)}"


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
        }
        if task.diff:
            entry["diff"] = item.diff
        files.append(entry)
    statuses: tuple[Status, ...] = ("annotated", "unchanged", "refused", "skipped")
    summary = {"files": len(outcomes)}
    summary.update((str(name), counts[name]) for name in statuses)
    return {
        "schema_version": SCHEMA_VERSION,
        "summary": summary,
        "written": task.writes,
        "files": files,
    }


def _number(count: int, word: str) -> str:
    return f"{count} {word}" + ("" if count == 1 else "s")
