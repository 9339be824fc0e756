"""Whatever a file holds, converting it ends in a document and its list, or in a sentence."""

from __future__ import annotations

import copy
import json
import random
import re
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.cli.conversion_report import render_json, render_text
from recipe_tools.config import Options
from recipe_tools.converting import convert_bytes
from recipe_tools.recipe import FormatName
from tests.converting.accounts import generated
from tests.hostile.soundness import strict_json

SEEDS = st.integers(0, 2**32)
ODD: tuple[Any, ...] = (
    None, True, False, 0, -1, 1e300, 10**30, "", "x", "5,5", "1.5 kg", "NaN", "sparge", "\0",
    [], [1], {}, {"unit": "kg"}, {"value": 1}, {"unit": 1, "value": "x"},
    {"unit": "l", "value": {"unit": "l", "value": 1}}, {"a": {"b": [1, {"c": 2}]}},
)  # fmt: skip
TEXTS = (
    "", "x", "5,5", "NaN", "1e400", "-3", "1.5 gal", "4 g", "<b>q</b>", "TRUE", "Sparge", "&#7;",
    "٣", "0x10", "1_0", "<![CDATA[7]]>", "9" * 400, "&amp;#13;",
)  # fmt: skip


def check(data: bytes, to: FormatName) -> None:
    result = convert_bytes(data, "made", to, Options())
    assert "report it" not in result.problem
    if not result.problem:
        strict_json(render_json(result, "made", to))
        assert render_text(result, "made", to).endswith(" missing\n")
    if result.data is not None and to == "beerjson":
        strict_json(result.data.decode("utf-8"))


def places(value: Any) -> list[tuple[Any, Any]]:
    found = []
    pending = [value]
    while pending:
        holder = pending.pop()
        keys = holder.keys() if isinstance(holder, dict) else range(len(holder))
        found += [(holder, key) for key in keys]
        pending += [holder[key] for key in keys if isinstance(holder[key], (dict, list))]
    return found


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_beerjson_with_odd_values(seed: int) -> None:
    dice = random.Random(seed)
    document = json.loads(generated(seed, "beerxml"))
    for holder, key in dice.sample(places(document), 8):
        holder[key] = copy.deepcopy(dice.choice(ODD))
    check(json.dumps(document).encode(), "beerxml")


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_beerxml_with_odd_values(seed: int) -> None:
    dice = random.Random(seed)
    text = generated(seed, "beerjson").decode()

    def thrown(match: re.Match[str]) -> str:
        return f">{dice.choice(TEXTS)}</" if dice.random() < 0.1 else match[0]

    check(re.sub(r">([^<\n]+)</", thrown, text).encode(), "beerjson")
