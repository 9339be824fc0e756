"""From the brew day to what to weigh: salts, acid or base, pure water; or why no plan exists."""

from __future__ import annotations

from recipe_tools.dosing.propose import propose
from recipe_tools.dosing.records import (
    Dilution,
    Proposal,
    ProposedDose,
    Request,
    Stock,
    Unmet,
)

__all__ = ["Dilution", "Proposal", "ProposedDose", "Request", "Stock", "Unmet", "propose"]
