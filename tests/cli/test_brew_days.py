"""The brew days of examples/brew-days, walked through as their brewer did."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.cli.conftest import Run

EXAMPLES = Path(__file__).resolve().parents[2] / "examples" / "brew-days"
DAYS = (
    "towpath-pale.xml --ph 5.74 --celsius 22 --minutes 10 --date 2026-09-05",
    "towpath-pale.xml --ph 5.50 --celsius 23 --minutes 20 --date 2026-09-05 --added"
    "|3.6 mL lactic acid 80 %",
    "towpath-amber.json --ph 5.66 --celsius 21 --minutes 12 --date 2026-10-03",
)


def test_the_kept_readings_are_those_of_the_walk(run: Run, here: Path) -> None:
    shutil.copytree(EXAMPLES, here, dirs_exist_ok=True)
    kept = (here / "readings.toml").read_bytes()
    (here / "readings.toml").unlink()
    for line in DAYS:
        words, _, dose = line.partition("|")
        assert run("reading", *words.split(), *filter(None, [dose]), "--keep").code == 0
    assert (here / "readings.toml").read_bytes() == kept

    assert "from 3 of your readings; without them" in run("check", "towpath-brown.json").text
    answer = ["reading", "towpath-brown.json", "--ph", "5.64", "--celsius", "24", "--minutes", "10"]
    result = run(*answer)
    assert result.code == 0
    assert "It agrees with the prediction" in result.text
    assert "Lactic acid 80 %" in result.text
    assert "of your readings" not in run(*answer, "--no-readings").text
    assert "Learnt from 3 readings" in run("reading", "--list").text


@pytest.mark.parametrize("layout", ["text", "json", "markdown", "html", "csv", "sarif", "junit"])
def test_every_report_knows_what_readings_add(run: Run, here: Path, layout: str) -> None:
    shutil.copytree(EXAMPLES, here, dirs_exist_ok=True)
    assert run("check", ".", "--format", layout).code in (0, 1)
    if layout in ("text", "json", "csv", "html"):
        assert run("audit", ".", "--format", layout).code in (0, 1)
    if layout in ("text", "json", "markdown", "html"):
        assert run("dose", "towpath-brown.json", "--format", layout).code in (0, 1)
        assert run("reading", "--list", "--format", layout).code == 0
    assert run("annotate", ".").code == 0


@pytest.mark.parametrize("command", ["check", "dose", "annotate", "reading"])
def test_every_command_says_what_it_learnt_from(run: Run, here: Path, command: str) -> None:
    shutil.copytree(EXAMPLES, here, dirs_exist_ok=True)
    more = ("--ph", "5.5") if command == "reading" else ()
    said = " ".join(run(command, "towpath-brown.json", *more).text.replace("+", " ").split())
    assert "3 of your readings" in said or "3 readings of yours" in said
    assert "without them 5." in said


@pytest.mark.parametrize("name", ["towpath-amber.json", "towpath-pale.xml"])
@pytest.mark.parametrize("off", [0.0, -0.35], ids=["they read higher", "they read lower"])
def test_a_plan_doses_for_the_mash_the_readings_let_expect(
    run: Run, here: Path, name: str, off: float
) -> None:
    """Mashes that read higher than predicted take more acid, those that read lower take less."""
    shutil.copytree(EXAMPLES, here, dirs_exist_ok=True)
    kept = (here / "readings.toml").read_text()
    moved, count = re.subn(
        r"(?m)^mash_ph = ([\d.]+)$", lambda found: f"mash_ph = {float(found[1]) + off:.2f}", kept
    )
    assert count == 3
    (here / "readings.toml").write_text(moved)

    def planned(*more: str) -> tuple[float, float]:
        plan = run("dose", name, "--replace", "--format", "json", *more).json["recipes"][0]
        acid = sum(
            item["amount"]
            for item in plan["doses"]
            if item["stage"] == "mash" and item["agent"] == "lactic_acid"
        )
        return acid, plan["before"]["mash_ph"]["predicted"]

    acid, predicted = planned()
    without_acid, without = planned("--no-readings")
    higher = 1 if off == 0.0 else -1
    assert higher * (predicted - without) > 0.02
    assert higher * (acid - without_acid) > 0.0
