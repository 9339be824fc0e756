"""The rooms of the package: imports run one way, only the command line acts on the outside."""

from __future__ import annotations

import ast
import functools
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent / "recipe_tools"

ROOMS: dict[str, tuple[str, ...]] = {
    "recipe": ("recipe",),
    "limits": ("limits",),
    "path_globs": ("path_globs",),
    "key_names": ("key_names",),
    "path_names": ("path_names",),
    "schema_files": ("schema_files",),
    "findings": ("findings",),
    "units": ("units",),
    "quantities": ("quantities",),
    "toml_in": ("toml_in",),
    "reference": ("reference",),
    "chemistry": ("chemistry",),
    "water_report": ("water_report",),
    "water_advice": ("water_advice",),
    "config": ("config",),
    "setting_up": ("setting_up",),
    "readings": ("readings",),
    "baseline": ("baseline",),
    "formats": ("formats",),
    "brewday": ("brewday",),
    "judgement": ("judgement",),
    "rules": ("rules",),
    "dosing": ("dosing",),
    "measuring": ("measuring",),
    "applying": ("applying",),
    "results": ("results",),
    "checking": ("checking",),
    "archive": ("archive",),
    "own_block": ("own_block", "note_additions", "noted_ignores"),
    "editing": ("editing",),
    "annotate": ("annotate",),
    "tidying": ("tidying",),
    "converting": ("converting",),
    "reports": ("reports",),
    "cli": ("cli", "__main__"),
    "public": ("__init__",),
}
"""Room -> its modules and packages directly below recipe_tools."""

FACTS = {"recipe", "limits", "findings"}
COMPUTED = FACTS | {"units", "reference", "chemistry", "config", "brewday"}

MAY_IMPORT: dict[str, set[str]] = {
    "recipe": set(),
    "limits": set(),
    "path_globs": set(),
    "key_names": set(),
    "path_names": set(),
    "schema_files": set(),
    "chemistry": {"units"},
    "findings": {"recipe"},
    "units": set(),
    "quantities": {"units"},
    "toml_in": {"limits", "path_names"},
    "reference": {"recipe", "chemistry", "units"},
    "water_report": {
        "chemistry",
        "findings",
        "key_names",
        "quantities",
        "reference",
        "toml_in",
        "units",
    },
    "readings": {"chemistry", "key_names", "reference", "toml_in"},
    "config": {
        "chemistry",
        "readings",
        "key_names",
        "limits",
        "path_globs",
        "quantities",
        "recipe",
        "reference",
        "toml_in",
        "units",
        "water_report",
    },
    "baseline": {"findings"},
    "own_block": {"recipe"},
    "editing": FACTS | {"formats", "own_block"},
    "formats": FACTS | {"own_block", "units", "reference", "schema_files"},
    "brewday": {
        "recipe",
        "reference",
        "chemistry",
        "config",
        "own_block",
        "readings",
        "water_report",
    },
    "judgement": COMPUTED,
    "rules": COMPUTED | {"judgement", "own_block", "water_report"},
    "dosing": COMPUTED | {"judgement"},
    "measuring": COMPUTED | {"dosing", "editing", "judgement", "readings", "toml_in"},
    "water_advice": COMPUTED | {"checking", "findings", "rules", "water_report"},
    "setting_up": COMPUTED | {"checking", "rules", "toml_in", "water_report"},
    "results": {"findings", "recipe", "brewday", "config"},
    "checking": COMPUTED
    | {"baseline", "formats", "readings", "rules", "results", "path_globs", "path_names"}
    | {"own_block", "water_report"},
    "archive": COMPUTED
    | {
        "baseline",
        "checking",
        "dosing",
        "formats",
        "judgement",
        "key_names",
        "path_globs",
        "path_names",
        "public",
        "results",
    },
    "annotate": COMPUTED | {"checking", "editing", "formats", "own_block", "results", "reports"},
    "converting": FACTS
    | {"brewday", "config", "editing", "formats", "own_block", "schema_files", "tidying", "units"},
    "tidying": FACTS | {"annotate", "checking", "config", "editing", "formats", "units"},
    "applying": COMPUTED | {"dosing", "editing", "formats", "own_block"},
    "reports": COMPUTED
    | {"archive", "checking", "dosing", "judgement", "measuring", "public", "readings", "results"}
    | {"units", "water_advice", "water_report"},
    "cli": {room for room in ROOMS if room != "cli"},
    "public": COMPUTED | {"checking", "results", "formats", "reports", "water_report"},
}
"""Room -> rooms it may import from, whether at the top, inside a function or for types only."""

