"""Which rules apply under given options, with which severity and thresholds: settled once."""

from __future__ import annotations

import functools
from collections.abc import Collection, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from recipe_tools.checking.own_rules import OWN_RULES
from recipe_tools.config import OWN_TOPIC, Options, RuleSettings
from recipe_tools.findings import Finding, Rule, Severity, severity_from_word

if TYPE_CHECKING:
    from recipe_tools.rules import Check, RecipeRule

_NO_SETTINGS = RuleSettings()
_KEPT_LISTS = 64
_OF_READING = frozenset({"standard", "file"})
"""Topics of what reading a file finds, which needs no brew day."""


class UnknownRule(Exception):  # noqa: N818  (what happened, as in click's own exceptions)
    """A rule id or topic that does not exist. nearest: ids that look like it, best first."""

    def __init__(self, name: str, nearest: tuple[str, ...]) -> None:
        self.name = name
        self.nearest = nearest
        hint = f" Did you mean {' or '.join(nearest)}?" if nearest else ""
        super().__init__(f"There is no rule or topic {name!r}.{hint}")


@functools.cache
def catalogue() -> Mapping[str, Rule]:
    """Return the declaration of every finding there is, by id, in the order of the ids."""
    from recipe_tools.formats.deviations import DEVIATIONS
    from recipe_tools.rules import recipe_rules

    declared = {**DEVIATIONS, **OWN_RULES}
    declared.update((name, item.declaration) for name, item in recipe_rules().items())
    return MappingProxyType(dict(sorted(declared.items())))


def _own(options: Options) -> Mapping[str, RecipeRule]:
    """Return the rules the configuration brings, by id."""
    if not options.own_rules:
        return {}
    from recipe_tools.rules.own import own_rule

    return {item.id: own_rule(item) for item in options.own_rules}


def own_declarations(options: Options) -> tuple[Rule, ...]:
    """Return the declarations of the rules the configuration brings."""
    return tuple(item.declaration for item in _own(options).values())


@functools.cache
def _aliases() -> Mapping[str, str]:
    return {former: rule.id for rule in catalogue().values() for former in rule.aliases}


def resolve(name: str) -> str:
    """Return the id of a rule (also by a former id), or the topic. Raises UnknownRule."""
    known = catalogue()
    wanted = name.strip().rstrip("/")
    if wanted in known:
        return wanted
    if wanted in _aliases():
        return _aliases()[wanted]
    topics = {rule.topic for rule in known.values()}
    # Which own rules there are, the configuration of each file says.
    if wanted in topics or wanted.partition("/")[0] == OWN_TOPIC:
        return wanted
    raise UnknownRule(name, nearest_rules(wanted))


def nearest_rules(name: str) -> tuple[str, ...]:
    """Return up to three ids or topics that look like a name, best first."""
    import difflib

    known = catalogue()
    choices = [*known, *_aliases(), *sorted({rule.topic for rule in known.values()})]
    close = difflib.get_close_matches(name, choices, n=3, cutoff=0.6)
    if not close:
        tails = {rule.partition("/")[2]: rule for rule in known}
        close = [
            tails[tail]
            for tail in difflib.get_close_matches(name.rpartition("/")[2], tails, n=3, cutoff=0.6)
        ]
    return tuple(dict.fromkeys(_aliases().get(item, item) for item in close))


def covers(names: Collection[str], rule_id: str) -> bool:
    """Tell whether a list of ids and topics contains a rule."""
    return rule_id in names or rule_id.partition("/")[0] in names


class Entry(NamedTuple):
    """One rule as it is applied: its function and its thresholds."""

    id: str
    check: Check
    options: Mapping[str, Any]


class Checklist(NamedTuple):
    """Everything about rules that follows from the options alone.

    entries: the rules to apply to each brew day. severities: by id, None where switched off.
    fixed: ids whose severity the configuration sets, whatever the rule itself would decide.
    validates: only rules on how a file is written were asked for, so that no brew day is needed.
    """

    entries: tuple[Entry, ...]
    severities: Mapping[str, Severity | None]
    fixed: frozenset[str]
    validates: bool

    def severity(self, item: Finding) -> Severity | None:
        """Return the severity of a finding, None where its rule is switched off."""
        declared = self.severities.get(item.rule, Severity.ERROR)
        if declared is None or item.rule in self.fixed:
            return declared
        return declared if item.severity is None else item.severity


_lists: dict[int, tuple[Options, Checklist]] = {}


def checklist(options: Options) -> Checklist:
    """Return the checklist of options, made once for each object (options are immutable)."""
    kept = _lists.get(id(options))
    if kept is not None:
        return kept[1]
    if len(_lists) >= _KEPT_LISTS:
        _lists.clear()
    made = _make(options)
    _lists[id(options)] = (options, made)  # the reference keeps the id from being given away again
    return made


def _make(options: Options) -> Checklist:
    from recipe_tools.rules import recipe_rules

    applied = {**recipe_rules(), **_own(options)}
    only = {resolve(name) for name in options.only}
    without = {resolve(name) for name in options.without}
    settings = {resolve(name): setting for name, setting in options.rules.items()}
    severities: dict[str, Severity | None] = {}
    for rule in (*catalogue().values(), *own_declarations(options)):
        severities[rule.id] = _severity(rule, settings.get(rule.id, _NO_SETTINGS), only, without)
    entries = tuple(
        Entry(
            name,
            item.check,
            MappingProxyType(
                {
                    **{key: option.default for key, option in item.declaration.options.items()},
                    **settings.get(name, _NO_SETTINGS).options,
                }
            ),
        )
        for name, item in applied.items()
        if severities[name] is not None
    )
    fixed = frozenset(name for name, setting in settings.items() if setting.severity is not None)
    topics = {name.partition("/")[0] for name in only}
    return Checklist(entries, severities, fixed, bool(only) and topics <= _OF_READING)


def _severity(
    rule: Rule, setting: RuleSettings, only: Collection[str], without: Collection[str]
) -> Severity | None:
    if rule.not_checked or rule.topic == "internal":
        # What explains exit code 3 cannot be switched off: silence would look like success.
        return rule.severity
    if covers(without, rule.id) or (only and not covers(only, rule.id)):
        return None
    if setting.severity is None:
        return rule.severity
    return None if setting.severity == "off" else severity_from_word(setting.severity)
