"""What `explain` knows besides rules: texts within the package, and lists made from the code."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping

from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.reports.terminal import wrapped

TOPICS: Mapping[str, str] = {
    "model": "reference/data/model_card.md",
    "doses": "cli/topics/doses.txt",
    "readings": "cli/topics/readings.txt",
    "limits": "cli/topics/limits.txt",
    "exit-codes": "cli/topics/exit-codes.txt",
    "formats": "cli/topics/formats.txt",
    "completion": "cli/topics/completion.txt",
}
"""Subject that is no rule -> its text within the package."""

_LIMIT_TEXTS: Mapping[str, tuple[str, str]] = {
    "max_bytes": ("--max-bytes", "bytes in a file"),
    "max_depth": ("--max-depth", "elements or members inside one another"),
    "max_recipes": ("--max-recipes", "recipes in a file"),
    "max_additions": ("--max-additions", "additions in a recipe"),
    "max_fermentables": ("", "fermentables in a recipe"),
    "max_steps": ("", "mash steps in a recipe"),
    "max_text": ("", "characters in one text"),
    "max_findings_per_rule": ("", "findings of one rule listed for one file"),
}
_ZIP_TEXTS: Mapping[str, str] = {
    "max_members": "files in a zip archive (audit --zip-members)",
    "max_total_bytes": "bytes of all files in a zip archive, counted while unpacking "
    "(audit --zip-bytes)",
    "max_ratio": "bytes unpacked for each byte packed in a zip archive (audit --zip-ratio),",
    "ratio_floor": "bytes of a file in it, from which on that is judged",
    "total_floor": "bytes of all files in it, from which on that is judged of the archive",
}


def topic(name: str) -> str:
    """Return the text of a subject. Raises KeyError for a name not in `TOPICS`."""
    from importlib.resources import files

    text = files("recipe_tools").joinpath(*TOPICS[name].split("/")).read_text("utf-8")
    return text + "\n".join(limit_lines()) + "\n" if name == "limits" else text


def limit_lines() -> Iterator[str]:
    """Yield a line for every limit there is, with its default and its option."""
    from recipe_tools.archive.zip_archive import DEFAULT_ZIP_LIMITS

    for field in dataclasses.fields(DEFAULT_LIMITS):
        option, meaning = _LIMIT_TEXTS[field.name]
        value = getattr(DEFAULT_LIMITS, field.name)
        tail = f" ({option})" if option else ""
        yield from wrapped(f"{value:>13,}  {meaning}{tail}", first="", rest=" " * 15)
    for name, meaning in _ZIP_TEXTS.items():
        value = getattr(DEFAULT_ZIP_LIMITS, name)
        yield from wrapped(f"{value:>13,}  {meaning}", first="", rest=" " * 15)
