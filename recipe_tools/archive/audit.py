"""The bulk run over an archive: many files through several processes into totals.

Workers read, look up, check and keep; this process only hands out names and adds up. The outcome
does not depend on the number of processes, and memory does not grow with the number of files.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from recipe_tools.archive.audit_worker import (
    FILES_PER_PART,
    KEPT_SETTINGS,
    PART_BYTES,
    Item,
    Outcome,
    Setting,
    begin,
    work,
)
from recipe_tools.archive.cache import CacheUnusable, ResultCache, context_of
from recipe_tools.archive.discovery import Folder
from recipe_tools.archive.recording import packed
from recipe_tools.archive.records import FileRecord, unpacked
from recipe_tools.archive.run_findings import RunNotes
from recipe_tools.archive.run_request import OptionsOf
from recipe_tools.archive.totals import Totals
from recipe_tools.archive.walk import ArchiveWalk, Found
from recipe_tools.archive.worker_pool import Stopped, WorkerPool
from recipe_tools.baseline import Baseline
from recipe_tools.checking.checklist import checklist
from recipe_tools.config import Options
from recipe_tools.findings import Confidence, Finding, find
from recipe_tools.results import DEFAULT_CONFIDENCE, CheckedFile


@dataclass(frozen=True, slots=True)
class AuditRequest:
    """How an archive is gone through.

    cache_folder: None to keep no results. list_skipped: list files that are no recipes.
    """

    confidence: Confidence = DEFAULT_CONFIDENCE
    baseline: Baseline = field(default_factory=Baseline)
    jobs: int = 1
    cache_folder: Path | None = None
    list_skipped: bool = False


def audit(
    walk: ArchiveWalk,
    options_of: OptionsOf,
    request: AuditRequest,
    totals: Totals,
    stop: Callable[[], bool] = lambda: False,
    progress: Callable[[int], None] = lambda count: None,
) -> tuple[Finding, ...]:
    """Check what the walk finds, fill the totals, and return the findings of the whole run.

    stop: asked all the time; once True the run ends early, and the totals say so. progress: called
    with the number of files that were just finished.
    """
    notes = RunNotes(request.baseline, partial=False)
    settling = _Settling(options_of, request, notes)
    read: dict[str, int] = {}
    taken = 0
    summary = totals.summary
    try:
        for part, outcomes in _outcomes(_parts(walk, settling), request, stop):
            for item, outcome in zip(part, outcomes, strict=True):
                done = outcome or Outcome(packed(_lost(item, settling.options(item))), False)
                record = unpacked(done.kept.record)
                skipped = record.status == "skipped"
                listed = request.list_skipped or not skipped
                totals.take(item.found.shown, record, done.kept.findings, listed=listed)
                summary.reused += done.reused
                root = item.found.given
                read[root] = read.get(root, 0) + (not skipped and item.found.refused is None)
                _note(notes, item, record, settling)
            taken += len(part)
            progress(len(part))
            if stop():
                raise Stopped
    except Stopped:
        summary.interrupted = True
        again = walk.again()
        summary.not_reached = sum(1 for _ in again.found(contents=False)) - taken
        summary.interrupted = summary.not_reached > 0
    summary.other, summary.ignored = walk.other, walk.ignored
    folders = () if summary.interrupted else walk.folders()
    for folder in folders:
        if not read.get(folder.shown):
            empty = packed(_without_recipes(folder, walk, options_of))
            totals.take(folder.shown, unpacked(empty.record), empty.findings)
    findings = tuple(notes.findings(folders))
    totals.finish(findings)
    _trim(request, settling)
    return findings


class _Settling:
    """What holds for the files of one folder after the other."""

    def __init__(self, options_of: OptionsOf, request: AuditRequest, notes: RunNotes) -> None:
        self._options_of = options_of
        self._request = request
        self._notes = notes
        self._folder: str | None = None
        self._base = ""
        self._options = Options()
        self._config_folder: Path | None = None
        self._settings: dict[int, tuple[Options, Setting]] = {}
        self._known: dict[bytes, Options] = {}
        self._folders: dict[bytes, Path | None] = {}

    def item(self, found: Found) -> Item:
        """Return a file ready to be handed out."""
        folder, _, name = found.path.rpartition("/")
        if folder != self._folder:
            settled = self._options_of(Path(found.path))
            self._folder = folder
            self._base = settled.path.removesuffix(name)
            self._options, self._config_folder = settled.options, settled.folder
        options = self._options
        path = ""
        if options.paths or options.suppressions:
            path = f"{self._base}{name}/{found.inside}" if found.inside else self._base + name
            self._notes.take_path(options, path)
            options = options.for_path(path)
        accepted = tuple(sorted(self._request.baseline.accepted(found.shown).items()))
        return Item(found, self._setting(options), path if options.suppressions else "", accepted)

    def _setting(self, options: Options) -> Setting:
        known = self._settings.get(id(options))
        if known is None:
            context = context_of(options, self._request.confidence)
            setting = Setting(context, pickle.dumps(options), self._request.confidence)
            if len(self._settings) >= KEPT_SETTINGS:
                # A configuration can have other options for every file.
                self._settings.clear()
                self._known.clear()
            # The options are kept, so that no others can get their id.
            known = self._settings[id(options)] = (options, setting)
            self._known[context] = options
            self._folders[context] = self._config_folder
        return known[1]

    def options(self, item: Item) -> Options:
        """Return the options of an item."""
        known = self._known.get(item.setting.context)
        # What this program itself has packed, when they are no longer at hand.
        return known or pickle.loads(item.setting.options)

    def config_folder(self, item: Item) -> Path | None:
        """Return the folder of the configuration that holds for an item, None without one."""
        return self._folders[item.setting.context]

    def contexts(self) -> list[bytes]:
        """Return the contexts of the latest settings, as many as a query takes."""
        return list(self._folders)[-1000:]


def _parts(walk: ArchiveWalk, settling: _Settling) -> Iterator[Sequence[Item]]:
    """Yield parts of what the walk finds, each with one setting and of bounded size."""
    part: list[Item] = []
    size = 0
    for found in walk.found():
        item = settling.item(found)
        full = len(part) >= FILES_PER_PART or size > PART_BYTES
        if part and (full or item.setting is not part[0].setting):
            yield part
            part, size = [], 0
        part.append(item)
        size += len(found.content)
    if part:
        yield part


def _outcomes(
    parts: Iterator[Sequence[Item]], request: AuditRequest, stop: Callable[[], bool]
) -> Iterator[tuple[Sequence[Item], Sequence[Outcome | None]]]:
    if request.jobs > 1:
        pool = WorkerPool[Item, Outcome](request.jobs, work, begin, (request.cache_folder,), stop)
        yield from pool.in_order(parts)
        return
    begin(request.cache_folder)
    try:
        for part in parts:
            yield part, work(part)
    finally:
        begin(None)


def _note(notes: RunNotes, item: Item, record: FileRecord, settling: _Settling) -> None:
    notes.take_safety(record.handling_notes())
    left = record.unused_acceptance if record.status == "checked" else None
    notes.take(
        item.found.shown,
        settling.options(item),
        settling.config_folder(item),
        record.used_settings,
        left,
    )


def _lost(item: Item, options: Options) -> CheckedFile:
    """Say of a file that the process checking it was ended from outside."""
    message = "The process that checked this file was ended; most often memory ran out."
    return _unchecked(item.found.shown, find("internal/reading-failed", message), options)


def _without_recipes(folder: Folder, walk: ArchiveWalk, options_of: OptionsOf) -> CheckedFile:
    met = f"; {walk.other} files of another kind were met" if walk.other else ""
    message = "No BeerXML or BeerJSON recipe was found here{met}."
    options = options_of(folder.path).options
    return _unchecked(folder.shown, find("file/no-recipes", message, met=met), options)


def _unchecked(shown: str, item: Finding, options: Options) -> CheckedFile:
    severity = checklist(options).severity(item)
    found = item._replace(path=shown, severity=severity)
    return CheckedFile(shown, None, "not_checked", findings=(found,))


def _trim(request: AuditRequest, settling: _Settling) -> None:
    """Keep the cache within its size, from here alone, when nobody else of this run writes."""
    if request.cache_folder is None:
        return
    try:
        cache = ResultCache(request.cache_folder)
    except CacheUnusable:
        return
    cache.trim(settling.contexts())
    cache.close()
