"""Patterns of the ignore file, compared with what Git itself ignores."""

from __future__ import annotations

import re
import shutil
import subprocess
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from recipe_tools.archive.ignore_rules import IgnoreRules, ignored, of_patterns, parse

GIT = shutil.which("git")
needs_git = pytest.mark.skipif(GIT is None, reason="Git is not installed")

PATHS = (
    "mild.xml",
    "mild.json",
    "ales/mild.xml",
    "ales/old/mild.xml",
    "ales/old/deep/stout.json",
    "old/ales/bitter.xml",
    "a-b.xml",
    "[x].xml",
    "# notes.xml",
    "!best.xml",
    "two words.xml",
    "Ünder.xml",
)


@pytest.fixture(scope="module")
def repository(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A repository with a file at each path."""
    assert GIT is not None
    folder = tmp_path_factory.mktemp("repository")
    subprocess.run([GIT, "init", "-q", str(folder)], check=True)
    for path in PATHS:
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_text("x")
    return folder


def ignored_by_git(repository: Path, patterns: str) -> set[str]:
    """Return the paths that ``git check-ignore`` names under these patterns."""
    assert GIT is not None
    (repository / ".gitignore").write_text(patterns, "utf-8")
    done = subprocess.run(
        [GIT, "-c", "core.quotePath=false", "check-ignore", "--no-index", "-z", "--stdin"],
        cwd=repository,
        input="\0".join(PATHS),
        capture_output=True,
        text=True,
        encoding="utf-8",
    )
    return set(done.stdout.split("\0")) - {""}


def ignored_here(rules: IgnoreRules) -> set[str]:
    """Return the paths that a walk with these rules leaves out: also those in ignored folders."""
    found = set()
    for path in PATHS:
        parts = path.split("/")
        folders = ["/".join(parts[:end]) for end in range(1, len(parts))]
        if any(ignored([rules], folder, folder=True) for folder in folders) or ignored(
            [rules], path, folder=False
        ):
            found.add(path)
    return found


@needs_git
@pytest.mark.parametrize(
    "patterns",
    [
        "*.xml",
        "*.xml\n!mild.xml",
        "/mild.xml",
        "old/",
        "old",
        "/old",
        "ales/old",
        "ales/**",
        "**/old/**",
        "**/mild.xml",
        "ales/**/mild.xml",
        "ales/*/mild.xml",
        "a?b.xml",
        "a[!x]b.xml",
        "a[a-z-]b.xml",
        r"\[x\].xml",
        "[[]x].xml",
        r"\# notes.xml",
        "# notes.xml",
        r"\!best.xml",
        r"ales\/mild.xml",
        r"\/mild.xml",
        r"ales\/",
        r"old\/**\/bitter.xml",
        "two words.xml   ",
        "[[:upper:]]*.xml",
        "[[:alpha:]]ild.*",
        "[unclosed.xml",
        "mild.xml\\",
        "ales/\n!ales/mild.xml",
        "*\n!*/\n!*.json",
        "",
        "/",
        "**",
        "**/",
        "Ü*",
        "*.XML",
    ],
)
def test_patterns_ignore_what_git_ignores(repository: Path, patterns: str) -> None:
    assert ignored_here(parse(patterns)) == ignored_by_git(repository, patterns)


BOUNDED = re.compile(r"(?:^|/)\*\*(?=/|$)")

# Git keeps to bytes where this keeps to letters, so that the letters drawn are ASCII.
PIECES = st.sampled_from(
    ["*", "**", "?", "/", "a", "b", "-", ".xml", "mild", "ales", "old", "[a-m]", "[!a]", "\\[", "x"]
)


@needs_git
@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(st.tuples(st.booleans(), st.lists(PIECES, min_size=1, max_size=5)), max_size=3))
def test_drawn_patterns_ignore_what_git_ignores(
    repository: Path, drawn: list[tuple[bool, list[str]]]
) -> None:
    # By its manual Git takes two stars beside a letter for one; what it does varies by version.
    assume(all("**" not in BOUNDED.sub("/", "".join(pieces)) for _, pieces in drawn))
    text = "\n".join(("!" if keeps else "") + "".join(pieces) for keeps, pieces in drawn)
    assert ignored_here(parse(text)) == ignored_by_git(repository, text)


def test_rules_of_a_folder_hold_below_it_and_win_over_those_above() -> None:
    above, below = parse("*.xml"), parse("!mild.xml", "ales/")
    assert not ignored([above, below], "ales/mild.xml", folder=False)
    assert ignored([above, below], "mild.xml", folder=False)
    assert ignored([above, below], "ales/bitter.xml", folder=False)


@pytest.mark.parametrize("pattern", [r"\/0", r"a\/b", r"\/", r"a\/\/", r"\\\/x", r"[\/]", r"a/\/*"])
def test_a_backslash_before_a_slash_is_no_fault(pattern: str) -> None:
    for rules in (parse(pattern), of_patterns([pattern])):
        for path in ("a", "a/b", "[", "0"):
            assert ignored([rules], path, folder=False) is (pattern == r"a\/b" and path == "a/b")


def test_a_hostile_pattern_takes_no_time() -> None:
    rules = of_patterns(["*a" * 60 + "b", "**/a/" * 40 + "b"])
    start = time.perf_counter()
    rules.verdict("a" * 255, folder=False)
    rules.verdict("a/" * 500 + "a", folder=False)
    assert time.perf_counter() - start < 0.5
