"""Five hundred drawn brew days: what is called a plan passes a fresh check of the written file."""

from __future__ import annotations

import pytest

from recipe_tools.checking import check_bytes
from recipe_tools.dosing import propose
from recipe_tools.rules.examples import document
from tests.dosing.cases import Case, case, with_plan

CASES = 500
IN_ONE = 50


def faults(drawn: Case) -> tuple[bool, list[str]]:
    """Return whether a case has a plan, and what a check finds in the file with it written in."""
    proposal = propose(drawn.recipe(), drawn.options, drawn.request)
    if not proposal.feasible:
        return False, []
    written = document(with_plan(drawn.body, proposal))
    checked = check_bytes(written, "drawn.json", drawn.options)
    assert checked.status == "checked"
    judged = ("ions/", "mash-ph/", "sparge/", "internal/", "file/")
    return True, [
        f"seed {drawn.seed}: {item.rule}: {item.message}"
        for item in checked.findings
        if item.rule.startswith(judged)
    ]


@pytest.mark.parametrize("first", range(0, CASES, IN_ONE))
def test_a_plan_leaves_a_check_nothing_to_say(first: int) -> None:
    results = [faults(case(seed)) for seed in range(first, first + IN_ONE)]
    assert [text for _, texts in results for text in texts] == []
    assert sum(planned for planned, _ in results) >= IN_ONE // 3, "the cases are not worth much"
