"""README and manual: up to date, every line works as written, every link leads somewhere."""

from __future__ import annotations

import re
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest
from lxml import etree

from recipe_tools.cli.subjects import TOPICS
from tests.cli.conftest import Run
from tests.pages import MANUAL, PICTURE, README, pages
from tests.standards import REPOSITORY

TEXTS = (README, *sorted(MANUAL.glob("*.md")))
LINES = [
    line
    for block in re.findall(r"^```sh\n(.*?)^```$", README.read_text("utf-8"), re.M | re.S)
    for line in block.splitlines()
]


def test_pages_are_up_to_date() -> None:
    stale = [path.name for path, text in pages() if path.read_text("utf-8") != text]
    assert stale == [], "run python -m tests.pages"


def test_every_line_of_the_readme_works_as_written_after_the_first(run: Run, here: Path) -> None:
    first, tests, *rest = LINES
    assert first.endswith(".venv/bin/recipe-tools check examples")
    assert tests.endswith(".venv/bin/python -m pytest -q")
    assert len(rest) > 12
    shutil.copytree(REPOSITORY / "examples", here / "examples")
    for line in rest:
        words, _, file = line.partition(" > ")
        program, *arguments = shlex.split(words)
        assert program == "recipe-tools"
        result = run(*arguments)
        # The faults of the examples are findings; anything else would be a line that fails.
        assert result.code in (0, 1), f"{line}: {result.err}"
        assert result.out or result.err, line
        if file:
            (here / file).write_bytes(result.out)


def test_windows_is_told_the_same_two_commands() -> None:
    windows = re.findall(r"^py -m venv .*", README.read_text("utf-8"), re.MULTILINE)
    told = [
        line.replace("python3 -m", "py -m")
        .replace(" && ", "; ")
        .replace(".venv/bin/", ".venv\\Scripts\\")
        .replace("'", '"')
        for line in LINES[:2]
    ]
    assert windows == told


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.name)
def test_links_lead_to_files(path: Path) -> None:
    targets = re.findall(r"\]\(([^)#:]+)\)", path.read_text("utf-8"))
    assert [target for target in targets if not (path.parent / target).exists()] == []


def test_the_pages_of_the_manual_are_the_subjects_of_explain(run: Run) -> None:
    assert {path.stem for path in MANUAL.glob("*.md")} == set(TOPICS)
    listed = run("explain").text
    assert [line.split()[0] for line in listed.splitlines()] == list(TOPICS)
    assert [name for name in TOPICS if f"manual/{name}.md" not in README.read_text("utf-8")] == []


@pytest.mark.parametrize("name", TOPICS)
def test_a_page_is_markdown_in_the_file_and_plain_in_a_terminal(run: Run, name: str) -> None:
    raw = (MANUAL / f"{name}.md").read_text("utf-8")
    assert raw.startswith("# ")
    shown = run("explain", name)
    assert shown.code == 0
    assert shown.text.startswith(raw[2:].partition("\n")[0])
    assert not re.search(r"^#|^```|<!--", shown.text, re.MULTILINE)
    found = run("explain", name, "--format", "json").json
    assert found == {"topic": name, "text": raw}


def test_the_settings_shown_are_settings_that_are_read(run: Run, here: Path, clean: Path) -> None:
    text = (MANUAL / "settings.md").read_text("utf-8")
    (example,) = re.findall(r"^```toml\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    (here / "recipe-tools.toml").write_text(example, "utf-8")
    shutil.copy(REPOSITORY / "examples" / "club" / "aldermoor-tap.toml", here / "tap.toml")
    assert run("check", str(clean), "--fail-on", "error").code == 0
    # The table names every table of the example.
    assert [name for name in tomllib.loads(example) if f"[{name}]" not in text] == []


def test_the_picture_shows_what_was_worked_out_by_hand() -> None:
    root = etree.parse(PICTURE).getroot()
    texts = [text.strip() for text in root.itertext() if text.strip()]
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    # pH 5.756 and 104 mg/L of calcium: tests/test_worked_example.py works them out.
    assert "5.76" in texts
    assert "104" in texts
    # It loads nothing from anywhere.
    assert not re.search(rb"href|url\(|@import", PICTURE.read_bytes())
