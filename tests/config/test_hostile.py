"""A configuration from a stranger: sizes, depths, links, special files, and the search for it."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from recipe_tools.config import ConfigError, find_config, load_config
from recipe_tools.config.load import options_from_table
from recipe_tools.path_globs import path_matches
from recipe_tools.toml_in import MAX_BYTES, TomlError, parse_toml


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    folder = tmp_path / "club"
    folder.mkdir()
    (folder / ".git").mkdir()
    return folder


def refused(path: Path) -> str:
    with pytest.raises(ConfigError) as caught:
        load_config(path)
    return str(caught.value)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"a." * 20_000 + b"a = 1", "nested more than"),
        (b"[" + b"a." * 20_000 + b"a]", "nested more than"),
        (b"[[" + b"a." * 20_000 + b"a]]", "nested more than"),
        (b"water = " + b"[" * 100_000, "nested more than"),
        (b"water = " + b"{a = " * 20_000, "nested more than"),
        (b"'a'." * 20_000 + b"a = 1", "nested more than"),
        (b'"a" . ' * 20_000 + b"a = 1", "nested more than"),
        (
            b'x = """' + b"\n" * 10 + b'"""\n' + b"b." * 100 + b"b = 1",
            "nested more than 16 deep (line 12)",
        ),
        (b"a = 1\nb = \x00", "NUL character (line 2)"),
        (b"a = 1\n\xff\xfe", "not UTF-8 (line 2)"),
        (b"\xff\xfea\x00=\x001\x00", "UTF-16"),
        (b"a = 1\na = 2\n", "sets a key twice"),
        (b"a = \n", "not valid TOML (line 1, column 5)"),
        (b"a = " + b"9" * 10_000, "not valid TOML"),
        (b"a = 2024-13-45", "not valid TOML"),
        (b'a = "unterminated', "not valid TOML"),
    ],
)
def test_hostile_contents(repository: Path, content: bytes, said: str) -> None:
    path = repository / "recipe-tools.toml"
    path.write_bytes(content)
    started = time.perf_counter()
    assert said in refused(path)
    assert time.perf_counter() - started < 5.0


def test_the_depth_is_counted_before_the_parser_sees_it() -> None:
    # The standard parser takes 1.5 GB for this; a limit of 400 MB would stop it.
    code = (
        "import resource; resource.setrlimit(resource.RLIMIT_AS, (400_000_000, 400_000_000));"
        "from recipe_tools.toml_in import TomlError, parse_toml\n"
        "try: parse_toml(b'a.' * 20_000 + b'a = 1')\n"
        "except TomlError: print('refused')"
    )
    root = str(Path(__file__).parents[2])
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=root
    )
    assert result.stdout.strip() == "refused", result.stderr


def test_dots_in_strings_and_comments_and_numbers_are_no_depth() -> None:
    dots = "a." * 100
    text = (
        f"a = \"{dots}\" # {dots}\nb = \"\"\"\n{dots}\n\"\"\"\nc = '{dots}'\nd = '''\n{dots}'''\n"
        f"e = [{', '.join(['1.5'] * 200)}]\n"
    )
    assert set(parse_toml(text.encode())) == set("abcde")


def test_a_byte_order_mark_and_crlf_are_passed_over() -> None:
    assert parse_toml(b"\xef\xbb\xbf[water]\r\nrecords = 'source'\r\n") == {
        "water": {"records": "source"}
    }


def test_size(repository: Path) -> None:
    path = repository / "recipe-tools.toml"
    path.write_bytes(b"#" * MAX_BYTES)
    load_config(path)
    path.write_bytes(b"#" * (MAX_BYTES + 1))
    assert "larger than 262144 bytes" in refused(path)


def test_a_full_file_of_keys_is_read_in_reasonable_time() -> None:
    text = b"\n".join(b"[a%d]" % n for n in range(20_000))
    started = time.perf_counter()
    with pytest.raises(ConfigError, match="not known here"):
        options_from_table(parse_toml(text))
    assert time.perf_counter() - started < 10.0


def test_special_files(repository: Path) -> None:
    path = repository / "recipe-tools.toml"
    assert "does not exist" in refused(path)
    path.mkdir()
    assert "not a regular file" in refused(path)
    path.rmdir()
    os.mkfifo(path)
    assert "not a regular file" in refused(path)


def test_a_link_out_of_the_repository_is_not_followed(repository: Path) -> None:
    outside = repository.parent / "outside.toml"
    outside.write_text("[water]\nrecords = 'source'\n")
    path = repository / "recipe-tools.toml"
    path.symlink_to(outside)
    assert "leads out of the repository" in refused(path)
    path.unlink()
    inside = repository / "shared.toml"
    inside.write_text("[water]\nrecords = 'source'\n")
    path.symlink_to(inside)
    assert load_config(path).records == "source"
    path.unlink()
    path.symlink_to(path)
    refused(path)


def test_a_report_outside_the_repository_is_not_read(repository: Path) -> None:
    outside = repository.parent / "secret.toml"
    outside.write_text('token = "hunter2"\n')
    path = repository / "recipe-tools.toml"
    (repository / "link.toml").symlink_to(outside)
    for name in ("../secret.toml", str(outside), "link.toml", "a/../../secret.toml"):
        path.write_text(f"[water]\nreport = {name!r}\n")
        found = refused(path)
        assert "lies outside the repository" in found
        assert "hunter2" not in found and "token" not in found
    path.write_text("[water]\nreport = '.git/config'\n")
    assert "not the name of a .toml file" in refused(path)
    path.write_text('[water]\nreport = "a\\u0000.toml"\n')
    refused(path)


def test_a_report_that_is_no_report_is_not_quoted(repository: Path) -> None:
    (repository / "tap.toml").write_text('name = "x"\ncalcium = "hunter2"\n')
    path = repository / "recipe-tools.toml"
    path.write_text("[water]\nreport = 'tap.toml'\n")
    found = refused(path)
    assert "water.report: calcium" in found
    assert "hunter2" not in found


def test_the_nearest_configuration_within_the_repository(repository: Path) -> None:
    inner = repository / "ales" / "dark"
    inner.mkdir(parents=True)
    above = repository.parent / "recipe-tools.toml"
    above.write_text("")
    assert find_config(inner / "stout.xml") is None
    at_root = repository / "recipe-tools.toml"
    at_root.write_text("")
    assert find_config(inner / "stout.xml") == at_root
    assert find_config(inner) == at_root
    nearer = repository / "ales" / "recipe-tools.toml"
    nearer.write_text("")
    assert find_config(inner / "stout.xml") == nearer


def test_outside_any_repository_the_search_goes_up_but_not_into_shared_folders(
    tmp_path: Path,
) -> None:
    inner = tmp_path / "shared" / "mine" / "ales"
    inner.mkdir(parents=True)
    mine = tmp_path / "shared" / "mine" / "recipe-tools.toml"
    mine.write_text("")
    assert find_config(inner / "mild.xml") == mine
    mine.unlink()
    planted = tmp_path / "shared" / "recipe-tools.toml"
    planted.write_text("")
    (tmp_path / "shared").chmod(0o777)
    assert find_config(inner / "mild.xml") != planted


@pytest.mark.parametrize(
    ("glob", "path", "matches"),
    [
        ("*.xml", "mild.xml", True),
        ("*.xml", "ales/mild.xml", True),
        ("ales/*.xml", "ales/mild.xml", True),
        ("ales/*.xml", "ales/dark/mild.xml", False),
        ("ales/**/*.xml", "ales/mild.xml", True),
        ("ales/**/*.xml", "ales/a/b/mild.xml", True),
        ("ales/**", "ales/a/b/mild.xml", True),
        ("ales/", "ales/a/mild.xml", True),
        ("ales/", "lagers/a.xml", False),
        ("ales/", "ales", False),
        ("ales/**", "ales", False),
        ("./ales/*", "ales/x", True),
        ("**/dark/*", "a/dark/x", True),
        ("**/dark/*", "dark/x", True),
        ("m?ld.xml", "mild.xml", True),
        ("m?ld.xml", "mld.xml", False),
        ("*a*b*c", "xaxbxc", True),
        ("*a*b*c", "xaxbx", False),
        ("[a].xml", "a.xml", False),
        ("[a].xml", "[a].xml", True),
        ("", "a.xml", False),
        ("MILD.xml", "mild.xml", False),
    ],
)
def test_globs(glob: str, path: str, matches: bool) -> None:
    assert path_matches(glob, path) is matches


def test_globs_take_bounded_time() -> None:
    started = time.perf_counter()
    assert not path_matches("**/a/" * 50 + "b", "a/" * 400 + "c")
    assert not path_matches("*a" * 100 + "b", "a" * 4_000)
    assert time.perf_counter() - started < 2.0


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.binary(max_size=200)
    | st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace"))
)
def test_any_bytes_give_a_table_or_a_toml_error(data: bytes) -> None:
    try:
        assert isinstance(parse_toml(data), dict)
    except TomlError as error:
        assert "line" in str(error) or str(error)
