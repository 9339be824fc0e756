"""recipe-tools.toml, or its table in pyproject.toml -> `Options`.

The file may come with a stranger's pull request: nothing outside the root of the repository is
read, sizes and depths are limited, and messages name file, key and what is allowed, but no value.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path, PurePath
from types import MappingProxyType
from typing import Any, Protocol

from recipe_tools.config.fields import (
    Table,
    WrongValueError,
    like_default,
    texts,
)
from recipe_tools.config.options import (
    CONFIG_NAME,
    OWN_TOPIC,
    SHARED_NAME,
    ConfigError,
    MaltLot,
    Options,
    OwnRule,
    PathOverride,
    RuleSettings,
    ShelfItem,
    Suppression,
    repository_root,
)
from recipe_tools.config.own_rules import own_rule
from recipe_tools.config.shared_file import PREFIX, read_config
from recipe_tools.config.tables import (
    EQUIPMENT,
    MALT,
    OWN_RULE,
    READINGS,
    SEVERITY,
    SHELF,
    STYLE,
    SUPPRESS,
    WATER,
)
from recipe_tools.key_names import nearest_key, shown_key, unknown_key
from recipe_tools.readings.file import READINGS_NAME, ReadingsError
from recipe_tools.readings.remembered import read_remembered
from recipe_tools.toml_in import TomlError
from recipe_tools.water_report import ReportError, WaterReport, read_report, report_from_table

MAX_ENTRIES = 2_000
OVERRIDABLE = ("water", "equipment", "style", "rules")
TOP_LEVEL = (
    "water",
    "equipment",
    "malt",
    "shelf",
    "style",
    "rules",
    "paths",
    "suppress",
    "readings",
    "own-rule",
)
_INNER_KEYS: Mapping[str, str] = MappingProxyType(
    {
        **{key: f"water.{key}" for key in WATER.readers},
        **{key: f"equipment.{key}" for key in EQUIPMENT.readers},
    }
)
_FORM = (
    "; `recipe-tools water --example` prints one, `recipe-tools water report.txt --write tap.toml` "
    "makes one of a copied table"
)
_INNER_NAMES = (*TOP_LEVEL, *_INNER_KEYS.values())


class OptionLike(Protocol):
    """What is needed of a declared option of a rule."""

    @property
    def default(self) -> Any: ...
    @property
    def unit(self) -> str: ...


class RuleLike(Protocol):
    """What is needed of the declaration of a rule."""

    @property
    def options(self) -> Mapping[str, OptionLike]: ...
    @property
    def aliases(self) -> tuple[str, ...]: ...


KnownRules = Mapping[str, RuleLike] | Collection[str]


def load(
    path: Path,
    *,
    known_rules: KnownRules | None = None,
    root: Path | None = None,
    shown_as: str = "",
    memory: Path | None = None,
) -> Options:
    """Read a configuration file (see `config.load_config`). Raises ConfigError."""
    shown = shown_as or path.name
    absolute = path.absolute()
    within = root or repository_root(absolute) or absolute.parent
    try:
        if not absolute.resolve().is_relative_to(within.resolve()):
            raise ConfigError(f"{shown}: leads out of the repository through a link")
        table = read_config(absolute)
    except (TomlError, OSError, RuntimeError) as error:
        reason = str(error) if isinstance(error, TomlError) else "cannot be read"
        raise ConfigError(f"{shown}: {reason}") from None
    return options_from_table(
        table,
        known_rules=known_rules,
        folder=absolute.parent,
        root=within,
        shown_as=shown,
        memory=memory,
    )


def options_from_table(
    table: Mapping[str, Any],
    *,
    known_rules: KnownRules | None = None,
    folder: Path | None = None,
    root: Path | None = None,
    shown_as: str = CONFIG_NAME,
    memory: Path | None = None,
) -> Options:
    """Return the options a parsed configuration stands for.

    folder: where a water report it names is looked for, root: below which that must lie; without
    them a report can only be given inline. Raises ConfigError.
    """
    return _Loader(known_rules, folder, root, shown_as, memory).options(table)


class _Loader:
    """Reads one configuration; holds what all tables need."""

    def __init__(
        self,
        known_rules: KnownRules | None,
        folder: Path | None,
        root: Path | None,
        shown: str,
        memory: Path | None = None,
    ) -> None:
        self.rules = known_rules
        self.folder = folder
        self.root = root
        self.shown = shown
        self.memory = memory
        self.names = None if known_rules is None else _names(known_rules)

    def options(self, table: Mapping[str, Any]) -> Options:
        for key in table:
            if key not in TOP_LEVEL:
                raise self.error(unknown_key(key, _INNER_NAMES, _INNER_KEYS))
        own_rules = self.own_rules(table)
        if self.names is not None:
            self.names |= {rule.id for rule in own_rules}
        return Options(
            **self.changes(table, ""),
            malts=tuple(MaltLot(**item) for item in self.array(table, "malt", MALT)),
            shelf=tuple(self.shelf_item(item) for item in self.array(table, "shelf", SHELF)),
            paths=self.paths(table),
            suppressions=self.suppressions(table),
            own_rules=own_rules,
            **self.readings(table.get("readings", {})),
            source_path=self.shown,
        )

    def changes(self, table: Mapping[str, Any], where: str) -> dict[str, Any]:
        """Read the tables that may also stand under [[paths]]: field of `Options` -> value."""
        found: dict[str, Any] = {}
        if "water" in table:
            found.update(self.water(self.table(table["water"], f"{where}water"), f"{where}water"))
        if "equipment" in table:
            found.update(self.read(table["equipment"], EQUIPMENT, f"{where}equipment"))
        if "style" in table:
            found["styles"] = self.styles(table["style"], f"{where}style")
        if "rules" in table:
            found["rules"] = self.rule_settings(table["rules"], f"{where}rules")
        return found

    def water(self, table: Mapping[str, Any], where: str) -> dict[str, Any]:
        plain = {key: value for key, value in table.items() if key != "report"}
        found = self.read(plain, WATER, where)
        if "report" in table:
            found["water"] = self.report(table["report"], f"{where}.report")
        return found

    def report(self, value: Any, where: str) -> WaterReport:
        try:
            if isinstance(value, Mapping):
                return report_from_table(value)
            if not isinstance(value, str):
                raise self.error(f"{where} is neither the name of a file nor a table of ions")
            return read_report(self.file_beside(value, where, _FORM))
        except ReportError as error:
            raise self.error(f"{where}: {error}") from None

    def readings(self, value: Any) -> dict[str, Any]:
        """Read the table and the file it names; one that is not there yet holds no readings."""
        found = self.read(value, READINGS, "readings")
        name = found.pop("file", None)
        if self.folder is None or self.root is None:
            return found
        if name is not None:
            found["readings_file"] = name
        path = self.file_beside(name or READINGS_NAME, "readings.file")
        if not path.exists():
            return found
        try:
            found["readings"] = read_remembered(path, self.memory)
        except ReadingsError as error:
            where = "readings.file" if name else READINGS_NAME
            raise self.error(f"{where}: {error}") from None
        return found

    def file_beside(self, value: str, where: str, hint: str = "") -> Path:
        if self.folder is None or self.root is None:
            raise self.error(f"{where} names a file, but there is no folder to look for it")
        no_file = self.error(f"{where} is not the name of a .toml file{hint}")
        if not value.endswith(".toml"):
            raise no_file
        try:
            path = (self.folder / value).resolve()
            inside = path.is_relative_to(self.root.resolve())
        except (OSError, RuntimeError, ValueError):
            raise no_file from None
        if not inside:
            raise self.error(f"{where} lies outside the repository")
        return path

    def styles(self, value: Any, where: str) -> Mapping[str, Any]:
        families = self.table(value, where)
        return {
            family: self.read(ranges, STYLE, f"{where}.{shown_key(family)}")
            for family, ranges in families.items()
        }

    def rule_settings(self, value: Any, where: str) -> Mapping[str, RuleSettings]:
        found = {}
        for rule, settings in self.table(value, where).items():
            self.known(rule, where, topics=False)
            here = f'{where}."{shown_key(rule)}"'
            table = self.table(settings, here)
            inner = self.option_keys(rule)
            for key in table:
                if key not in ("severity", "options"):
                    known = ("severity", "options", *inner.values())
                    raise self.error(f"{here}: {unknown_key(key, known, inner)}")
            severity = self.value(table, "severity", SEVERITY, here)
            options = self.table(table.get("options", {}), f"{here}.options")
            found[rule] = RuleSettings(
                severity, self.rule_options(rule, options, f"{here}.options")
            )
        return found

    def option_keys(self, rule: str) -> Mapping[str, str]:
        return {name: f"options.{name}" for name in self.declared(rule) or ()}

    def declared(self, rule: str) -> Mapping[str, OptionLike] | None:
        """Return the options a rule declares, None where nobody says."""
        if not isinstance(self.rules, Mapping):
            return None
        if rule.partition("/")[0] == OWN_TOPIC:
            return {}
        for name, item in self.rules.items():
            if rule == name or rule in item.aliases:
                return item.options
        return None

    def rule_options(self, rule: str, table: Mapping[str, Any], where: str) -> dict[str, Any]:
        declared = self.declared(rule)
        if declared is None:
            return dict(table)
        readers = {
            name: like_default(option.default, option.unit) for name, option in declared.items()
        }
        return self.read(table, Table(readers), where)

    def paths(self, table: Mapping[str, Any]) -> tuple[PathOverride, ...]:
        found = []
        for place, item in enumerate(self.entries(table, "paths")):
            where = f"paths[{place}]"
            allowed = ("globs", *OVERRIDABLE)
            for key in item:
                if key not in allowed:
                    raise self.error(f"{where}.{unknown_key(key, allowed)}")
            globs = self.value(item, "globs", texts, where)
            if globs is None:
                raise self.error(f"{where} has no globs")
            found.append(PathOverride(globs, self.changes(item, f"{where}.")))
        return tuple(found)

    def suppressions(self, table: Mapping[str, Any]) -> tuple[Suppression, ...]:
        found = []
        for place, item in enumerate(self.array(table, "suppress", SUPPRESS)):
            self.known(item["rule"], f"suppress[{place}].rule", topics=True)
            found.append(Suppression(**item, index=place))
        return tuple(found)

    def own_rules(self, table: Mapping[str, Any]) -> tuple[OwnRule, ...]:
        styles = self.table(table.get("style", {}), "style")
        found: dict[str, OwnRule] = {}
        for place, item in enumerate(self.array(table, "own-rule", OWN_RULE)):
            try:
                rule = own_rule(item, styles)
            except WrongValueError as error:
                raise self.error(f"own-rule[{place}].{error}") from None
            if rule.name in found:
                raise self.error(f"own-rule[{place}].name stands there twice")
            found[rule.name] = rule
        return tuple(found.values())

    def shelf_item(self, item: Mapping[str, Any]) -> ShelfItem:
        return ShelfItem(**{**item["agent"], **{k: v for k, v in item.items() if k != "agent"}})

    def known(self, rule: str, where: str, *, topics: bool) -> None:
        if self.names is None or rule in self.names:
            return
        everything = {*self.names, *(name.partition("/")[0] for name in self.names)}
        if topics and rule in everything:
            return
        raise self.error(f"{where}: {_unknown_rule(rule, self.names)}")

    def array(self, table: Mapping[str, Any], key: str, kind: Table) -> list[dict[str, Any]]:
        return [
            self.read(item, kind, f"{key}[{place}]")
            for place, item in enumerate(self.entries(table, key))
        ]

    def entries(self, table: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
        value = table.get(key, [])
        if not isinstance(value, list):
            raise self.error(f"{key} is not a list of tables; write [[{key}]]")
        if len(value) > MAX_ENTRIES:
            raise self.error(f"{key} has more than {MAX_ENTRIES} entries")
        return [self.table(item, f"{key}[{place}]") for place, item in enumerate(value)]

    def table(self, value: Any, where: str) -> Mapping[str, Any]:
        if not isinstance(value, Mapping):
            raise self.error(f"{where} is not a table")
        if len(value) > MAX_ENTRIES:
            raise self.error(f"{where} has more than {MAX_ENTRIES} keys")
        return value

    def read(self, value: Any, kind: Table, where: str) -> dict[str, Any]:
        table = self.table(value, where)
        found = {}
        for key in table:
            if key not in kind.readers:
                raise self.error(f"{where}.{unknown_key(key, tuple(kind.readers))}")
            found[key] = self.value(table, key, kind.readers[key], where)
        for key in kind.required:
            if key not in found:
                raise self.error(f"{where} has no {key}, which is mandatory")
        return found

    def value(self, table: Mapping[str, Any], key: str, reader: Any, where: str) -> Any:
        if key not in table:
            return None
        try:
            return reader(table[key])
        except WrongValueError as error:
            raise self.error(f"{where}.{key} {error}") from None

    def error(self, problem: str) -> ConfigError:
        shared = PurePath(self.shown).name == SHARED_NAME
        return ConfigError(f"{self.shown}: {PREFIX if shared else ''}{problem}")


def _names(rules: KnownRules) -> frozenset[str]:
    if not isinstance(rules, Mapping):
        return frozenset(rules)
    return frozenset({*rules, *(alias for rule in rules.values() for alias in rule.aliases)})


def _unknown_rule(rule: str, names: Collection[str]) -> str:
    nearest = nearest_key(rule, sorted(names))
    hint = f"; the nearest is {nearest}" if nearest else ""
    return f"{shown_key(rule)} is not the name of a rule{hint}"
