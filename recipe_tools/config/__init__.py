"""What a brewer or a club settles once, read from recipe-tools.toml."""

from __future__ import annotations

from recipe_tools.config.options import (
    CONFIG_NAME,
    OWN_TOPIC,
    SHARED_NAME,
    ConfigError,
    Crush,
    MaltLot,
    Options,
    OwnRule,
    PathOverride,
    RuleSettings,
    ShelfItem,
    Suppression,
    find_config,
    load_config,
    repository_root,
)

__all__ = [
    "CONFIG_NAME",
    "OWN_TOPIC",
    "SHARED_NAME",
    "ConfigError",
    "Crush",
    "MaltLot",
    "Options",
    "OwnRule",
    "PathOverride",
    "RuleSettings",
    "ShelfItem",
    "Suppression",
    "find_config",
    "load_config",
    "repository_root",
]
