"""Writes what README.md and the manual show of the program, and the picture in examples/.

Run ``python -m tests.pages`` after a change of any of it: rules, commands, settings, limits, the
text of a report, a picture. A test fails where a page is out of date.
"""

from __future__ import annotations

import contextlib
import dataclasses
import io
import json
import re
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from recipe_tools import cli
from recipe_tools.archive.zip_archive import DEFAULT_ZIP_LIMITS
from recipe_tools.checking import check_file
from recipe_tools.checking.checklist import catalogue
from recipe_tools.cli.subjects import TOPICS
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.reports import render
from recipe_tools.results import Run

REPOSITORY = Path(__file__).resolve().parent.parent
MANUAL = REPOSITORY / "recipe_tools" / "manual"
README = REPOSITORY / "README.md"
SHOWN = "examples/inbox/market-day-pale.xml"
PICTURE = REPOSITORY / "examples" / "pictures" / "market-day-pale.svg"
STYLES = REPOSITORY / "recipe_tools" / "reports" / "templates" / "report.css"
_MARK = "(written by python -m tests.pages)"

_LIMITS: Mapping[str, str] = {
    "max_bytes": "bytes in a file (`--max-bytes`)",
    "max_depth": "elements or members inside one another (`--max-depth`)",
    "max_recipes": "recipes in a file (`--max-recipes`)",
    "max_additions": "additions in a recipe (`--max-additions`)",
    "max_fermentables": "fermentables in a recipe",
    "max_steps": "mash steps in a recipe",
    "max_text": "characters in one text",
    "max_findings_per_rule": "findings of one rule listed for one file",
    "max_members": "files in a zip archive (`audit --zip-members`)",
    "max_total_bytes": "bytes of all files in a zip archive, unpacked (`audit --zip-bytes`)",
    "max_ratio": "bytes unpacked for each byte packed in a zip archive (`audit --zip-ratio`),",
    "ratio_floor": "bytes of a file in it, from which on that is judged",
    "total_floor": "bytes of all files in it, from which on that is judged of the archive",
}


def rules() -> str:
    """Return the table of all rules in Markdown."""
    lines = ["| rule | severity | finds |", "|---|---|---|"]
    for rule in catalogue().values():
        summary = rule.summary.replace("|", "\\|").replace("<", "&lt;")
        lines.append(f"| `{rule.id}` | {rule.severity.word} | {summary} |")
    return "\n".join(lines)


def limits() -> str:
    """Return the table of all limits with their defaults."""
    lines = ["| default | limits |", "|---:|---|"]
    for record in (DEFAULT_LIMITS, DEFAULT_ZIP_LIMITS):
        lines += [
            f"| {getattr(record, field.name):,} | {_LIMITS[field.name]} |"
            for field in dataclasses.fields(record)
        ]
    return "\n".join(lines)


def settings() -> str:
    """Return the table of all settings, from the schema of the configuration."""
    schema = json.loads((REPOSITORY / "schemas" / "config.schema.json").read_text("utf-8"))
    lines = ["| setting | what it is |", "|---|---|"]
    for name, value in schema["properties"].items():
        resolved = _resolved(schema, value)
        several = resolved.get("type") == "array"
        inner = resolved["items"] if several else resolved
        heading = f"[[{name}]]" if several else f"[{name}]"
        lines.append(f"| `{heading}` | {resolved.get('description', '')} |")
        for key, item in inner.get("properties", {}).items():
            lines.append(f"| `{heading}` `{key}` | {_said(_resolved(schema, item))} |")
    return "\n".join(lines)


