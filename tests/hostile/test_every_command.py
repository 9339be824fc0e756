"""Each attack on each command that reads a file: told, bounded, and the file is left as it is."""

from __future__ import annotations

import bz2
import gzip
import json
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from subprocess import CompletedProcess

import pytest

from recipe_tools.formats.deviation_examples import PLAIN_TEXT
from recipe_tools.rules.examples import PLAIN_RECIPE, document, dose, merge_patch, more_additions
from recipe_tools.toml_in import MAX_BYTES
from tests.cli.conftest import Run
from tests.hostile.fenced import assert_told, fenced_each
from tests.hostile.soundness import assert_clean, strict_json
from tests.hostile.test_attacks import SECRET, with_doctype

Results = Mapping[str, CompletedProcess[bytes]]
PLAIN = document(PLAIN_RECIPE)
BOMB = (
    '<!DOCTYPE r [<!ENTITY a "beer">'
    + "".join(f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(12))
    + "]>"
)
BLANKS = b"<RECIPES>" + b" " * 200_000_000

ONE_MORE = document(merge_patch(PLAIN_RECIPE, more_additions(dose("Gypsum", 0.1, "g"))))
ONE = json.dumps(dose("Gypsum", 0.1, "g")).encode()

REFUSED: Mapping[str, bytes] = {
    "entity-bomb": with_doctype(BOMB, "&m;"),
    "quadratic": with_doctype(f'<!DOCTYPE r [<!ENTITY a "{"x" * 50_000}">]>', "&a;" * 50_000),
    "external-entity": with_doctype('<!DOCTYPE r [<!ENTITY x SYSTEM "secret.txt">]>', "&x;"),
    "parameter-entity": with_doctype('<!DOCTYPE r [<!ENTITY % x SYSTEM "secret.txt"> %x;]>', "&x;"),
    "gzip-bomb": gzip.compress(BLANKS),
    "bzip2-bomb": bz2.compress(BLANKS),
    "deep-xml": b"<A>" * 100_000 + b"</A>" * 100_000,
    "deep-json": b"[" * 1_000_000,
    "deep-recipe": b'{"beerjson":{"version":1,"recipes":[' + b"[" * 5_000 + b"]" * 5_000 + b"]}}",
    "many-additions": json.dumps(json.loads(ONE_MORE))
    .encode()
    .replace(ONE, b",".join([ONE] * 100_000)),
}
"""What no command takes for a recipe to work on in full."""

SIZE = 1_000_000
READ: Mapping[str, bytes] = {
    "xinclude": PLAIN_TEXT.replace(
        "Weir Bitter",
        '<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" parse="text" href="secret.txt"/>',
    ).encode(),
    "external-subset": with_doctype('<!DOCTYPE r SYSTEM "secret.txt">', "Weir Bitter"),
    "style-sheet": with_doctype('<?xml-stylesheet href="secret.txt" type="text/xsl"?>', "Weir"),
    "huge-name": PLAIN_TEXT.replace("Gypsum", "x" * SIZE).encode(),
    "slow-name": PLAIN_TEXT.replace("Gypsum", "calcium 10 % " * 30_000).encode(),
    "slow-notes": PLAIN_TEXT.replace(
        "</RECIPE>", f"<NOTES>{'gypsum calcium chloride 5 g ' * 35_000}</NOTES></RECIPE>"
    ).encode(),
    "marks-in-notes": PLAIN_TEXT.replace(
        "</RECIPE>", f"<NOTES>{'recipe-tools ' * 70_000}</NOTES></RECIPE>"
    ).encode(),
    "huge-number": PLAIN.replace(b'"value": 4.0', b'"value": 1e308'),
    "long-number": PLAIN.replace(b'"value": 4.0', b'"value": 4.' + b"0" * 900_000 + b"1"),
    "many-recipes": PLAIN_TEXT.replace(
        "</RECIPES>", "<RECIPE><NAME>x</NAME></RECIPE>" * 3_000 + "</RECIPES>"
    ).encode(),
}
"""What is a recipe, or can be read as one, and takes no more time for it than others."""

