"""What the block says: the numbers of the check, its findings and what to do."""

from __future__ import annotations

import re

from recipe_tools.annotate.annotating import annotate_bytes
from recipe_tools.checking import catalogue, check_bytes
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options, Suppression
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_file,
    xml_misc,
)
from tests.annotate.test_damage import block_of

OPTIONS, REQUEST = Options(), FileRequest()
HARD = xml_file(xml_misc("Lactic acid 80 %", "0.0002", "FALSE", use="Sparge"))


def block(data: bytes, options: Options = OPTIONS) -> str:
    text = annotate_bytes(data, "made", options, REQUEST).data.decode()
    return " ".join(text[text.index("--- recipe-tools") :].split())


def test_ions_and_volumes_of_each_stage_are_those_of_the_check() -> None:
    data = document(PLAIN_RECIPE)
    day = check_bytes(data, "made").recipes[0].day
    assert day is not None
    assert day.mash is not None
    assert day.sparge is not None
    text = block_of("")
    for name, liquor in (("Mash", day.mash), ("Sparge", day.sparge)):
        stage = re.search(rf"{name}, ([\d.]+) L: (.*?);", " ".join(text.split()))
        assert stage is not None
        assert float(stage[1]) == round(liquor.volume_l.best, 1)
        shown = dict(re.findall(r"(\w+) (\d+)", stage[2]))
        assert {ion: int(level) for ion, level in shown.items()} == {
            ion: round(level.best) for ion, level in liquor.ions_mg_l.items()
        }


def test_gypsum_is_counted_by_hand_into_the_mash() -> None:
    # 2 g CaSO4.2H2O and 2 g CaCl2.2H2O in 13.0 L on 25 mg/L: Ca 40.078, S + 4 O 96.06, 2 Cl 70.90
    # of 172.17 and 147.01 g/mol (IUPAC atomic weights 2021).
    calcium = 25 + (2000 * 40.078 / 172.17 + 2000 * 40.078 / 147.01) / 13.0
    sulfate = 30 + 2000 * 96.06 / 172.17 / 13.0
    chloride = 22 + 2000 * 70.90 / 147.01 / 13.0
    text = " ".join(block_of("").split())
    stage = re.search(r"Mash, 13.0 L: (.*?);", text)
    assert stage is not None
    shown = {ion: int(level) for ion, level in re.findall(r"(\w+) (\d+)", stage[1])}
    assert abs(shown["calcium"] - calcium) <= 0.6
    assert abs(shown["sulfate"] - sulfate) <= 0.6
    assert abs(shown["chloride"] - chloride) <= 0.6


def test_the_predicted_ph_stands_with_its_band() -> None:
    day = check_bytes(document(PLAIN_RECIPE), "made").recipes[0].day
    assert day is not None
    assert day.prediction is not None
    low, best, high = (
        f"{value:.2f}" for value in (day.prediction.low, day.prediction.ph, day.prediction.high)
    )
    assert f"predicted {best}, most likely {low} to {high}" in " ".join(block_of("").split())


def test_findings_stand_with_rule_and_remedy_and_without_lines_of_the_file() -> None:
    data = document(merge_patch(PLAIN_RECIPE, more_additions(dose("Gypsum", 400))))
    checked = check_bytes(data, "made")
    rules = {item.rule for item in checked.findings}
    assert rules
    text = block(data)
    for rule in rules:
        assert f", {rule}:" in text
        assert " ".join(catalogue()[rule].remedy.split()) in text
    # The same recipe on other lines of the file gets the same block.
    assert block(b"\n\n" + data) == text


def test_a_recipe_without_faults_says_so() -> None:
    assert "Found: nothing to change" in block_of("")


def test_acid_comes_with_the_usual_cautions() -> None:
    assert "safety/strong-acid-handling" in block(HARD)
    assert "never the reverse" in block(HARD)


def test_accepted_findings_are_counted_only() -> None:
    data = document(merge_patch(PLAIN_RECIPE, more_additions(dose("Gypsum", 400))))
    rule = check_bytes(data, "made").findings[0].rule
    accepted = Options(
        suppressions=(Suppression(index=0, rule=rule, path="", recipe=None, reason="wanted"),)
    )
    text = block(data, accepted)
    assert f", {rule}:" not in text
    assert "accepted and not listed" in text


def test_unknown_water_is_said() -> None:
    data = document(merge_patch(PLAIN_RECIPE, {"ingredients": {"water_additions": None}}))
    assert "Water: nothing says what is in it" in block(data)


def test_a_cider_has_no_mash() -> None:
    patch = {"type": "cider", "mash": None, "ingredients": None}
    assert "there is no mash" in block(document(merge_patch(PLAIN_RECIPE, patch)))


def test_there_is_no_date_and_no_time() -> None:
    assert not re.search(r"\b20\d\d\b|\d\d:\d\d", block_of(""))


def test_every_recipe_of_a_file_gets_its_own_findings() -> None:
    faulty = merge_patch(PLAIN_RECIPE, more_additions(dose("Gypsum", 400)))
    one = document(PLAIN_RECIPE).decode()
    start, end = one.index('"recipes": [') + 12, one.rindex("]")
    two = document(faulty).decode()
    other = two[two.index('"recipes": [') + 12 : two.rindex("]")]
    data = f"{one[:start]}{one[start:end].rstrip()},{other}{one[end:]}".encode()
    text = annotate_bytes(data, "made", OPTIONS, REQUEST).data.decode()
    first, second = text.split('"notes": ')[1:]
    assert "nothing to change" in first
    assert "nothing to change" not in second
