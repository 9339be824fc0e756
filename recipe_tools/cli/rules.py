"""``recipe-tools rules``: the list of all rules."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

import click

from recipe_tools.checking.checklist import catalogue
from recipe_tools.cli.declarations import as_json
from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import write_out
from recipe_tools.cli.settings import own_rules_here
from recipe_tools.findings import Rule
from recipe_tools.reports.terminal import wrapped


@click.command("rules", cls=Manual)
@click.option(
    "--format",
    "format_name",
    type=click.Choice(("text", "json")),
    default="text",
    show_default=True,
    help="A list to read, or everything about each rule.",
)
def command(format_name: str) -> int:
    """List all rules with their severity; `explain RULE` says the rest.

    The rules of your own ([[own-rule]] in the configuration) are among them.
    """
    rules = [*catalogue().values(), *own_rules_here()]
    if format_name == "json":
        content = [as_json(rule) for rule in rules]
        text = json.dumps(content, ensure_ascii=False, indent=2) + "\n"
    else:
        text = "\n".join(_lines(rules)) + "\n"
    write_out(text, machine=format_name == "json")
    return 0


def _lines(rules: Iterable[Rule]) -> Iterator[str]:
    topic = ""
    for rule in rules:
        if rule.topic != topic:
            if topic:
                yield ""
            topic = rule.topic
            yield topic
        yield f"  {rule.id:<44}{rule.severity.word}"
        yield from wrapped(rule.summary, first="      ", rest="      ")
