"""A run over many files: what holds for each, its check in one process or several, what is left.

Workers read and check; this process only hands out files and takes in results. The outcome does
not depend on the number of processes.
"""

from __future__ import annotations

import pickle
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from hashlib import blake2b
from pathlib import Path
from typing import Protocol, TypeVar

from recipe_tools.archive.run_findings import RunNotes
from recipe_tools.archive.run_request import OptionsOf, RunRequest
from recipe_tools.archive.walk import Folder, Found, without_any
from recipe_tools.archive.worker import (
    FILES_PER_PART,
    KEPT_SETTINGS,
    PART_BYTES,
    Item,
    Setting,
    begin,
)
from recipe_tools.checking.checklist import checklist
from recipe_tools.config import Options
from recipe_tools.findings import Finding, Rule, find
from recipe_tools.results import CheckedFile, Status

Result = TypeVar("Result")

WORTH_WORKERS = 200
"""Below this number of files, starting workers takes longer than checking."""


class Told(Protocol):
    """What a result tells about the run: a checked file does, and what is kept of one."""

    @property
    def status(self) -> Status: ...
    @property
    def safety(self) -> Sequence[Finding]: ...
    @property
    def used_settings(self) -> Collection[str]: ...
    @property
    def unused_acceptance(self) -> Mapping[str, int]: ...


class Pipeline:
    """One run. Results are taken in one by one; then it has the findings of the whole run."""

    def __init__(self, options_of: OptionsOf, request: RunRequest) -> None:
        self._request = request
        self._options_of = options_of
        self._notes = RunNotes(
            request.baseline, partial=request.partial, baseline_shown=request.baseline_shown
        )
        self._settling = Settling(options_of, request, self._notes)
        self._read: set[str] = set()
        self._skipped: Counter[str] = Counter()

    def results(
        self,
        found: Iterable[Found],
        work: Callable[[Sequence[Item]], list[Result]],
        stop: Callable[[], bool] = lambda: False,
    ) -> Iterator[tuple[Item, Result | None]]:
        """Yield each file with its result, in order.

        work: what a process does with a part. None stands for a file whose process was ended from
        outside (see `lost`). Raises Stopped.
        """
        parts = self._parts(found)
        if self._request.jobs > 1:
            from recipe_tools.archive.worker_pool import WorkerPool

            setup = (self._request.cache_folder,)
            pool = WorkerPool[Item, Result](self._request.jobs, work, begin, setup, stop)
            for part, results in pool.in_order(parts):
                yield from zip(part, results, strict=True)
            return
        begin(self._request.cache_folder)
        try:
            for part in parts:
                yield from zip(part, work(part), strict=True)
        finally:
            begin(None)

    def _parts(self, found: Iterable[Found]) -> Iterator[Sequence[Item]]:
        """Yield parts of what is found, each with one setting and of bounded size."""
        part: list[Item] = []
        size = 0
        for item in map(self._settling.item, found):
            full = len(part) >= FILES_PER_PART or size > PART_BYTES
            if part and (full or item.setting is not part[0].setting):
                yield part
                part, size = [], 0
            part.append(item)
            size += len(item.found.content or b"")
        if part:
            yield part

    def lost(self, item: Item) -> CheckedFile:
        """Say of a file that the process checking it was ended from outside."""
        message = "The process that checked this file was ended; most often memory ran out."
        lost = find("internal/reading-failed", message)
        return _unchecked(item.found.shown, lost, self._settling.options(item))

    def take(self, item: Item, told: Told) -> None:
        """Take in what a result tells about the run."""
        found = item.found
        if told.status == "skipped":
            self._skipped[found.given] += 1
        elif found.refused is None:
            self._read.add(found.given)
        options, folder = self._settling.options(item), self._settling.config_folder(item)
        left = told.unused_acceptance if told.status == "checked" else None
        self._notes.take_safety(found.shown, told.safety)
        self._notes.take(found.shown, options, folder, told.used_settings, left)

    def without_recipes(self, folders: Sequence[Folder]) -> Iterator[CheckedFile]:
        """Yield a result for each of the given folders in which nothing worth reading was found."""
        for folder in without_any(folders, self._read):
            other = folder.other + self._skipped[folder.path.as_posix()]
            met = f"; {other} files of another kind were met" if other else ""
            message = "No BeerXML or BeerJSON recipe was found here{met}."
            options = self._options_of(folder.path).options
            yield _unchecked(folder.shown, find("file/no-recipes", message, met=met), options)

    def findings(self, folders: Sequence[Folder]) -> tuple[Finding, ...]:
        """Return the findings of the whole run. folders: those that were walked to the end."""
        return tuple(self._notes.findings(folders))

    def own_rules(self) -> tuple[Rule, ...]:
        """Return the rules that the configurations of the files bring, each id once."""
        return self._notes.own_rules()

    def contexts(self) -> list[bytes]:
        """Return the contexts of the latest settings, as many as a query takes."""
        return self._settling.contexts()


def _unchecked(shown: str, item: Finding, options: Options) -> CheckedFile:
    severity = checklist(options).severity(item)
    found = item._replace(path=shown, severity=severity)
    return CheckedFile(shown, None, "not_checked", findings=(found,))


class Settling:
    """What holds for the files of one folder after the other."""

    def __init__(self, options_of: OptionsOf, request: RunRequest, notes: RunNotes) -> None:
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
            in_force = self._options_of(Path(found.path))
            self._folder = folder
            self._base = in_force.path.removesuffix(name)
            self._options, self._config_folder = in_force.options, in_force.folder
        options = self._options
        path = ""
        by_path = bool(options.suppressions or options.readings)
        if options.paths or by_path:
            path = f"{self._base}{name}/{found.inside}" if found.inside else self._base + name
            self._notes.take_path(options, path)
            options = options.for_path(path)
        accepted = tuple(sorted(self._request.baseline.accepted(found.shown).items()))
        return Item(found, self._setting(options), path if by_path else "", accepted)

    def _setting(self, options: Options) -> Setting:
        known = self._settings.get(id(options))
        if known is None:
            packed = pickle.dumps(options)
            request = self._request
            context = self._context(options, packed)
            setting = Setting(context, packed, request.confidence, request.itemised, request.doses)
            if len(self._settings) >= KEPT_SETTINGS:
                # A configuration can have other options for every file.
                self._settings.clear()
                self._known.clear()
            # The options are kept, so that no others can get their id.
            known = self._settings[id(options)] = (options, setting)
            self._known[setting.context] = options
            self._folders[setting.context] = self._config_folder
        return known[1]

    def _context(self, options: Options, packed: bytes) -> bytes:
        if self._request.cache_folder is None:
            return blake2b(packed, digest_size=32).digest()
        from recipe_tools.archive.cache import context_of

        return context_of(options, self._request.confidence)

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


def worth_jobs(files: int, processors: int, fewest: int = 2) -> int:
    """Return the number of processes that pays for a number of files.

    fewest: with fewer processors, handing things over costs what the workers save.
    """
    return processors if files >= WORTH_WORKERS and processors >= fewest else 1
