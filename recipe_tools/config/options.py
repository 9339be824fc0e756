"""What a brewer or a club settles once: source water, brewery, malts, shelf, rules.

`Options` with its defaults is what holds where no configuration exists. `find_config` looks for
one, `load_config` reads it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from recipe_tools.limits import DEFAULT_LIMITS, Limits
from recipe_tools.path_globs import path_matches

if TYPE_CHECKING:
    from recipe_tools.config.load import KnownRules
    from recipe_tools.readings import Readings
    from recipe_tools.water_report import WaterReport

CONFIG_NAME = "recipe-tools.toml"
SHARED_NAME = "pyproject.toml"
"""A file of other tools, in which ours stands as ``[tool.recipe-tools]``."""

OWN_TOPIC = "own"
"""Topic of the rules a club settles itself."""

Records = Literal["source", "target", "ignore"]
Units = Literal["metric", "us"]
Treatment = Literal["boiled", "lime"]
Crush = Literal["pulverised", "fine", "normal", "coarse"]
NOTHING: Mapping[str, Any] = MappingProxyType({})
Range = tuple[float | None, float | None]
SeveritySetting = Literal["error", "warning", "note", "off"]


class ConfigError(Exception):
    """A configuration that cannot be used: names the file, the key and what would be right.

    The message never quotes what the file holds; it may be shown to somebody who cannot read it.
    """


class MaltLot(NamedTuple):
    """Figures of a maltster's certificate for a malt, by the name used in the recipes.

    di_ph: pH of the mash in distilled water at room temperature. buffer_meq_kg_ph: buffer
    capacity, used as given (no crush factor). di_water_l_kg: water of that test mash in L/kg.
    None: not stated.
    """

    name: str
    di_ph: float | None = None
    buffer_meq_kg_ph: float | None = None
    di_water_l_kg: float | None = None


class ShelfItem(NamedTuple):
    """A salt, acid or sulfite the brewer has.

    agent: id of the agent in `reference`. form: ``solid``, ``solution``, ``tablet`` or None.
    strength_percent: of a solution, by mass. purity_percent: of a solid. scale_g: the smallest step
    of the scale (or measure) it is weighed with, in grams. name: the agent as written.
    """

    agent: str
    form: str | None = None
    strength_percent: float | None = None
    purity_percent: float | None = None
    scale_g: float | None = None
    name: str = ""


class RuleSettings(NamedTuple):
    """Settings of one rule.

    severity: ``error``, ``warning``, ``note``, ``off`` or None (as declared).
    options: thresholds that replace those of the rule's declaration, by name.
    """

    severity: SeveritySetting | None = None
    options: Mapping[str, Any] = NOTHING


class PathOverride(NamedTuple):
    """Settings for some files only.

    globs: patterns (see `path_globs.path_matches`) on the path relative to the configuration's
    folder. changes: field of `Options` -> value that replaces it; rules and styles are merged.
    """

    globs: tuple[str, ...]
    changes: Mapping[str, Any] = NOTHING


class Suppression(NamedTuple):
    """A finding that is accepted. Empty path or None recipe: any.

    path: glob as in `PathOverride`. recipe: its name, or its 0-based place in the file.
    until: last day on which it holds. index: 0-based place in the configuration.
    """

    rule: str
    reason: str
    path: str = ""
    recipe: str | int | None = None
    until: date | None = None
    index: int = 0  # type: ignore[assignment]  # in place of the method of tuples


class OwnRule(NamedTuple):
    """A rule of a club: a number of the brew day (see `own_rules`) and its limits.

    low, high: in the unit of the quantity; None for an open end, one of them is given. stage: of
    the water, where the quantity is one of it. style: family, or name of a style in lower case with
    underscores; empty for all beers.
    """

    name: str
    quantity: str
    reason: str
    low: float | None = None
    high: float | None = None
    stage: str = "total"
    style: str = ""
    severity: Literal["error", "warning", "note"] = "warning"
    source: str = ""

    @property
    def id(self) -> str:
        """The id of the rule in reports."""
        return f"{OWN_TOPIC}/{self.name}"


@dataclass(frozen=True, slots=True)
class Options:
    """Everything that is settled outside the recipe. The defaults hold without any file.

    Mappings are plain ones, so that options can be handed to worker processes; nobody changes them.

    records: what the water records of recipes are. water: the report of the source water, or None.
    chlorine_mg_l: as Cl2. treatment: of the source water before the brew day. sparge: True, False
    or None (as the recipe says). grain_absorption_l_kg, dead_space_l: None where nobody settled
    them (the table ``brewday_defaults`` has the defaults). units: whether ounces and gallons stand
    beside grams and litres. styles: family -> ion (or ``residual_alkalinity_meq_l``,
    ``sulfate_to_chloride``) -> (low, high), None for an open end. readings: measured mashes, None:
    none kept. meter_ph: how far the pH meter may be off (95 %). readings_file: where they are kept,
    beside the configuration. lots: malt -> lot of the mash at hand. only, without: rule ids or
    topics. today: the day on which suppressions are judged; None: none expires. source_path: the
    configuration as shown.
    """

    records: Records = "source"
    water: WaterReport | None = None
    chlorine_mg_l: float | None = None
    chloramine: bool | None = None
    treatment: Treatment | None = None
    sparge: bool | None = None
    grain_absorption_l_kg: float | None = None
    dead_space_l: float | None = None
    crush: Crush = "normal"
    units: Units = "metric"
    malts: tuple[MaltLot, ...] = ()
    shelf: tuple[ShelfItem, ...] = ()
    styles: Mapping[str, Mapping[str, Range]] = field(default_factory=dict)
    rules: Mapping[str, RuleSettings] = field(default_factory=dict)
    paths: tuple[PathOverride, ...] = ()
    suppressions: tuple[Suppression, ...] = ()
    own_rules: tuple[OwnRule, ...] = ()
    readings: Readings | None = None
    meter_ph: float | None = None
    readings_file: str = "readings.toml"
    lots: Mapping[str, str] = field(default_factory=dict)
    only: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    limits: Limits = DEFAULT_LIMITS
    today: date | None = None
    source_path: str = ""

    def for_path(self, path: str) -> Options:
        """Return the options for a file: all matching ``[[paths]]`` applied, later ones winning.

        path: relative to the configuration's folder, forward slashes.
        """
        places = self.overrides_for(path)
        return _with_overrides(self, places) if places else self

    def overrides_for(self, path: str) -> tuple[int, ...]:
        """Return the places of the ``[[paths]]`` that match a path, as in `for_path`."""
        return tuple(
            place
            for place, override in enumerate(self.paths)
            if any(path_matches(glob, path) for glob in override.globs)
        )

    def digest(self) -> str:
        """Return a hash that differs wherever options do (part of the key of cached results)."""
        text = json.dumps(_plain(self), sort_keys=True, ensure_ascii=True, separators=(",", ":"))
        return hashlib.sha256(text.encode("ascii")).hexdigest()


def load_config(
    path: Path,
    *,
    known_rules: KnownRules | None = None,
    root: Path | None = None,
    shown_as: str = "",
    memory: Path | None = None,
) -> Options:
    """Read a recipe-tools.toml, or ``[tool.recipe-tools]`` of a pyproject.toml.

    known_rules: the catalogue of rules by id (then names and types of their options are checked
    too) or ids alone; rules that are not among them are refused (None: not checked). root: folder
    below which the file and the water report it names must lie; None: the root of the repository
    the file lies in, else its own folder. shown_as: the name used in messages. memory: folder in
    which what a long file of readings teaches is remembered. Raises ConfigError.
    """
    from recipe_tools.config.load import load

    return load(path, known_rules=known_rules, root=root, shown_as=shown_as, memory=memory)


def find_config(start: Path) -> Path | None:
    """Return the nearest recipe-tools.toml upwards from a file or folder, or None.

    A pyproject.toml with ``[tool.recipe-tools]`` counts where its folder has none. The search ends
    with the root of the repository (the first folder that holds ``.git``), outside any repository
    with the root of the file system. There a folder further up that everybody may write to, such
    as one for temporary files, is passed over: anybody could have put one there.
    """
    folder = _absolute_folder(start)
    root = repository_root(folder)
    for candidate in (folder, *folder.parents):
        if root is None and candidate != folder and _open_to_all(candidate):
            continue
        config, shared = candidate / CONFIG_NAME, candidate / SHARED_NAME
        if config.exists() or config.is_symlink():
            return config
        if shared.is_file():
            from recipe_tools.config.shared_file import concerns_us

            if concerns_us(shared):
                return shared
        if candidate == root:
            return None
    return None


def _open_to_all(folder: Path) -> bool:
    try:
        return bool(folder.stat().st_mode & 0o002)
    except OSError:
        return True


def repository_root(start: Path) -> Path | None:
    """Return the nearest folder upwards from a file or folder that holds ``.git``, or None."""
    folder = _absolute_folder(start)
    for candidate in (folder, *folder.parents):
        if (candidate / ".git").exists():
            return candidate
    return None


def _absolute_folder(start: Path) -> Path:
    absolute = start.absolute()
    return absolute if absolute.is_dir() else absolute.parent


_KEPT_OVERRIDES = 64
_overrides: dict[tuple[int, tuple[int, ...]], tuple[Options, Options]] = {}


def _with_overrides(options: Options, places: tuple[int, ...]) -> Options:
    """Apply overrides by their places; the same object comes back for the same places."""
    key = (id(options), places)
    kept = _overrides.get(key)
    if kept is not None:
        return kept[1]
    result = options
    for place in places:
        result = _overridden(result, options.paths[place].changes)
    if len(_overrides) >= _KEPT_OVERRIDES:
        _overrides.clear()
    _overrides[key] = (options, result)  # the reference keeps the id from being given away again
    return result


def _overridden(options: Options, changes: Mapping[str, Any]) -> Options:
    merged = dict(changes)
    if "rules" in merged:
        merged["rules"] = _merged(options.rules, merged["rules"], _merged_settings)
    if "styles" in merged:
        merged["styles"] = _merged(
            options.styles, merged["styles"], lambda old, new: {**old, **new}
        )
    return replace(options, **merged)


def _merged(
    old: Mapping[str, Any], new: Mapping[str, Any], both: Callable[[Any, Any], Any]
) -> Mapping[str, Any]:
    joined = {**old, **new}
    for name in old.keys() & new.keys():
        joined[name] = both(old[name], new[name])
    return joined


def _merged_settings(old: RuleSettings, new: RuleSettings) -> RuleSettings:
    return RuleSettings(new.severity or old.severity, {**old.options, **new.options})


def _plain(value: Any) -> Any:
    if (digest := getattr(value, "digest", None)) is not None and not callable(digest):
        return digest
    if is_dataclass(value) and not isinstance(value, type):
        return {item.name: _plain(getattr(value, item.name)) for item in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [_plain(item) for item in value]
    if isinstance(value, date):
        return value.isoformat()
    return value
