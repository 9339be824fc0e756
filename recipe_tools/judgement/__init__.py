"""What a check judges by and a dosing plan keeps to: each threshold and judgement of both, once.

A rule takes its options from the `Thresholds` here, and a plan its aims.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from recipe_tools.config import Options, RuleSettings
from recipe_tools.findings import Option

Range = tuple[float | None, float | None]
OPEN: Range = (None, None)
"""The range of what is not judged."""
_NO_SETTINGS = RuleSettings()


class Thresholds(NamedTuple):
    """What a rule judges by. rule: its id. options: as it declares them."""

    rule: str
    options: Mapping[str, Option]

    def in_force(self, options: Options) -> Mapping[str, Any]:
        """Return the thresholds by name, those of the configuration in place of the defaults."""
        declared = {name: option.default for name, option in self.options.items()}
        return {**declared, **options.rules.get(self.rule, _NO_SETTINGS).options}
