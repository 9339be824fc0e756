"""A dosing plan written into a recipe file: what the standard has a place for as records."""

from __future__ import annotations

from recipe_tools.applying.plans import Applied, apply_plans

__all__ = ["Applied", "apply_plans"]
