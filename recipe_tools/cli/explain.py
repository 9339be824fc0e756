"""``recipe-tools explain``: why a rule exists, what the model is worth, what the limits are."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from importlib.resources import files

import click

from recipe_tools.checklist import UnknownRule, catalogue, resolve
from recipe_tools.cli.declarations import as_json, as_text
from recipe_tools.cli.output import write_out
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.reports.terminal import visible, wrapped

TOPICS: Mapping[str, str] = {
    "model": "reference/data/model_card.md",
    "limits": "cli/topics/limits.txt",
    "exit-codes": "cli/topics/exit-codes.txt",
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


@click.command("explain")
@click.argument("subject", metavar="RULE|model|limits|exit-codes")
@click.option(
    "--format",
    "format_name",
    type=click.Choice(("text", "json")),
    default="text",
    show_default=True,
    help="How to say it.",
)
def command(subject: str, format_name: str) -> int:
    """Say why a rule exists, where its numbers come from and what its options are.

    A topic, such as `ions`, explains all its rules.
    """
    if subject in TOPICS:
        text = topic(subject)
        if format_name == "json":
            text = json.dumps({"topic": subject, "text": text}, ensure_ascii=False, indent=2) + "\n"
        write_out(text, machine=format_name == "json")
        return 0
    try:
        wanted = resolve(subject)
    except UnknownRule as error:
        known = ", ".join(TOPICS)
        raise click.UsageError(f"{visible(str(error))} Other subjects: {known}.") from None
    rules = [rule for rule in catalogue().values() if wanted in (rule.id, rule.topic)]
    if format_name == "json":
        content = as_json(rules[0]) if len(rules) == 1 else [as_json(rule) for rule in rules]
        text = json.dumps(content, ensure_ascii=False, indent=2) + "\n"
    else:
        text = "\n\n".join("\n".join(as_text(rule)) for rule in rules) + "\n"
    write_out(text, machine=format_name == "json")
    return 0


def topic(name: str) -> str:
    """Return the text of a topic that is no rule."""
    text = files("recipe_tools").joinpath(*TOPICS[name].split("/")).read_text("utf-8")
    return text + "\n".join(limit_lines()) + "\n" if name == "limits" else text


def limit_lines() -> list[str]:
    """Return a line for every limit there is, with its default and its option."""
    lines = []
    for field in dataclasses.fields(DEFAULT_LIMITS):
        option, meaning = _LIMIT_TEXTS[field.name]
        value = getattr(DEFAULT_LIMITS, field.name)
        tail = f" ({option})" if option else ""
        lines += wrapped(f"{value:>12,}  {meaning}{tail}", first="", rest=" " * 14)
    return lines