def _resolved(schema: Mapping[str, Any], value: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return what a value of the schema is, with what it refers to within it."""
    target = str(value.get("$ref", ""))
    if not target.startswith("#/$defs/"):
        return value
    return {**schema["$defs"][target.removeprefix("#/$defs/")], **value}


def _said(value: Mapping[str, Any]) -> str:
    """Return what a setting is, with the words it may be where only some are allowed."""
    words = [f'`"{word}"`' for word in value.get("enum", ())]
    said = str(value.get("description", "")) or {"boolean": "`true` or `false`"}.get(
        str(value.get("type")), ""
    )
    return " ".join(part for part in (said, f"One of {', '.join(words)}." if words else "") if part)


def commands() -> str:
    """Return the table of all commands, as the help lists them."""
    lines = ["| `recipe-tools` | does |", "|---|---|"]
    return "\n".join([*lines, *(f"| `{name}` | {row[1]} |" for name, row in cli.COMMANDS.items())])


def manual() -> str:
    """Return links to all pages of the manual, three in a line."""
    links = [f"[{name}](recipe_tools/manual/{name}.md)" for name in TOPICS]
    lines = [", ".join(links[place : place + 3]) for place in range(0, len(links), 3)]
    return ",\n".join(lines)


@cache
def screen() -> str:
    """Return what a check of one example says."""
    words = ["check", SHOWN]
    out = io.TextIOWrapper(printed := io.BytesIO(), encoding="utf-8")
    with contextlib.chdir(REPOSITORY), contextlib.redirect_stdout(out):
        code = cli.run([*words, "--color", "never"])
    assert code == 1, "the example has faults, and nothing else goes wrong"
    return f"```\n$ recipe-tools {' '.join(words)}\n{printed.getvalue().decode('utf-8')}```"


def picture() -> str:
    """Return the pH and the ions of the same example's page, one below the other, in one SVG."""
    page = render("html", Run((check_file(REPOSITORY / SHOWN),)), catalogue())
    parts, y = [], 0.0
    for kind in ("p", "i"):
        pattern = (
            rf'<svg role="img" viewBox="0 0 440 ([0-9.]+)" aria-labelledby="\w+{kind}t .*?</svg>'
        )
        (drawn,) = re.finditer(pattern, page, re.DOTALL)
        title = re.findall(r"<title[^>]*>(.*?)</title>", drawn[0])[0]
        place = f'<svg x="12" y="{y + 36:g}" width="440" height="{drawn[1]}" '
        parts.append(f'<text class="strong" x="12" y="{y + 24:g}">{title}</text>')
        parts.append(drawn[0].replace("<svg ", place, 1))
        y += float(drawn[1]) + 44
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 464 {y:g}" width="696">\n'
        f"<style>\n{_styles(''.join(parts))}\n</style>\n"
        f'<rect class="sheet" width="464" height="{y:g}"/>\n' + "\n".join(parts) + "\n</svg>\n"
    )


def _styles(drawn: str) -> str:
    """Return the page's rules for what is drawn, and its colours by day and by night."""
    text = STYLES.read_text("utf-8")
    used = {name for names in re.findall(r'class="([^"]+)"', drawn) for name in names.split()}
    rules = [
        line
        for line in re.findall(r"^svg [a-z]*\..*", text, re.MULTILINE)
        if set(re.findall(r"\.([a-z]+)", line.partition("{")[0])) <= used
    ]
    rules.append("svg { font: 13px system-ui, sans-serif; fill: var(--ink); }")
    rules.append("svg .sheet { fill: var(--sheet); }")
    colours = re.findall(r"^:root \{.*?^\}|^@media \(prefers-color.*?^\}", text, re.M | re.S)
    named = set(re.findall(r"var\((--[a-z]+)\)", " ".join(rules)))
    shown = (
        line
        for block in colours
        for line in block.splitlines()
        if not line.strip().startswith("--") or line.split(":")[0].strip() in named
    )
    return "\n".join([*shown, *rules])


BLOCKS: Mapping[Path, Mapping[str, Callable[[], str]]] = {
    README: {"screen": screen, "commands": commands, "manual": manual},
    MANUAL / "rules.md": {"rules": rules},
    MANUAL / "limits.md": {"limits": limits},
    MANUAL / "settings.md": {"settings": settings},
}


def pages() -> Iterator[tuple[Path, str]]:
    """Yield every page that holds something written here, as it should be."""
    for path, blocks in BLOCKS.items():
        text = path.read_text("utf-8")
        for name, block in blocks.items():
            start, end = f"<!-- {name}: start {_MARK} -->", f"<!-- {name}: end -->"
            before, found, rest = text.partition(start)
            if not found:
                raise ValueError(f"{path.name} has no line {start}")
            _, _, after = rest.partition(end)
            text = f"{before}{start}\n{block()}\n{end}{after}"
        yield path, text
    yield PICTURE, picture()


if __name__ == "__main__":
    for place, content in pages():
        place.parent.mkdir(exist_ok=True)
        place.write_text(content, "utf-8")
