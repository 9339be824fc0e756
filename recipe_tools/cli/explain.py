"""``recipe-tools explain``: why a rule exists, what the model is worth, what the limits are."""

from __future__ import annotations

import json

import click

from recipe_tools.checking.checklist import UnknownRule, catalogue, resolve
from recipe_tools.cli.completion import subjects
from recipe_tools.cli.declarations import as_json, as_text
from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import write_out
from recipe_tools.cli.settings import own_rules_here
from recipe_tools.cli.subjects import TOPICS, page, topic
from recipe_tools.config import OWN_TOPIC
from recipe_tools.key_names import nearest_key
from recipe_tools.reports.terminal import visible


@click.command("explain", cls=Manual)
@click.argument("subject", metavar="[SUBJECT]", required=False, shell_complete=subjects)
@click.option(
    "--format",
    "format_name",
    type=click.Choice(("text", "json")),
    default="text",
    show_default=True,
    help="How to say it.",
)
def command(subject: str | None, format_name: str) -> int:
    """Say why a rule exists, where its numbers come from and what its options are.

    SUBJECT is a rule, such as `mash-ph/above-range`; a topic, such as `ions`, for all its rules;
    or a page of the manual, such as `model`. Without SUBJECT the pages are listed.
    """
    if subject is None or subject in TOPICS:
        listed = "".join(f"{name:<14} {about}\n" for name, about in TOPICS.items())
        text = listed if subject is None else topic(subject)
        if format_name == "json":
            # A program gets the page as it is, in Markdown.
            found = {"topic": subject or "pages", "text": page(subject) if subject else listed}
            text = json.dumps(found, ensure_ascii=False, indent=2) + "\n"
        write_out(text, machine=format_name == "json")
        return 0
    try:
        wanted = resolve(subject)
    except UnknownRule as error:
        known = ", ".join(TOPICS)
        raise click.UsageError(f"{visible(str(error))} Other subjects: {known}.") from None
    own = own_rules_here() if wanted.partition("/")[0] == OWN_TOPIC else ()
    rules = [rule for rule in (*catalogue().values(), *own) if wanted in (rule.id, rule.topic)]
    if not rules:
        nearest = nearest_key(wanted, [rule.id for rule in own])
        hint = f" Did you mean {nearest}?" if nearest else ""
        raise click.UsageError(visible(f"The configuration here has no rule {wanted}.{hint}"))
    if format_name == "json":
        content = as_json(rules[0]) if len(rules) == 1 else [as_json(rule) for rule in rules]
        text = json.dumps(content, ensure_ascii=False, indent=2) + "\n"
    else:
        text = "\n\n".join("\n".join(as_text(rule)) for rule in rules) + "\n"
    write_out(text, machine=format_name == "json")
    return 0
