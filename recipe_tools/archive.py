"""Many files: their checks in one or several processes, and the findings of the whole run."""

from __future__ import annotations

import copyreg
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from recipe_tools.baseline import Baseline
from recipe_tools.checking import CheckedFile, FileRequest, Run, check_file
from recipe_tools.checklist import checklist
from recipe_tools.config import Options, Suppression
from recipe_tools.discovery import Discovery, Target
from recipe_tools.findings import Confidence, Finding, find
from recipe_tools.judging import expired
from recipe_tools.results import DEFAULT_CONFIDENCE

FILES_PER_TASK = 16
"""Files handed to a worker at once: enough to hide its cost, few enough to share out."""

WORTH_WORKERS = 64
"""Below this number of files, starting workers takes longer than checking."""

OptionsOf = Callable[[Path], tuple[Options, str]]
"""Gives the options of a file and its path relative to the folder of its configuration."""


def _read_only(content: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(content)


def _reduced(mapping: MappingProxyType[Any, Any]) -> tuple[Any, ...]:
    return _read_only, (dict(mapping),)


# Recipes and options hold read-only mappings; pickle refuses them, workers send them to and fro.
copyreg.pickle(MappingProxyType, _reduced)


@dataclass(frozen=True, slots=True)
class RunRequest:
    """How a run is made.

    confidence: findings below it are counted only. baseline: accepted findings. jobs: number of
    processes, 1 for none beside this one. list_skipped: keep skipped files in the result.
    complete: the whole folder of a configuration is looked at, so that a suppression or baseline
    entry that matches nothing is known to be of no use.
    """

    confidence: Confidence = DEFAULT_CONFIDENCE
    baseline: Baseline = field(default_factory=Baseline)
    jobs: int = 1
    list_skipped: bool = False
    complete: bool = False


@dataclass(frozen=True, slots=True)
class _Task:
    target: Target
    options: Options
    request: FileRequest


def check_files(
    discovery: Discovery,
    options_of: OptionsOf,
    request: RunRequest,
    progress: Callable[[int], None] = lambda count: None,
) -> Run:
    """Check all files found. The result does not depend on the number of jobs.

    progress: called with the number of files that were just finished.
    """
    tasks = [_task(target, options_of, request) for target in discovery.targets]
    files = []
    for checked in _checked(tasks, request.jobs):
        progress(1)
        files.append(checked)
    return _run(discovery, tasks, files, options_of, request)


def check_content(
    data: bytes, shown_as: str, options: Options, config_path: str, request: RunRequest
) -> Run:
    """Check what came from no file of ours, such as standard input."""
    from recipe_tools.checking import check_bytes

    file_request = FileRequest(
        confidence=request.confidence,
        accepted=request.baseline.accepted(shown_as),
        config_path=config_path,
    )
    file = check_bytes(data, shown_as, options, file_request)
    target = Target(Path(shown_as), shown_as, True, Path())
    task = _Task(target, options, file_request)
    return Run((file,), tuple(_run_findings([task], [file], request)))


def _task(target: Target, options_of: OptionsOf, request: RunRequest) -> _Task:
    options, config_path = options_of(target.path)
    return _Task(
        target,
        options.for_path(config_path),
        FileRequest(
            confidence=request.confidence,
            accepted=request.baseline.accepted(target.shown),
            config_path=config_path,
            named=target.named,
            root=target.root,
        ),
    )


def _check(task: _Task) -> CheckedFile:
    target = task.target
    return check_file(target.path, task.options, task.request, shown_as=target.shown)


def _check_some(tasks: Sequence[_Task]) -> list[CheckedFile]:
    return [_check(task) for task in tasks]


def _checked(tasks: Sequence[_Task], jobs: int) -> Iterator[CheckedFile]:
    """Yield the checked files in the order of the tasks."""
    if jobs <= 1 or len(tasks) < 2:
        for task in tasks:
            yield _check(task)
        return
    parts = [tasks[at : at + FILES_PER_TASK] for at in range(0, len(tasks), FILES_PER_TASK)]
    pool = ProcessPoolExecutor(max_workers=min(jobs, len(parts)), initializer=_leave_interrupts)
    try:
        pending = [(part, pool.submit(_check_some, part)) for part in parts]
        for part, future in pending:
            yield from _results(part, future)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _results(part: Sequence[_Task], future: Future[list[CheckedFile]]) -> list[CheckedFile]:
    try:
        return future.result()
    except BrokenProcessPool:
        return [_lost(task) for task in part]


def _lost(task: _Task) -> CheckedFile:
    """Say of a file that the process checking it, or a neighbour of it, was ended from outside."""
    rule = checklist(task.options).severities["internal/reading-failed"]
    message = "The process that checked this file was ended; most often memory ran out."
    item = find("internal/reading-failed", message)
    return CheckedFile(
        task.target.shown,
        None,
        "not_checked",
        findings=(replace(item, severity=rule, path=task.target.shown),),
    )


def _leave_interrupts() -> None:
    """Let Ctrl-C end the main process alone, which then ends its workers without tracebacks."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _run(
    discovery: Discovery,
    tasks: Sequence[_Task],
    files: Sequence[CheckedFile],
    options_of: OptionsOf,
    request: RunRequest,
) -> Run:
    skipped = sum(file.status == "skipped" for file in files)
    listed = [file for file in files if request.list_skipped or file.status != "skipped"]
    listed.extend(_not_listed(target, options_of) for target in discovery.unreadable)
    listed.extend(_folders_without_recipes(discovery, files, options_of))
    listed.sort(key=lambda file: file.path)
    return Run(tuple(listed), tuple(_run_findings(tasks, files, request)), skipped)


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
    item = find("file/unreadable", "The folder cannot be listed.", value="folder")
    return _one_finding(target.path, target.shown, item, options_of)


def _one_finding(path: Path, shown: str, item: Finding, options_of: OptionsOf) -> CheckedFile:
    severity = checklist(options_of(path)[0]).severity(item)
    return CheckedFile(
        shown, None, "not_checked", findings=(replace(item, path=shown, severity=severity),)
    )


def _run_findings(
    tasks: Sequence[_Task], files: Sequence[CheckedFile], request: RunRequest
) -> Iterator[Finding]:
    yield from _safety(files)
    yield from _suppressions(tasks, files, request)
    yield from _stale(tasks, files, request)


def _safety(files: Iterable[CheckedFile]) -> Iterator[Finding]:
    """Yield each handling note once, whatever the number of recipes it stands in."""
    once: dict[tuple[str, str], Finding] = {}
    for file in files:
        for item in file.safety:
            once.setdefault((item.rule, item.message), replace(item, pointer="", related=()))
    yield from (once[key] for key in sorted(once))


def _suppressions(
    tasks: Sequence[_Task], files: Sequence[CheckedFile], request: RunRequest
) -> Iterator[Finding]:
    options_by_source = {task.options.source_path: task.options for task in reversed(tasks)}
    used: dict[str, set[int]] = {source: set() for source in options_by_source}
    for task, file in zip(tasks, files, strict=True):
        used[task.options.source_path].update(file.used_suppressions)
    for source, options in sorted(options_by_source.items(), key=lambda pair: pair[0]):
        rules = checklist(options)
        for suppression in options.suppressions:
            unused = request.complete and suppression.index not in used[source]
            item = _suppression(suppression, source, options, unused)
            if item is None or rules.severities.get(suppression.rule, True) is None:
                continue
            severity = rules.severity(item)
            if severity is not None:
                yield replace(item, severity=severity)


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
    tasks: Sequence[_Task], files: Sequence[CheckedFile], request: RunRequest
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
            count = entry.count if request.complete else 0
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


def worth_jobs(files: int, processors: int) -> int:
    """Return the number of processes that pays for a number of files."""
    return 1 if files < WORTH_WORKERS else max(1, processors)
