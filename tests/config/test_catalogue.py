"""The loader with the real rules, and any table at all."""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from recipe_tools.checking.checklist import catalogue
from recipe_tools.config import ConfigError, Options
from recipe_tools.config.load import TOP_LEVEL, options_from_table
from tests.offenders import offenders


def test_each_default_is_a_valid_setting_of_its_own_option() -> None:
    def holds(rule: str) -> None:
        for name, option in catalogue()[rule].options.items():
            default = option.default
            if default is None:
                continue
            written = list(default) if isinstance(default, (tuple, set, frozenset)) else default
            table = {"rules": {rule: {"options": {name: written}}}}
            read = options_from_table(table, known_rules=catalogue()).rules[rule].options[name]
            if isinstance(default, (int, float)) and not isinstance(default, bool):
                assert read == pytest.approx(default)
            else:
                assert read == (tuple(written) if isinstance(written, list) else default)

    assert offenders(sorted(catalogue()), holds) == []


def test_the_configurations_in_examples_are_valid() -> None:
    def holds(rule: str) -> None:
        declaration = catalogue()[rule]
        for example in (declaration.passes, declaration.fails):
            options_from_table(example.config, known_rules=catalogue())

    assert offenders(sorted(catalogue()), holds) == []


SCALARS = (
    st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.dates()
    | st.sampled_from([10**400, "1 qt", "12 °dH", "50 - 100 mg/L", date(2030, 1, 1), time(1, 2)])
)
INNER = st.sampled_from(
    [
        "records",
        "report",
        "chlorine_mg_l",
        "sparge",
        "dead_space_l",
        "crush",
        "units",
        "treatment",
        "name",
        "agent",
        "globs",
        "rule",
        "reason",
        "until",
        "recipe",
        "calcium",
        "severity",
        "options",
        "x",
    ]
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(INNER, inner, max_size=4),
    max_leaves=8,
)


@settings(max_examples=500, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.dictionaries(st.sampled_from(TOP_LEVEL), VALUES, max_size=3))
def test_any_table_gives_options_or_a_configuration_error(table: dict[str, Any]) -> None:
    try:
        options = options_from_table(table, known_rules=catalogue())
    except ConfigError as error:
        assert str(error).startswith("recipe-tools.toml: ")
    else:
        assert isinstance(options, Options)
        assert len(options.digest()) == 64
        options.for_path("ales/mild.xml")
