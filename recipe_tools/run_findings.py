"""Findings of a whole run: handling notes, and what the configuration accepts in vain."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from recipe_tools.checklist import checklist
from recipe_tools.config import Options, Suppression
from recipe_tools.discovery import Folder
from recipe_tools.findings import Finding, find
from recipe_tools.judging import expired
from recipe_tools.results import CheckedFile
from recipe_tools.run_request import RunRequest, Task


def run_findings(
    folders: Sequence[Folder],
    tasks: Sequence[Task],
    files: Sequence[CheckedFile],
    request: RunRequest,
) -> Iterator[Finding]:
    walked = () if request.partial else folders
    yield from _safety(files)
    yield from _suppressions(walked, tasks, files)
    yield from _stale(walked, tasks, files, request)


def _safety(files: Iterable[CheckedFile]) -> Iterator[Finding]:
    """Yield each handling note once, whatever the number of recipes it stands in."""
    once: dict[tuple[str, str], Finding] = {}
    for file in files:
        for item in file.safety:
            once.setdefault((item.rule, item.message), replace(item, pointer="", related=()))
    yield from (once[key] for key in sorted(once))


def _suppressions(
    walked: Sequence[Folder], tasks: Sequence[Task], files: Sequence[CheckedFile]
) -> Iterator[Finding]:
    """Yield suppressions that are expired, and unused ones where all their files were looked at."""
    task_by_source = {task.options.source_path: task for task in reversed(tasks)}
    used: dict[str, set[int]] = {source: set() for source in task_by_source}
    for task, file in zip(tasks, files, strict=True):
        used[task.options.source_path].update(file.used_suppressions)
    for source, task in sorted(task_by_source.items(), key=lambda pair: pair[0]):
        rules = checklist(task.options)
        whole = any(_lies_in(task.folder, folder.path) for folder in walked)
        for suppression in task.options.suppressions:
            unused = whole and suppression.index not in used[source]
            item = _suppression(suppression, source, task.options, unused)
            if item is None or rules.severities.get(suppression.rule, True) is None:
                continue
            severity = rules.severity(item)
            if severity is not None:
                yield replace(item, severity=severity)


def _lies_in(folder: Path | None, walked: Path) -> bool:
    return folder is not None and folder.is_relative_to(walked)


def _suppression(
    suppression: Suppression, source: str, options: Options, unused: bool
) -> Finding | None:
    where = f"{suppression.rule}" + (f" in {suppression.path}" if suppression.path else "")
    if expired(suppression, options):
        return find(
            "suppression/expired",
            "The suppression of {value} in {config} ended on {until}; its findings count again.",
            value=where,
            config=source,
            until=suppression.until.isoformat() if suppression.until else "",
        )
    if unused:
        return find(
            "suppression/unused",
            "The suppression of {value} in {config} matches no finding.",
            value=where,
            config=source,
        )
    return None


def _stale(
    walked: Sequence[Folder],
    tasks: Sequence[Task],
    files: Sequence[CheckedFile],
    request: RunRequest,
) -> Iterator[Finding]:
    if not request.baseline.entries:
        return
    left = {file.path: file.unused_acceptance for file in files if file.status == "checked"}
    options_by_path = {task.target.shown: task.options for task in tasks}
    fallback = tasks[0].options if tasks else Options()
    for entry in request.baseline.entries:
        if entry.path in options_by_path:
            count = left.get(entry.path, {}).get(entry.fingerprint, 0)
        else:
            gone = any(
                folder.shown == "." or entry.path.startswith(f"{folder.shown}/")
                for folder in walked
            )
            count = entry.count if gone else 0
        rules = checklist(options_by_path.get(entry.path, fallback))
        if count == 0 or rules.severities.get(entry.rule, True) is None:
            continue
        item = find(
            "baseline/stale",
            "The baseline accepts {accepted} in {file}, which no longer occurs there.",
            accepted=entry.rule,
            file=entry.path,
            value=entry.fingerprint,
            count=count,
        )
        severity = rules.severity(item)
        if severity is not None:
            yield replace(item, severity=severity)
