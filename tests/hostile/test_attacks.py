"""One test for each way in which a file of a stranger may try to take the machine or the report."""

from __future__ import annotations

import bz2
import gc
import gzip
import io
import json
import os
import re
import socket
import time
import tracemalloc
import zipfile
from pathlib import Path
from typing import Any

import pytest

from recipe_tools import reference
from recipe_tools.brewday.source import is_pure_water_name
from recipe_tools.checking import check_bytes
from recipe_tools.config import Options
from recipe_tools.formats.deviation_examples import PLAIN_TEXT
from recipe_tools.formats.numbers import is_not_finite, written_number
from recipe_tools.limits import Limits
from recipe_tools.recipe import Style
from recipe_tools.reports import REPORTS
from recipe_tools.rules.examples import PLAIN_RECIPE, document, dose, merge_patch, more_additions
from tests.cli.conftest import Run
from tests.hostile.fenced import assert_told, fenced
from tests.hostile.soundness import SMALL, assert_sound

SECRET = "aldermoor-cellar-key"
PLAIN = document(PLAIN_RECIPE)


def with_doctype(doctype: str, name: str) -> bytes:
    head, root, rest = PLAIN_TEXT.partition("<RECIPES>")
    return (head + doctype + root + rest.replace("Weir Bitter", name)).encode()


def every_report(run: Run, *arguments: str) -> str:
    """Return what each format says about the same files, one after the other."""
    results = [run("check", *arguments, "--format", name) for name in REPORTS]
    assert {result.code for result in results} <= {0, 1, 3}
    return "\n".join(result.text + result.err for result in results)


def test_an_entity_bomb_beside_a_good_recipe(here: Path) -> None:
    bomb = '<!DOCTYPE r [<!ENTITY a "beer">' + "".join(
        f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(12)
    )
    (here / "bomb.xml").write_bytes(with_doctype(bomb + "]>", "&m;"))
    (here / "good.json").write_bytes(PLAIN)
    report = assert_told(fenced("check", ".", "--format", "json", cwd=here, megabytes=300), 3)
    files = {file["path"]: file["status"] for file in json.loads(report)["files"]}
    assert files == {"bomb.xml": "not_checked", "good.json": "checked"}


def test_a_quadratic_blow_up_without_nesting(here: Path) -> None:
    text = f'<!DOCTYPE r [<!ENTITY a "{"x" * 50_000}">]>'
    (here / "a.xml").write_bytes(with_doctype(text, "&a;" * 50_000))
    assert_told(fenced("check", "a.xml", cwd=here, megabytes=300), 3)


@pytest.mark.parametrize(
    "doctype",
    [
        '<!DOCTYPE r [<!ENTITY x SYSTEM "{url}">]>',
        '<!DOCTYPE r [<!ENTITY % x SYSTEM "{url}"> %x;]>',
        '<!DOCTYPE r SYSTEM "{url}">',
        "<!DOCTYPE r [<!ENTITY % a \"<!ENTITY x SYSTEM '{url}'>\"> %a;]>",
        '<?xml-stylesheet href="{url}" type="text/xsl"?>',
    ],
)
def test_no_local_file_reaches_a_report(doctype: str, run: Run, here: Path) -> None:
    secret = here / "secret.txt"
    secret.write_text(SECRET)
    (here / "a.xml").write_bytes(with_doctype(doctype.format(url=secret.as_uri()), "&x;"))
    assert SECRET not in every_report(run, "a.xml")


def test_xinclude_includes_nothing(run: Run, here: Path) -> None:
    (here / "secret.txt").write_text(SECRET)
    include = (
        '<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" parse="text" href="secret.txt"/>'
    )
    (here / "a.xml").write_text(PLAIN_TEXT.replace("Weir Bitter", include))
    assert SECRET not in every_report(run, "a.xml")


@pytest.mark.parametrize("pack", [gzip.compress, bz2.compress])
def test_a_compressed_bomb_stays_packed(pack: Any, here: Path) -> None:
    (here / "a.xml").write_bytes(pack(b"<RECIPES>" + b" " * 200_000_000))
    report = assert_told(fenced("check", "a.xml", cwd=here, megabytes=300, seconds=20), 3)
    assert "archive" in report


