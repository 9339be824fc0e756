"""Many files: their checks in one or several processes, and the findings of the whole run."""

from __future__ import annotations

import copyreg
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from recipe_tools.archive.discovery import Discovery, Target
from recipe_tools.archive.run_findings import RunNotes
from recipe_tools.archive.run_request import OptionsOf, RunRequest, Settled, Task
from recipe_tools.checking import CheckedFile, FileRequest, Run, check_file
from recipe_tools.checking.checklist import checklist
from recipe_tools.config import Options
from recipe_tools.findings import Finding, find

FILES_PER_TASK = 16
"""Files handed to a worker at once: enough to hide its cost, few enough to share out."""

WORTH_WORKERS = 200
"""Below this number of files, starting workers takes longer than checking."""

FEWEST_PROCESSORS = 3
"""With fewer, taking in the results costs this process what the workers save."""


def _read_only(content: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(content)


def _reduced(mapping: MappingProxyType[Any, Any]) -> tuple[Any, ...]:
    return _read_only, (dict(mapping),)


# Recipes and options hold read-only mappings; pickle refuses them, workers send them to and fro.
copyreg.pickle(MappingProxyType, _reduced)


def check_files(
    discovery: Discovery,
    options_of: OptionsOf,
    request: RunRequest,
    progress: Callable[[int], None] = lambda count: None,
) -> Run:
    """Check all files found. The result does not depend on the number of jobs.

    progress: called with the number of files that were just finished.
    """
    narrowed: _Narrowed = {}
    tasks = [
        _task(target, options_of(target.path), request, narrowed) for target in discovery.targets
    ]
    files = []
    for checked in _checked(tasks, request.jobs):
        progress(1)
        files.append(checked)
    return _run(discovery, tasks, files, options_of, request)


def check_content(data: bytes, shown_as: str, settled: Settled, request: RunRequest) -> Run:
    """Check what came from no file of ours, such as standard input."""
    from recipe_tools.checking import check_bytes

    file_request = FileRequest(
        confidence=request.confidence,
        accepted=request.baseline.accepted(shown_as),
        config_path=settled.path,
    )
    options = settled.options.for_path(settled.path)
    file = check_bytes(data, shown_as, options, file_request)
    target = Target(Path(shown_as), shown_as, True, Path())
    task = Task(target, options, file_request)
    return Run((file,), tuple(_notes([task], [file], request).findings(())))


def _task(target: Target, settled: Settled, request: RunRequest, narrowed: _Narrowed) -> Task:
    return Task(
        target,
        _narrowed(settled, narrowed),
        FileRequest(
            confidence=request.confidence,
            accepted=request.baseline.accepted(target.shown),
            config_path=settled.path,
            named=target.named,
            root=target.root,
        ),
        settled.folder,
    )


_Narrowed = dict[tuple[int, tuple[int, ...]], Options]


def _narrowed(settled: Settled, known: _Narrowed) -> Options:
    """Apply the overrides for a path; files with the same overrides share one options object."""
    options = settled.options
    if not options.paths:
        return options
    key = (id(options), options.overrides_for(settled.path))
    if key not in known:
        known[key] = options.for_path(settled.path)
    return known[key]


def _check(task: Task) -> CheckedFile:
    target = task.target
    return check_file(target.path, task.options, task.request, shown_as=target.shown)


def _check_some(tasks: Sequence[Task]) -> list[CheckedFile]:
    return [_check(task) for task in tasks]


def _checked(tasks: Sequence[Task], jobs: int) -> Iterator[CheckedFile]:
    """Yield the checked files in the order of the tasks."""
    if jobs <= 1 or len(tasks) < 2:
        for task in tasks:
            yield _check(task)
        return
    from recipe_tools.archive.worker_pool import WorkerPool

    parts = [tasks[at : at + FILES_PER_TASK] for at in range(0, len(tasks), FILES_PER_TASK)]
    pool = WorkerPool[Task, CheckedFile](min(jobs, len(parts)), _check_some, _set_up_nothing)
    for part, results in pool.in_order(parts):
        for task, result in zip(part, results, strict=True):
            yield result or _lost(task)


def _set_up_nothing() -> None:
    """A worker needs nothing but its tasks."""


def _lost(task: Task) -> CheckedFile:
    """Say of a file that the process checking it was ended from outside."""
    rule = checklist(task.options).severities["internal/reading-failed"]
    message = "The process that checked this file was ended; most often memory ran out."
    item = find("internal/reading-failed", message)
    return CheckedFile(
        task.target.shown,
        None,
        "not_checked",
        findings=(item._replace(severity=rule, path=task.target.shown),),
    )


def _run(
    discovery: Discovery,
    tasks: Sequence[Task],
    files: Sequence[CheckedFile],
    options_of: OptionsOf,
    request: RunRequest,
) -> Run:
    skipped = sum(file.status == "skipped" for file in files)
    listed = [file for file in files if request.list_skipped or file.status != "skipped"]
    listed.extend(_not_listed(target, options_of) for target in discovery.unreadable)
    listed.extend(_folders_without_recipes(discovery, files, options_of))
    listed.sort(key=lambda file: file.path)
    found = _notes(tasks, files, request).findings(discovery.folders)
    return Run(tuple(listed), tuple(found), skipped)


def _notes(tasks: Sequence[Task], files: Sequence[CheckedFile], request: RunRequest) -> RunNotes:
    notes = RunNotes(request.baseline, partial=request.partial)
    for task, file in zip(tasks, files, strict=True):
        notes.take_safety(file.safety)
        left = file.unused_acceptance if file.status == "checked" else None
        notes.take(file.path, task.options, task.folder, file.used_settings, left)
        notes.take_path(task.options, task.request.config_path)
    return notes


def _folders_without_recipes(
    discovery: Discovery, files: Sequence[CheckedFile], options_of: OptionsOf
) -> Iterator[CheckedFile]:
    read = {
        str(target.path)
        for target, file in zip(discovery.targets, files, strict=True)
        if file.status != "skipped"
    }
    for folder in discovery.folders:
        below = f"{folder.path}{'' if str(folder.path).endswith('/') else '/'}"
        if any(path.startswith(below) for path in read):
            continue
        met = f"; {folder.met} files in it are of another kind" if folder.met else ""
        message = "No BeerXML or BeerJSON recipe was found in this folder{met}."
        yield _one_finding(
            folder.path, folder.shown, find("file/no-recipes", message, met=met), options_of
        )


def _not_listed(target: Target, options_of: OptionsOf) -> CheckedFile:
    item = find("file/not-opened", "The folder cannot be listed.", value="folder")
    return _one_finding(target.path, target.shown, item, options_of)


def _one_finding(path: Path, shown: str, item: Finding, options_of: OptionsOf) -> CheckedFile:
    severity = checklist(options_of(path).options).severity(item)
    return CheckedFile(
        shown, None, "not_checked", findings=(item._replace(path=shown, severity=severity),)
    )


def worth_jobs(files: int, processors: int) -> int:
    """Return the number of processes that pays for a number of files."""
    return processors if files >= WORTH_WORKERS and processors >= FEWEST_PROCESSORS else 1
