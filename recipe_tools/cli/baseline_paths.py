"""Paths in a baseline are relative to its own folder, so that it holds wherever a run starts."""

from __future__ import annotations

import os
from pathlib import Path

from recipe_tools import baseline as accepted
from recipe_tools.archive.discovery import shown
from recipe_tools.archive.walk import Discovery
from recipe_tools.baseline import Baseline


class BaselinePaths:
    """Turns paths of a baseline into those of the reports of a run, and back.

    folder: where the baseline lies, absolute. discovery: the files of the run.
    """

    def __init__(self, folder: Path, discovery: Discovery) -> None:
        self._folder = folder
        self._discovery = discovery
        self._kept = {file.shown: self._relative(file.path) for file in discovery.files}
        self._shown = {kept: name for name, kept in self._kept.items()}

    def kept(self, name: str) -> str:
        """Return the path in the baseline of a file in the reports."""
        return self._kept.get(name, name)

    def shown(self, path: str) -> str | None:
        """Return the path in the reports of an entry, None where the run does not look there."""
        if path in self._shown:
            return self._shown[path]
        place = Path(os.path.normpath(self._folder / path))
        for walked in self._discovery.folders:
            if place.is_relative_to(walked.path):
                absolute = Path(walked.shown).is_absolute()
                return shown(str(place), Path.cwd(), absolute=absolute)
        return None

    def for_run(self, known: Baseline) -> Baseline:
        """Return the entries of a baseline that this run can meet, under the names it shows."""
        pairs = ((self.shown(entry.path), entry) for entry in known.entries)
        return accepted.of(entry._replace(path=name) for name, entry in pairs if name is not None)

    def for_file(self, found: Baseline) -> Baseline:
        """Return the entries of a run under the paths of the baseline."""
        return accepted.of(entry._replace(path=self.kept(entry.path)) for entry in found.entries)

    def _relative(self, path: str) -> str:
        return shown(path, self._folder, absolute=False)
