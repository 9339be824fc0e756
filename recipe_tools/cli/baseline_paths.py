"""Paths in a baseline are relative to its own folder, so that it holds wherever a run starts."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from recipe_tools import baseline as accepted
from recipe_tools.archive.discovery import shown
from recipe_tools.archive.renames import marks_of_bytes, renamed
from recipe_tools.archive.walk import Discovery, Found
from recipe_tools.baseline import Baseline, FileMarks
from recipe_tools.checking.file_bytes import bytes_of
from recipe_tools.limits import Limits


class BaselinePaths:
    """Turns paths of a baseline into those of the reports of a run, and back.

    folder: where the baseline lies, absolute. discovery: the files of the run. known: the baseline,
    whose files may have other names now. walked: the files of the run where discovery has not all.
    """

    def __init__(
        self,
        folder: Path,
        discovery: Discovery,
        known: Baseline,
        limits: Limits,
        walked: Iterable[Found] | None = None,
    ) -> None:
        self._folder = folder
        self._discovery = discovery
        self._kept = {file.shown: self._relative(file) for file in discovery.files}
        self._shown = {kept: name for name, kept in self._kept.items()}
        files = discovery.files if walked is None else walked
        self._now = self._renames(known, files, limits)

    def kept(self, name: str) -> str:
        """Return the path in the baseline of a file in the reports."""
        return self._kept.get(name, name)

    def now(self, path: str) -> str:
        """Return the path of an entry, the new one where its file was renamed or moved."""
        return self._now.get(path, path)

    def shown(self, path: str) -> str | None:
        """Return the path in the reports of an entry, None where the run does not look there."""
        path = self.now(path)
        if path in self._shown:
            return self._shown[path]
        place = self._place(path)
        for walked in self._discovery.folders:
            if place.is_relative_to(walked.path):
                absolute = Path(walked.shown).is_absolute()
                return shown(str(place), Path.cwd(), absolute=absolute)
        return None

    def for_run(self, known: Baseline) -> Baseline:
        """Return the entries of a baseline that this run can meet, under the names it shows."""
        pairs = ((self.shown(entry.path), entry) for entry in known.entries)
        return accepted.of(entry._replace(path=name) for name, entry in pairs if name is not None)

    def _renames(
        self, known: Baseline, files: Iterable[Found], limits: Limits
    ) -> Mapping[str, str]:
        """Find the files of the baseline that are gone among those of the run it does not know."""
        gone = [
            item for item in known.files if item.path in known.by_path and self._is_gone(item.path)
        ]
        if not gone:
            return {}
        there = {item.path for item in known.files}
        new = self._marks((file for file in files if self._relative(file) not in there), limits)
        return renamed(gone, new)

    def _marks(self, files: Iterable[Found], limits: Limits) -> Iterator[FileMarks]:
        for file in files:
            data = file.content
            if file.refused is None and data is None:
                read = bytes_of(file.path, limits.max_bytes, file.root or None)
                data = read if isinstance(read, bytes) else None
            if data is not None:
                yield marks_of_bytes(self._relative(file), data, limits)

    def _is_gone(self, path: str) -> bool:
        """Tell whether nothing is left at a path; a member of a zip archive is not looked for."""
        place = self._place(path)
        return not os.path.lexists(place) and not any(above.is_file() for above in place.parents)

    def _place(self, path: str) -> Path:
        return Path(os.path.normpath(self._folder / path))

    def _relative(self, file: Found) -> str:
        path = shown(file.path, self._folder, absolute=False)
        return f"{path}/{file.inside}" if file.inside else path
