"""Valid documents damaged at random: mended they hold what they held before the damage."""

from __future__ import annotations

import json
import random
from collections import Counter
from collections.abc import Mapping

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from recipe_tools import formats
from recipe_tools.annotate.annotating import with_blocks, without_blocks
from recipe_tools.config import Options
from recipe_tools.formats.result import ReadResult
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.recipe import FormatName, SourceFile
from recipe_tools.tidying import Choice, tidy_bytes
from recipe_tools.tidying.proof import reads_equal
from tests.hostile import beerjson_documents, beerxml_documents
from tests.tidying.damage import JSON, XML, Damage

OPTIONS = Options()
SEEDS = st.integers(0, 2**32)
SOME = settings(
    max_examples=12,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def read(data: bytes) -> ReadResult:
    return formats.read(SourceFile("made", data), DEFAULT_LIMITS)


def valid(format_name: FormatName, dice: random.Random) -> str:
    if format_name == "beerxml":
        return beerxml_documents.document(dice, None)
    return json.dumps(beerjson_documents.document(dice, None), ensure_ascii=False, indent=2)


def faults(found: ReadResult) -> Counter[str]:
    counts: Counter[str] = Counter()
    for item in found.findings:
        counts[item.rule] += item.values.get("count", 1)
    return counts


CASES = [
    *(("beerxml", name, damage) for name, damage in XML.items()),
    *(("beerjson", name, damage) for name, damage in JSON.items()),
]


@pytest.mark.parametrize(("format_name", "name", "damage"), CASES)
@SOME
@given(seed=SEEDS)
def test_one_kind_of_damage_is_undone(
    format_name: FormatName, name: str, damage: Damage, seed: int
) -> None:
    del name
    dice = random.Random(seed)
    sound = valid(format_name, dice)
    check_mended(sound, damage(sound, dice).encode())


@pytest.mark.parametrize(("format_name", "kinds"), [("beerxml", XML), ("beerjson", JSON)])
@SOME
@given(seed=SEEDS)
def test_many_kinds_of_damage_are_undone_together(
    format_name: FormatName, kinds: Mapping[str, Damage], seed: int
) -> None:
    dice = random.Random(seed)
    sound = damaged = valid(format_name, dice)
    for name in kinds:  # the last ones change the frame of the document
        if dice.random() < 0.5:
            damaged = kinds[name](damaged, dice)
    check_mended(sound, damaged.encode())


def check_mended(sound: str, damaged: bytes) -> None:
    before = read(sound.encode())
    result = tidy_bytes(damaged, "made", OPTIONS, Choice())
    assert result.status in ("tidied", "unchanged"), result.problem
    after = read(result.data)
    # What is held is compared with the document before the damage, not with the damaged one.
    assert reads_equal(before, after, ())
    assert faults(after) <= faults(before)
    again = tidy_bytes(result.data, "made", OPTIONS, Choice())
    assert (again.status, again.data) == ("unchanged", result.data)


@pytest.mark.parametrize(("format_name", "kinds"), [("beerxml", XML), ("beerjson", JSON)])
@SOME
@given(seed=SEEDS)
def test_notes_of_annotate_come_out_of_a_mended_file(
    format_name: FormatName, kinds: Mapping[str, Damage], seed: int
) -> None:
    dice = random.Random(seed)
    damaged = kinds[dice.choice(sorted(kinds))](valid(format_name, dice), dice).encode()
    plain = tidy_bytes(damaged, "made", OPTIONS, Choice())
    lines = {item.origin.path: ["a line"] for item in read(damaged).recipes}
    written = with_blocks(damaged, format_name, lines)
    noted = written if isinstance(written, bytes) else written[0]
    result = tidy_bytes(noted, "made", OPTIONS, Choice())
    assert result.status in ("tidied", "unchanged"), result.problem
    bare = without_blocks(result.data, format_name, read(result.data).recipes)
    assert bare == plain.data