def zipped(members: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def test_a_zip_bomb_is_told_and_the_other_members_are_checked(here: Path) -> None:
    bomb = b"<RECIPES>" + b" " * 200_000_000
    (here / "a.zip").write_bytes(zipped({"bomb.xml": bomb, "good.json": PLAIN}))
    result = fenced("audit", "a.zip", "--format", "json", cwd=here, megabytes=400)
    report = json.loads(assert_told(result, 3))
    files = {file["path"]: file["status"] for file in report["files"]}
    assert files == {"a.zip/bomb.xml": "not_checked", "a.zip/good.json": "checked"}


def test_a_zip_member_cannot_leave_its_archive(run: Run, here: Path) -> None:
    (here / "in").mkdir()
    names = ("../outside.json", "/outside.json", "a/../../outside.json", "..\\outside.json")
    (here / "in" / "a.zip").write_bytes(zipped(dict.fromkeys(names, PLAIN)))
    result = run("audit", "in/a.zip", "--format", "json", "--output", "html=report.html")
    assert result.code == 3
    assert all(file["status"] == "not_checked" for file in result.json["files"])
    assert sorted(path.name for path in here.rglob("*")) == ["a.zip", "in", "report.html"]


@pytest.mark.parametrize(
    "data",
    [
        b"<A>" * 100_000,
        b"<A>" * 100_000 + b"</A>" * 100_000,
        b"[" * 1_000_000,
        b'{"beerjson":' * 100_000,
        b'{"beerjson":{"version":1,"recipes":[' + b"[" * 5_000 + b"]" * 5_000 + b"]}}",
    ],
)
def test_deep_nesting(data: bytes, here: Path) -> None:
    (here / "deep").write_bytes(data)
    assert_told(fenced("check", "deep", "--format", "json", cwd=here, seconds=20), 3)


@pytest.mark.parametrize(
    "number",
    ["9" * 5_000, "1e999", "-1e999", "1e308", "0." + "0" * 5_000 + "1", "5e-324", "0x1p1023", "٣"],
)
def test_huge_numbers_in_both_standards(number: str) -> None:
    assert_sound(PLAIN.replace(b'"value": 4.0', f'"value": {number}'.encode()), SMALL)
    for old in ("3.600", "20.0", "0.004", "25.0", ">60.0<"):
        new = f">{number}<" if old.startswith(">") else number
        assert_sound(PLAIN_TEXT.replace(old, new).encode(), SMALL)


def test_huge_names_do_not_flood_the_terminal(run: Run, here: Path) -> None:
    name = "x" * 1_000_000
    (here / "a.xml").write_text(PLAIN_TEXT.replace("Gypsum", name).replace("Weir Bitter", name))
    started = time.perf_counter()
    result = run("check", "a.xml")
    assert time.perf_counter() - started < 5.0
    assert len(result.out) < 10 * len(name)


@pytest.mark.parametrize("format_name", ["json", "xml"])
def test_a_hundred_thousand_additions(format_name: str, here: Path) -> None:
    if format_name == "json":
        one = json.dumps(dose("Gypsum", 0.1, "g"))
        salts = json.dumps(merge_patch(PLAIN_RECIPE, more_additions())["ingredients"])
        head, _, tail = salts.partition('"miscellaneous_additions": [')
        text = f'{head}"miscellaneous_additions": [{", ".join([one] * 100_000)}, {tail}'
        recipe = dict(PLAIN_RECIPE) | {"ingredients": "HERE"}
        data = document(recipe).decode().replace('"HERE"', text)
    else:
        start, end = PLAIN_TEXT.index("   <MISC>"), PLAIN_TEXT.index("  </MISCS>")
        data = PLAIN_TEXT.replace("  </MISCS>", PLAIN_TEXT[start:end] * 100_000 + "  </MISCS>")
    (here / "a").write_text(data)
    result = fenced("check", "a", "--format", "json", cwd=here, megabytes=900)
    report = json.loads(assert_told(result, 3))
    assert "file/too-many-records" in {item["rule"] for item in report["findings"]}


def test_the_limit_of_additions_is_the_one_asked_for(here: Path) -> None:
    recipe = merge_patch(PLAIN_RECIPE, more_additions(*[dose("Gypsum", 0.01, "g")] * 12))
    (here / "a.json").write_bytes(document(recipe))
    for limit, code in (("5", 3), ("50", 0)):
        arguments = ("check", "a.json", "--max-additions", limit, "--fail-on", "never")
        assert_told(fenced(*arguments, cwd=here), code)


@pytest.mark.parametrize(
    "data",
    [
        b'{"beerjson":{"version":1,"recipes":[' + b"[]," * 300_000 + b"[]]}}",
        b'{"beerjson":{"version":1,"recipes":[{'
        + b",".join(b'"k%d":1' % (n // 2) for n in range(200_000))
        + b"}]}}",
        b'{"beerjson":{"version":1,"recipes":[{' + b",".join([b'"k":1'] * 200_000) + b"}]}}",
        b'{"beerjson":{"version":1,"recipes":[{"x":[' + b",".join([b"NaN"] * 200_000) + b"]}]}}",
        b"<RECIPES><RECIPE><NAME>" + b"&" * 2_000_000 + b"</NAME></RECIPE></RECIPES>",
        b"<RECIPES><RECIPE>"
        + b"".join(b"<TAG%d/>" % n for n in range(40_000))
        + b"</RECIPE></RECIPES>",
    ],
    ids=[
        "empty-lists",
        "members-twice",
        "one-member-often",
        "no-numbers",
        "ampersands",
        "unknown-tags",
    ],
)
def test_many_faults_take_time_in_proportion(data: bytes) -> None:
    started = time.perf_counter()
    file = check_bytes(data, "a.json")
    assert time.perf_counter() - started < 20.0
    assert file.findings


PIECES = (
    "a", "1", "1.", "1,", " ", "1 ", "%", "% ", "(", "((a", "-", "a-", "0.1 N ", "10% ", "mol/l ",
    "calcium ", "cacl2 ", "CaCl₂·", "h2o", "malt ", "crystal 1", "20 ", "18B ", "ipa ", "i p a ",
    "\u0301", "acid, ", "ß", "İ", "\n", "°", "1e", "+", "1/", "to ", "2-", "lactic acid 80 % ",
    "calcium chloride 33 % solution ", "campden ", "٣", "\u200b", "target ", "for pale ale ",
    "nan ",
)  # fmt: skip
NAMES = {
    "agent": lambda text: reference.recognise_agent(text),
    "agent-notes": lambda text: reference.recognise_agent("Calcium chloride", text),
    "nearest-agent": lambda text: reference.nearest_agents(text),
    "prose": lambda text: reference.agents_in_prose(text),
    "malt": lambda text: reference.recognise_malt(text, text[:50], None, text),
    "style": lambda text: reference.style_family(
        Style(text, category=text, category_number=text, letter=text, guide=text)
    ),
    "pure-water": is_pure_water_name,
    "number": lambda text: (written_number(text), is_not_finite(text)),
}


@pytest.mark.parametrize("name", NAMES)
def test_no_name_makes_matching_slow(name: str) -> None:
    """With n letters the work must not grow with n squared: 30,000 of them would take minutes."""
    for piece in PIECES:
        for tail in ("", "x", "!", "%"):
            text = piece * (30_000 // len(piece)) + tail
            started = time.perf_counter()
            NAMES[name](text)
            assert time.perf_counter() - started < 2.0, piece


def test_names_of_a_file_are_not_kept_when_the_file_is_done() -> None:
    """A worker checks thousands of files; what it remembers of names must not grow with them."""

    def recipes(number: int) -> list[bytes]:
        text = f"x{number} {'y' * 50_000}"
        xml = re.sub(r">([A-Za-z])", rf">{text}\1", PLAIN_TEXT).replace(
            "<HOPS>", f"<A{text[3:]}/><HOPS>"
        )
        value = json.loads(PLAIN, object_hook=lambda members: _longer(members, text))
        return [xml.encode(), json.dumps(value).encode()]

    for data in recipes(0):
        check_bytes(data, "a")
    tracemalloc.start()
    for number in range(1, 13):
        for data in recipes(number):
            check_bytes(data, "a")
    for data in recipes(0):
        check_bytes(data, "a")
    gc.collect()
    kept = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    assert kept < 3 * sum(map(len, recipes(0)))


def _longer(members: dict[str, Any], text: str) -> dict[str, Any]:
    return {
        key: text + value if isinstance(value, str) and key != "unit" else value
        for key, value in members.items()
    }


def test_a_link_out_of_the_folder_is_not_read(run: Run, here: Path, tmp_path: Path) -> None:
    outside = tmp_path / "secret.json"
    outside.write_bytes(PLAIN.replace(b"Aldermoor", SECRET.encode()))
    club = here / "club"
    club.mkdir()
    (club / "good.json").write_bytes(PLAIN)
    (club / "link.json").symlink_to(outside)
    (club / "loop.json").symlink_to(club / "loop.json")
    (club / "folder").symlink_to(tmp_path)
    (club / "lost.json").symlink_to(here / "nowhere")
    result = run("check", "club", "--format", "json")
    files = {file["path"]: file["status"] for file in result.json["files"]}
    assert files == {
        "club/good.json": "checked",
        "club/link.json": "not_checked",
        "club/loop.json": "not_checked",
        "club/lost.json": "not_checked",
    }
    assert result.code == 3
    assert SECRET not in every_report(run, "club")


def test_pipes_sockets_and_devices_are_told_and_not_waited_for(here: Path) -> None:
    os.mkfifo(here / "pipe.json")
    with socket.socket(socket.AF_UNIX) as listener:
        previous = Path.cwd()
        os.chdir(here)  # the path of a socket may have 107 bytes only
        try:
            listener.bind("socket.json")
        finally:
            os.chdir(previous)
        (here / "null.json").symlink_to("/dev/zero")
        (here / "good.json").write_bytes(PLAIN)
        result = fenced("check", ".", "--format", "json", cwd=here, seconds=20)
    report = json.loads(assert_told(result, 3))
    files = {file["path"]: file["status"] for file in report["files"]}
    assert files.pop("good.json") == "checked"
    assert files == dict.fromkeys(("null.json", "pipe.json", "socket.json"), "not_checked")


@pytest.mark.parametrize("name", ["../x.json", "/etc/x.json", "a/../../x.json", "..\\..\\x.json"])
def test_the_name_for_standard_input_stays_below_the_folder(name: str, run: Run) -> None:
    result = run("check", "-", "--stdin-name", name)
    assert (result.code, result.out) == (2, b"")


def test_copies_are_not_written_outside_the_output_folder(run: Run, here: Path) -> None:
    club = here / "club"
    club.mkdir()
    (club / "a.json").write_bytes(PLAIN)
    kept = here / "kept.json"
    kept.write_bytes(b"mine")
    out = here / "out"
    (out / "club").mkdir(parents=True)
    (out / "club" / "a.json").symlink_to(kept)
    result = run("annotate", "club", "--output-dir", "out")
    assert result.code == 3
    assert kept.read_bytes() == b"mine"


def test_a_larger_limit_reads_what_the_smaller_refused() -> None:
    data = PLAIN + b" " * 5_000
    small = check_bytes(data, "a.json", Options(limits=Limits(max_bytes=len(data) - 1)))
    assert (small.status, [item.rule for item in small.findings]) == (
        "not_checked",
        ["file/too-large"],
    )
    assert check_bytes(data, "a.json", Options(limits=Limits(max_bytes=len(data)))).recipes


@pytest.mark.parametrize(
    ("option", "strict", "wide"),
    [
        ("--zip-members", "1", "2"),
        ("--zip-bytes", "3000000", "7000000"),
        ("--zip-ratio", "2", "5000"),
    ],
)
def test_the_limits_of_zip_archives_can_be_moved(
    option: str, strict: str, wide: str, here: Path, run: Run
) -> None:
    padding = b" " * 3_000_000  # over the size from which on a ratio is judged
    (here / "a.zip").write_bytes(zipped({"a.json": PLAIN + padding, "b.json": PLAIN + padding}))
    arguments = ("audit", "a.zip", "--no-cache", "--format", "json", "--fail-on", "never")
    refused = run(*arguments, "--zip-ratio", "5000", option, strict)
    assert refused.code == 3
    assert any(item["rule"] == "archive/over-limit" for item in refused.json["rules"])
    read = run(*arguments, "--zip-ratio", "5000", option, wide)
    assert read.code == 0
    assert read.json["summary"]["recipes"] == 2


def test_every_limit_is_told_with_the_option_that_moves_it(run: Run) -> None:
    said = run("explain", "limits").text
    for option in ("--max-bytes", "--max-depth", "--max-recipes", "--max-additions"):
        assert option in said
    for option in ("--zip-members", "--zip-bytes", "--zip-ratio"):
        assert f"audit {option}" in " ".join(said.split())
    assert "33,554,432" in said