COMMANDS = {
    "check": ("check", "a", "--format", "json"),
    "audit": ("audit", "a", "--no-cache", "--format", "json"),
    "annotate": ("annotate", "a", "--format", "json"),
    "in-place": ("annotate", "a", "--in-place", "--accept-repairs", "--format", "json"),
    "copy": ("annotate", "a", "--output-dir", "out", "--format", "json"),
    "tidy": ("tidy", "a", "--meant", "--format", "json"),
    "tidied": ("tidy", "a", "--in-place", "--format", "json"),
    "to-json": ("convert", "a", "--to", "beerjson", "--format", "json"),
    "to-xml": ("convert", "a", "--to", "beerxml", "--output-file", "out/a", "--format", "json"),
    "dose": ("dose", "a", "--format", "json"),
    "apply": ("dose", "a", "--apply", "--in-place", "--format", "json"),
    "accept": ("baseline", "write", "a"),
}


@pytest.fixture
def attacked(here: Path) -> Callable[[bytes], Results]:
    """Run each command on a file, with one beside it that no report may hold anything of."""

    def run_all(data: bytes) -> Results:
        for name in COMMANDS:
            (here / name).mkdir()
            (here / name / "a").write_bytes(data)
            (here / name / "secret.txt").write_text(SECRET)
        return fenced_each(COMMANDS, here, megabytes=700, seconds=180)

    return run_all


@pytest.mark.parametrize("attack", REFUSED)
def test_what_is_refused_is_refused_by_all(
    attack: str, attacked: Callable[[bytes], Results], here: Path
) -> None:
    for command, result in attacked(REFUSED[attack]).items():
        assert_told(result, 3)
        assert b"failed" not in result.stderr, command
        assert SECRET.encode() not in result.stdout + result.stderr, command
        left = {path.relative_to(here / command).as_posix() for path in (here / command).rglob("*")}
        assert left - {"out"} == {"a", "secret.txt"}, command
        assert (here / command / "a").read_bytes() == REFUSED[attack]


@pytest.mark.parametrize("attack", READ)
def test_what_is_read_takes_no_longer_than_others(
    attack: str, attacked: Callable[[bytes], Results], here: Path
) -> None:
    for command, result in attacked(READ[attack]).items():
        assert result.returncode in (0, 1, 3), (command, result.stderr)
        text = assert_told(result, result.returncode)
        assert b"please report" not in result.stdout + result.stderr.lower()
        assert "internal/" not in text
        if text:
            strict_json(text)
        written = [
            path.read_bytes()
            for path in (here / command).rglob("*")
            if path.is_file() and path.name != "secret.txt"
        ]
        said = b"".join([result.stdout, result.stderr, *written])
        assert SECRET.encode() not in said, command


@pytest.mark.parametrize("attack", [*REFUSED, *READ])
def test_no_attack_passes_for_another_kind_of_file(attack: str, run: Run, here: Path) -> None:
    """Reports of water, configurations, accepted findings and earlier reports are read as well."""
    (here / "a.json").write_bytes(PLAIN)
    (here / "odd").write_bytes((dict(REFUSED) | dict(READ))[attack])
    started = time.perf_counter()
    for arguments in (
        ("water", "odd"),
        ("check", "a.json", "--water", "odd"),
        ("dose", "a.json", "--water", "odd"),
        ("check", "a.json", "--config", "odd"),
        ("audit", "a.json", "--config", "odd", "--no-cache"),
        ("annotate", "a.json", "--config", "odd"),
        ("check", "a.json", "--baseline", "odd"),
        ("baseline", "prune", "a.json", "--baseline", "odd"),
        ("audit", "a.json", "--against", "odd", "--no-cache"),
    ):
        result = run(*arguments)
        # A report of water too large to be read is one that could not be checked.
        too_large = arguments[0] == "water" and (here / "odd").stat().st_size > MAX_BYTES
        assert result.code == (3 if too_large else 2)
        assert result.out == b""
        assert_clean(result.err)
    assert time.perf_counter() - started < 15.0
    assert (here / "a.json").read_bytes() == PLAIN


def test_a_link_out_of_the_folder_is_read_by_no_command(
    run: Run, here: Path, tmp_path: Path
) -> None:
    outside = tmp_path / "secret.json"
    outside.write_bytes(PLAIN.replace(b"Aldermoor", SECRET.encode()))
    (here / "a").symlink_to(outside)
    before = outside.read_bytes()
    for name, arguments in COMMANDS.items():
        result = run(*arguments)
        assert result.code == 3, name
        assert SECRET not in result.text + result.err
    assert outside.read_bytes() == before
    assert (here / "a").is_symlink()
    assert not list((here / "out").rglob("a"))