HEAVY = {
    "pint",
    "highspy",
    "jinja2",
    "platformdirs",
    "jsonschema",
    "jsonschema_rs",
    "click",
    "lxml",
}
XML_READERS = ("formats/beerxml", "formats/xml_", "converting/")

ROOM_OF = {module: room for room, modules in ROOMS.items() for module in modules}


MODULES = sorted(PACKAGE.rglob("*.py"))


@functools.cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


def name_of(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def room_of(path: Path) -> str:
    first = path.relative_to(PACKAGE).with_suffix("").parts[0]
    return ROOM_OF.get(first, "")


def own_imports(tree: ast.AST) -> Iterator[tuple[str, int]]:
    """Yield the modules directly below the package that are imported, with the line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports name the whole path"
            parts = (node.module or "").split(".")
            if parts[0] != "recipe_tools":
                continue
            names = [parts[1]] if len(parts) > 1 else [alias.name for alias in node.names]
            for name in names:
                yield ("__init__" if name.startswith("__") else name), node.lineno
        elif isinstance(node, ast.Import):
            for alias in node.names:
                parts = alias.name.split(".")
                if parts[0] == "recipe_tools":
                    yield (parts[1] if len(parts) > 1 else "__init__"), node.lineno


def runtime_top_level(tree: ast.Module) -> Iterator[tuple[str, int]]:
    """Yield the packages imported when the module is imported, with the line."""
    pending: list[ast.stmt] = list(tree.body)
    while pending:
        node = pending.pop()
        if isinstance(node, ast.Import):
            yield from ((alias.name.split(".")[0], node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield (node.module or "").split(".")[0], node.lineno
        elif isinstance(node, ast.If):
            types_only = isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"
            pending += node.orelse if types_only else [*node.body, *node.orelse]
        elif isinstance(node, ast.Try):
            pending += [*node.body, *node.orelse, *node.finalbody]
            pending += [line for handler in node.handlers for line in handler.body]
        elif isinstance(node, (ast.With, ast.ClassDef)):
            pending += node.body


def test_a_room_imports_only_from_the_rooms_below_it() -> None:
    wrong = [
        f"{name_of(path)}:{line} imports {module}"
        for path in MODULES
        for module, line in own_imports(tree_of(path))
        if ROOM_OF.get(module) not in MAY_IMPORT[room_of(path)] | {room_of(path)}
    ]
    assert wrong == []


def test_no_two_rooms_import_each_other() -> None:
    both = {
        (room, other)
        for room, others in MAY_IMPORT.items()
        for other in others
        if room in MAY_IMPORT[other] and "public" not in (room, other)
    }
    assert both == set()


def test_every_module_has_a_room() -> None:
    tops = {path.relative_to(PACKAGE).with_suffix("").parts[0] for path in MODULES}
    assert tops - set(ROOM_OF) == set()


def rows_of_rooms() -> list[list[str]]:
    """Return the rooms in each row of the table in DEVELOPERS.md, from the bottom up."""
    text = (PACKAGE.parent / "DEVELOPERS.md").read_text("utf-8")
    lines = text.partition("| room | holds |")[2].partition("\n\n")[0].splitlines()[2:]
    return [
        [ROOM_OF[name] for name in re.findall(r"`(\w+)(?:\.py|/)`", line.split("|")[1])]
        for line in lines
    ]


def test_developers_are_told_every_room_from_the_bottom_up() -> None:
    height = {room: row for row, rooms in enumerate(rows_of_rooms()) for room in rooms}
    assert set(ROOMS) - set(height) == {"public"}
    upward = {
        (room, other)
        for room, others in MAY_IMPORT.items()
        for other in others
        if "public" not in (room, other) and height[other] > height[room]
    }
    assert upward == set()


def allowed_on_top(path: Path) -> set[str]:
    allowed = set()
    if room_of(path) == "cli":
        allowed.add("click")
    if name_of(path).startswith(XML_READERS):
        allowed.add("lxml")
    return allowed


def test_heavy_libraries_are_loaded_where_they_are_used() -> None:
    loaded = [
        f"{name_of(path)}:{line} imports {name}"
        for path in MODULES
        for name, line in runtime_top_level(tree_of(path))
        if name in HEAVY - allowed_on_top(path)
    ]
    assert loaded == []


FORBIDDEN_CALLS = {"print", "input", "exit", "quit", "breakpoint"}
FORBIDDEN_ATTRIBUTES = {
    ("sys", "exit"),
    ("sys", "stdout"),
    ("sys", "stderr"),
    ("os", "_exit"),
    ("os", "abort"),
    ("date", "today"),
    ("datetime", "now"),
    ("datetime", "utcnow"),
    ("datetime", "today"),
    ("time", "time"),
    ("time", "localtime"),
    ("time", "gmtime"),
    ("time", "strftime"),
}


def acts_outside(tree: ast.Module) -> Iterator[str]:
    """Yield what only the command line may do, with the line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            if node.func.id in FORBIDDEN_CALLS:
                yield f"{node.lineno} calls {node.func.id}"
        elif isinstance(node, ast.Attribute):
            owner = node.value
            last = owner.id if isinstance(owner, ast.Name) else getattr(owner, "attr", "")
            if (last, node.attr) in FORBIDDEN_ATTRIBUTES:
                yield f"{node.lineno} uses {last}.{node.attr}"
        elif isinstance(node, (ast.Import, ast.ImportFrom)):
            names = [alias.name.split(".")[0] for alias in node.names]
            source = (node.module or "") if isinstance(node, ast.ImportFrom) else ""
            if "click" in names or source.split(".")[0] == "click":
                yield f"{node.lineno} imports click"


def test_nothing_below_the_command_line_prints_exits_or_reads_the_clock() -> None:
    found = [
        f"{name_of(path)}:{deed}"
        for path in MODULES
        if room_of(path) != "cli"
        for deed in acts_outside(tree_of(path))
    ]
    assert found == []


def test_modules_stay_short_enough_to_read() -> None:
    lengths = {name_of(path): len(path.read_text("utf-8").splitlines()) for path in MODULES}
    assert {name: lines for name, lines in lengths.items() if lines > 400} == {}


def imported_anywhere() -> set[str]:
    """Return the packages of others that some module imports, here or inside a function."""
    names = set()
    for path in MODULES:
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Import):
                names |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                names.add((node.module or "").split(".")[0])
    return names - sys.stdlib_module_names - {"recipe_tools"}


def test_dependencies_are_what_is_imported() -> None:
    project = tomllib.loads((PACKAGE.parent / "pyproject.toml").read_text("utf-8"))["project"]
    declared = {re.split("[<>=!~;\\[ ]", line)[0] for line in project["dependencies"]}
    brought_along = {"markupsafe"}  # by jinja2, whose escaping it is
    assert imported_anywhere() - brought_along == declared


def loaded_by(code: str) -> set[str]:
    """Return the top-level packages a fresh interpreter has loaded after running some code."""
    names = "{name.split('.')[0] for name in sys.modules}"
    script = f"{code}\nimport sys\nprint(*sorted({names}), sep='\\n')"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    return set(done.stdout.splitlines())


def test_importing_the_package_loads_nothing_heavy() -> None:
    assert loaded_by("import recipe_tools").isdisjoint(HEAVY)
