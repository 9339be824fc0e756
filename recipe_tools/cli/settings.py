"""From the options of the command line and recipe-tools.toml to what holds for each file."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from recipe_tools.archive.discovery import shown
from recipe_tools.checking.checklist import UnknownRule, catalogue, own_declarations, resolve
from recipe_tools.config import OWN_TOPIC, ConfigError, Options, find_config, load_config
from recipe_tools.limits import Limits
from recipe_tools.path_names import relative_to
from recipe_tools.reports.terminal import visible

if TYPE_CHECKING:
    from recipe_tools.archive.run_request import FileSettings
    from recipe_tools.baseline import Baseline
    from recipe_tools.findings import Rule
    from recipe_tools.water_report import WaterReport


_KEPT_CONFIGURATIONS = 32
"""Held at a time: each folder of an archive may bring its own, and files come folder by folder."""


class Overrides(NamedTuple):
    """What the command line settles over the head of any configuration. config: as given."""

    config: Path | None
    no_config: bool
    no_readings: bool
    remembers: bool
    water: WaterReport | None
    only: tuple[str, ...]
    without: tuple[str, ...]
    limits: Limits
    today: date


class Settings:
    """Gives the options of a file; each configuration is read once for files that lie together.

    Raises click.UsageError for a configuration that cannot be used.
    """

    def __init__(self, overrides: Overrides, current: Path) -> None:
        self._overrides = overrides
        self._current = current
        self._by_folder: dict[Path, Path | None] = {}
        self._by_config: dict[Path | None, Options] = {}
        self._reports: dict[Path, frozenset[str]] = {}

    def __call__(self, path: Path) -> FileSettings:
        """Return what holds for a file or folder."""
        from recipe_tools.archive.run_request import FileSettings

        config = self._config(path)
        base = config.parent if config is not None else self._current
        relative = Path(relative_to(path, base)).as_posix()
        return FileSettings(self._options(config), relative, base if config is not None else None)

    def governed_by(self, path: Path, files: frozenset[str]) -> bool:
        """Tell whether the configuration of a file, or a water report it names, is among some."""
        config = self._config(path)
        if config is None:
            return False
        if config not in self._reports:
            from recipe_tools.archive.revisions import place

            self._reports[config] = frozenset(map(place, (config, *reports_named(config))))
        return not files.isdisjoint(self._reports[config])

    def _config(self, path: Path) -> Path | None:
        if self._overrides.no_config:
            return None
        if self._overrides.config is not None:
            return Path(os.path.normpath(self._current / self._overrides.config))
        folder = path.parent
        if folder not in self._by_folder:
            self._by_folder[folder] = find_config(folder)
        return self._by_folder[folder]

    def _options(self, config: Path | None) -> Options:
        options = self._by_config.get(config)
        if options is None:
            options = self._overridden(self._loaded(config))
            if len(self._by_config) >= _KEPT_CONFIGURATIONS:
                self._by_config.clear()
            self._by_config[config] = options
        return options

    def _loaded(self, config: Path | None) -> Options:
        if config is None:
            return Options()
        given = self._overrides.config
        absolute = given is not None and given.is_absolute()
        name = shown(str(config), self._current, absolute=absolute)
        try:
            return load_config(
                config,
                known_rules=catalogue(),
                shown_as=name,
                memory=_memory() if self._overrides.remembers else None,
            )
        except ConfigError as error:
            raise click.UsageError(visible(str(error))) from None

    def _overridden(self, options: Options) -> Options:
        over = self._overrides
        own = {OWN_TOPIC, *(rule.id for rule in options.own_rules)}
        for name in (*over.only, *over.without):
            if name.partition("/")[0] == OWN_TOPIC and name not in own:
                where = options.source_path or "No configuration"
                raise click.UsageError(visible(f"{where} has no rule {name}."))
        return replace(
            options,
            water=options.water if over.water is None else over.water,
            only=over.only or options.only,
            without=(*options.without, *over.without),
            limits=over.limits,
            today=over.today,
            readings=None if over.no_readings else options.readings,
        )


def _memory() -> Path | None:
    """Return the folder of the cache, None where there is none."""
    from recipe_tools.archive.cache import CacheUnusable, cache_folder

    try:
        return cache_folder()
    except CacheUnusable:
        return None


def reports_named(config: Path) -> list[Path]:
    """Return the water reports a configuration names; none if it is unreadable.

    What is wrong with it, checking the files says.
    """
    from recipe_tools.config.shared_file import read_config
    from recipe_tools.toml_in import TomlError

    try:
        content = read_config(config)
    except TomlError:
        return []
    overrides = content.get("paths", [])
    tables = [content, *(overrides if isinstance(overrides, list) else [])]
    waters = [table.get("water") for table in tables if isinstance(table, dict)]
    names = [water.get("report") for water in waters if isinstance(water, dict)]
    return [config.parent / name for name in names if isinstance(name, str)]


def own_rules_here() -> tuple[Rule, ...]:
    """Return the rules of the configuration that counts in the current folder.

    Raises click.UsageError for one that cannot be used.
    """
    current = Path.cwd()
    config = find_config(current)
    if config is None:
        return ()
    try:
        name = shown(str(config), current, absolute=False)
        return own_declarations(load_config(config, known_rules=catalogue(), shown_as=name))
    except ConfigError as error:
        raise click.UsageError(visible(str(error))) from None


def rule_names(values: Sequence[str]) -> tuple[str, ...]:
    """Return the ids and topics of a ``--only`` or ``--without``, which may hold commas.

    Raises click.UsageError for one that does not exist, naming the nearest.
    """
    names = [name for value in values for name in value.replace(",", " ").split()]
    try:
        return tuple(resolve(name) for name in names)
    except UnknownRule as error:
        raise click.UsageError(visible(str(error))) from None


def water_report(path: str | None) -> WaterReport | None:
    """Return the water report of ``--water``. Raises click.UsageError."""
    if path is None:
        return None
    from recipe_tools.water_report import ReportError, read_report

    try:
        return read_report(Path(path))
    except ReportError as error:
        raise click.UsageError(f"{visible(path)}: {visible(str(error))}") from None


def baseline_file(path: str | None) -> Baseline:
    """Return the baseline of ``--baseline``, an empty one without. Raises click.UsageError."""
    from recipe_tools.baseline import MAX_BYTES, Baseline, BaselineError, read

    if path is None:
        return Baseline()
    from recipe_tools.toml_in import TomlError, read_regular_file

    try:
        return read(read_regular_file(Path(path), MAX_BYTES))
    except (TomlError, BaselineError) as error:
        raise click.UsageError(f"The baseline {visible(path)} {error}.") from None
