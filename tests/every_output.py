"""Every kind of output for a folder of recipes; ``python -m tests.every_output RECIPES OUT``.

Run in the folder that holds RECIPES, so that paths in reports are the same everywhere.
"""

from __future__ import annotations

import contextlib
import io
import sys
from pathlib import Path

from recipe_tools import cli
from recipe_tools.checking import catalogue
from recipe_tools.reports import REPORTS
from recipe_tools.rules.examples import example_file
from tests.standards import REPOSITORY

_SUFFIXES = (".xml", ".json", ".toml")
_DOSED = ("examples", "rules/addition-s", "rules/ions-c")
_DAY = ("--today", "2026-12-01")
_TWO_PREFIXES = b"""<RECIPES xmlns:c="urn:one" xmlns:d="urn:two"><RECIPE><NAME>Weir Mild</NAME>\
<VERSION>1</VERSION><c:NOTES>one</c:NOTES><d:NOTES>two & more</d:NOTES></RECIPE></RECIPES>"""


def write_corpus(folder: Path) -> None:
    """Write the example recipes, the files of the readers' tests and the rules' own examples."""
    for name in ("examples", "tests/files"):
        for path in sorted((REPOSITORY / name).rglob("*")):
            if path.suffix in _SUFFIXES:
                place = folder / path.relative_to(REPOSITORY)
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(path.read_bytes())
    for rule in catalogue().values():
        name, data = example_file(rule.fails)
        place = folder / "rules" / rule.id.replace("/", "-") / name
        place.parent.mkdir(parents=True)
        place.write_bytes(data)
    (folder / "two-prefixes.xml").write_bytes(_TWO_PREFIXES)


def write_outputs(recipes: str, out: Path) -> None:
    """Write what each command prints, and each report, into a folder."""
    out.mkdir()
    reports = [f"--output={name}={out / f'check.{name}'}" for name in REPORTS]
    _run(out / "check", "check", recipes, "--verbose", "--confidence=possible", *reports, *_DAY)
    kinds = [f"--output={name}={out / f'audit.{name}'}" for name in ("json", "csv", "html")]
    _run(out / "audit", "audit", recipes, "--jobs=1", *kinds, *_DAY)
    two = [f"{recipes}/examples/inbox/{name}" for name in ("market-day-pale.xml", "heron-ipa.json")]
    kinds = [f"--output={name}={out / f'compare.{name}'}" for name in ("json", "markdown", "html")]
    _run(out / "compare", "compare", *two, *kinds)
    for path in sorted(Path(recipes).rglob("*")):
        name = path.relative_to(recipes).as_posix()
        place = out / name.replace("/", "-")
        if path.suffix == ".toml":
            if path.name != "recipe-tools.toml":
                for kind in ("text", "json"):
                    _run(Path(f"{place}.{kind}"), "water", str(path), f"--format={kind}")
        elif path.suffix in _SUFFIXES:
            _run(Path(f"{place}.diff"), "annotate", str(path), *_DAY)
            if name.startswith(_DOSED):
                kinds = [f"--output={kind}={place}.{kind}" for kind in ("json", "html")]
                _run(Path(f"{place}.dose"), "dose", str(path), *kinds)


def _run(place: Path, *arguments: str) -> None:
    bytes_out, text_err = io.BytesIO(), io.StringIO()
    text_out = io.TextIOWrapper(bytes_out, encoding="utf-8", errors="surrogateescape")
    with contextlib.redirect_stdout(text_out), contextlib.redirect_stderr(text_err):
        code = cli.run(arguments)
    text_out.flush()
    Path(f"{place}.out").write_bytes(bytes_out.getvalue())
    Path(f"{place}.err").write_text(f"{text_err.getvalue()}exit {code}\n", encoding="utf-8")


if __name__ == "__main__":
    write_outputs(sys.argv[1], Path(sys.argv[2]))
