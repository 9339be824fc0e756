"""`recipe-tools start`: in a terminal, from a file of answers, left and taken up again.

The water is that of tests/water_report/test_pasted.py; its charge balance is worked out there with
the masses of periodictable.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from recipe_tools.config import load_config
from recipe_tools.rules.examples import xml_file
from recipe_tools.setting_up.answers import Answers
from recipe_tools.setting_up.files import CONFIG, DRAFT, TAP, take_lines
from recipe_tools.setting_up.questions import LANGUAGES, QUESTIONS, names_of
from tests.cli.conftest import Run
from tests.standards import REPOSITORY
from tests.water_report.test_pasted import ALKALINITY, ALKALINITY_MEQ_L, IONS, NAMES, rows
from tests.water_report.test_printed_reports import mass

if TYPE_CHECKING:
    from tests.cli.terminal import Terminal

CATIONS = 2 * 62 / mass("Ca") + 2 * 9.5 / mass("Mg") + 21 / mass("Na")
ANIONS = 34 / mass("Cl") + 2 * 52 / mass("SO4") + ALKALINITY_MEQ_L
# Standard Methods 1030 E
DIFFERENCE = 100 * (CATIONS - ANIONS) / (CATIONS + ANIONS)
BALANCE = (
    f"cations {CATIONS:.2f}, anions {ANIONS:.2f} mEq/L, difference {DIFFERENCE:+.1f} %: balanced"
)
SETTINGS = ("yes", "0.9 L/kg", "1 qt", "coarse", "metric", "0.1")
SHELF = ("lactic acid 80 %", "gypsum", "")


def started(folder: Path) -> Terminal:
    """Start in a terminal of its own."""
    pytest.importorskip("pty", reason="no pseudo-terminals on this machine")
    from tests.cli.terminal import Terminal

    return Terminal(folder, "start")


def figures(language: str) -> dict[str, str]:
    """Return the answer to each question for a figure, as a report of a language prints it."""
    found = {
        ion: f"{value} {unit}"
        for ion, (_, unit, value, _) in zip(IONS, rows(language), strict=False)
    }
    name, unit, value = ALKALINITY[language]
    return {**found, "alkalinity": f"{name} {value} {unit}", "ph": "7,6", "chlorine": "0.2 mg/l"}


def answers_file(language: str) -> str:
    typed = dict(zip(NAMES[language], list(figures(language).values())[:5], strict=True))
    name, unit, value = ALKALINITY[language]
    lines = [f"language: {language}", "kind: average", *(f"{k}: {v}" for k, v in typed.items())]
    lines += [f"{name}: {value} {unit}", "pH: 7.6", "chlorine: 0.2 mg/l", "sparge: yes"]
    return "\n".join([*lines, "grain absorption: 0.9", "shelf: lactic acid 80 %", "shelf: gypsum"])


def check_files(folder: Path) -> None:
    """Check what was written against the water that was typed."""
    options = load_config(folder / CONFIG)
    assert options.water is not None
    for ion, value in IONS.items():
        assert options.water.ions_mg_l[ion].best == pytest.approx(value), ion
    assert options.water.alkalinity_meq_l.best == pytest.approx(2.70, rel=2e-3)
    assert options.sparge is True
    assert options.grain_absorption_l_kg == pytest.approx(0.9)
    assert [(item.agent, item.strength_percent) for item in options.shelf] == [
        ("lactic_acid", 80.0),
        ("gypsum", None),
    ]


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_session_in_a_terminal_writes_files_that_every_command_takes(
    run: Run, here: Path, clean: Path, language: str
) -> None:
    with started(here) as terminal:
        terminal.until()
        asked = [terminal.type(line) for line in (language, "North", "2025", "average")][-1]
        given = figures(language)
        for question in (item for item in QUESTIONS if item.group == "figures"):
            assert question.text in asked
            # The words of the reports in that language stand beside the question.
            assert all(name in asked for name in names_of(question.id, language)[:2])
            asked = terminal.type(given.get(question.id, ""))
            # As soon as all main ions are known, and only then.
            assert (BALANCE in " ".join(asked.split())) is (question.id == "alkalinity")
        for line in ("no", *SETTINGS, *SHELF[:-1]):
            terminal.type(line)
        terminal.press(b"\n")
        code, shown = terminal.rest()
    assert code == 0, shown
    assert f"{TAP} written" in shown
    assert sorted(path.name for path in here.iterdir()) == ["clean.json", CONFIG, TAP]
    check_files(here)
    (here / "clean.xml").write_bytes(xml_file())
    assert run("water", TAP).code == 0
    for recipe in ("clean.xml", "clean.json"):
        assert run("check", recipe, "--config", CONFIG).code in (0, 1)
        assert run("dose", recipe).code in (0, 1)
        report = run("check", recipe, "--format", "json").json["files"][0]["recipes"][0]
        assert report["water"]["source"]["ions_mg_l"]["calcium"] == 62.0


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_file_of_answers_in_every_language(run: Run, here: Path, language: str) -> None:
    (here / "answers.txt").write_text(answers_file(language), encoding="utf-8")
    result = run("start", "--answers", "answers.txt")
    assert result.code == 0, result.err
    assert BALANCE in result.text
    check_files(here)
    assert tomllib.loads((here / TAP).read_text("utf-8"))["kind"] == "average"


def test_the_example_is_a_file_of_answers(run: Run) -> None:
    result = run("start", "--answers", str(REPOSITORY / "examples" / "water" / "answers.txt"))
    assert result.code == 0, result.err
    assert "balanced" in result.text
    assert run("water", TAP).code == 0


def test_nothing_is_written_over(run: Run, here: Path) -> None:
    (here / "answers.txt").write_text(answers_file("en"))
    for name in (TAP, CONFIG):
        (here / name).write_text("mine")
        result = run("start", "--answers", "answers.txt")
        assert (result.code, result.out) == (2, b"")
        assert name in result.err
        assert (here / name).read_text() == "mine"
        (here / name).unlink()
    assert sorted(path.name for path in here.iterdir()) == ["answers.txt"]


@pytest.mark.parametrize("there", [TAP, CONFIG])
def test_a_file_that_is_there_stays_and_is_not_asked_for(here: Path, there: str) -> None:
    (here / there).write_text('calcium = "62 mg/L"\n' if there == TAP else "")
    before = (here / there).read_bytes()
    with started(here) as terminal:
        shown = terminal.until()
        assert f"{there} is here already and stays as it is" in shown
        assert ("Do you sparge?" in shown) is (there == TAP)
        lines = (*SETTINGS, *SHELF) if there == TAP else ("", "", "", "", *[""] * 11)
        for line in lines[:-1]:
            terminal.type(line)
        terminal.press(b"\n")
        code, shown = terminal.rest()
    assert code == 0, shown
    assert (here / there).read_bytes() == before
    if there == TAP:
        assert load_config(here / CONFIG).water is not None


@pytest.mark.parametrize("way", ["later", "Ctrl-D", "Ctrl-C", "killed"])
def test_it_is_left_and_taken_up_again(here: Path, way: str) -> None:
    with started(here) as terminal:
        terminal.until()
        for line in ("en", "North", "", "sample", "62 mg/l"):
            terminal.type(line)
        if way == "killed":
            terminal.process.kill()
        else:
            keys = {"later": b"later\n", "Ctrl-D": b"\x04", "Ctrl-C": b"\x03"}
            terminal.press(keys[way])
        code, shown = terminal.rest()
    assert code == {"later": 0, "Ctrl-D": 0, "Ctrl-C": 130, "killed": -9}[way]
    assert "Traceback" not in shown
    assert sorted(path.name for path in here.iterdir()) == [DRAFT]
    if way != "killed":
        assert f"{DRAFT} holds your answers" in shown
    with started(here) as terminal:
        shown = terminal.until()
        assert "Going on after 5 answers" in shown
        assert shown.rstrip().splitlines()[-1].startswith("Magnesium")
        terminal.press(b"later\n")
        terminal.rest()


def test_bytes_that_are_no_text_are_asked_again(here: Path) -> None:
    with started(here) as terminal:
        terminal.until()
        terminal.press(b"\xff\xfe\n")
        assert "Please type one of the codes" in terminal.until()
        terminal.press(b"later\n")
        assert terminal.rest()[0] == 0


def test_figures_that_cannot_be_true_are_asked_again(here: Path) -> None:
    with started(here) as terminal:
        terminal.until()
        for line in ("en", "", "", "sample"):
            terminal.type(line)
        # g/L for mg/L: far above what any water holds
        shown = terminal.type("62 g/l")
        assert "Look again at figure and unit" in " ".join(shown.split())
        assert "Calcium" in shown.splitlines()[-1]
        assert "Magnesium" in terminal.type("62 mg/l")
        assert "Magnesium" in terminal.type("9.5 furlongs")
        # a figure of another row is taken for that row
        assert "sodium: 21 mg/l" in (shown := terminal.type("Natrium 21 mg/l"))
        assert "Magnesium" in shown.splitlines()[-1]
        for line in ("9.5 mg/l", "", "34 mg/l"):
            shown = terminal.type(line)
        # SO4-S: 52 mg/L of sulfate hold 17.4 mg/L of sulfur
        terminal.type("17.4 mg/l")
        terminal.type("4.3 mg/l")
        assert "As CaCO3 or as HCO3?" in terminal.type("135 mg/l")
        assert "unbalanced" in terminal.type("135 mg/l as CaCO3")
        assert "pH" in terminal.type("76").splitlines()[-1]
        terminal.type("7.6")
        terminal.type("0")
        shown = " ".join(terminal.type("no").split())
        assert "These figures cannot all be true" in shown
        assert "sulfate is printed as sulfur" in shown
        shown = terminal.type("Sulphate 52 mg/l")
        assert "balanced" in shown
        assert "Do you sparge?" in shown
        terminal.press(b"later\n")
        assert terminal.rest()[0] == 0


def test_answers_that_cannot_be_true_are_refused_unless_kept(run: Run, here: Path) -> None:
    wrong = answers_file("en").replace("52 mg/l", "17.4 mg/l").replace("average", "sample")
    (here / "answers.txt").write_text(wrong)
    result = run("start", "--answers", "answers.txt")
    assert (result.code, result.out) == (2, b"")
    assert "cannot all be true" in result.err
    assert not (here / TAP).exists()
    (here / "answers.txt").write_text(f"{wrong}\nkeep: yes\n")
    assert run("start", "--answers", "answers.txt").code == 0


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("calcium: 62 furlongs", "line 2: not understood"),
        ("calcium 62 mg/l", "no colon"),
        ("unicorns: 3", "no question"),
        ("shelf: moon dust", "not a salt or acid"),
        ("shelf: lactic acid", "How strong"),
        ("sparge: perhaps", "yes or no"),
        ("crush: dusty", "not understood"),
        ("grain absorption: 500", "not understood"),
        ("kind: both", "sample or average"),
        ("language: Klingon", "one of the codes"),
        ("calcium: 62 g/l", "Look again"),
        (f"name: {'x' * 400}", "longer than"),
    ],
)
def test_what_is_wrong_in_a_file_of_answers_is_said_with_its_line(
    run: Run, here: Path, line: str, said: str
) -> None:
    (here / "answers.txt").write_text(f"# mine\n{line}\n")
    result = run("start", "--answers", "answers.txt")
    assert (result.code, result.out) == (2, b"")
    assert said.casefold() in result.err.casefold()
    assert "line 2" in result.err
    assert sorted(path.name for path in here.iterdir()) == ["answers.txt"]


@pytest.mark.parametrize("data", [b"", b"\xff\xfe\x00", b"\x1b[2J: \x1b[2J\n", b"a:" * 40_000])
def test_no_file_of_answers_brings_it_down(run: Run, here: Path, data: bytes) -> None:
    (here / "answers.txt").write_bytes(data)
    result = run("start", "--answers", "answers.txt")
    assert (result.code, result.out) == (2, b"")
    assert all(letter.isprintable() or letter == "\n" for letter in result.err)


def test_without_a_terminal_it_names_the_other_way(run: Run, here: Path) -> None:
    result = run("start")
    assert (result.code, result.out) == (2, b"")
    assert "--answers FILE" in result.err


def test_a_stranger_s_file_is_not_taken_for_kept_answers(here: Path) -> None:
    (here / DRAFT).write_text("mine")
    with started(here) as terminal:
        code, shown = terminal.rest()
    assert code == 2
    assert "move it away" in shown
    assert (here / DRAFT).read_text() == "mine"


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_figure_is_asked_for_in_words_that_are_understood(language: str) -> None:
    for question in (item for item in QUESTIONS if item.group == "figures"):
        for name in names_of(question.id, language):
            answers = Answers()
            value = "7.6" if question.id == "ph" else "2 mmol/l" if (
                question.id == "alkalinity") else "2 mg/l"  # fmt: skip
            assert list(take_lines(answers, f"{name}: {value}")) == []
            assert answers.rows
