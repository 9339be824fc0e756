"""What a finding means for whoever drinks the beer, in one sentence by rule."""

from __future__ import annotations

from recipe_tools.reference.tables import table


def in_the_glass(rule: str) -> str:
    """Return the sentence on a rule, else that on its topic; empty where there is neither."""
    texts = {row["rule"]: row["text"] for row in table("in_the_glass")}
    return texts.get(rule) or texts.get(rule.partition("/")[0], "")
