"""What a shell offers behind the program's name, beyond what click knows by itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import click
from click.shell_completion import CompletionItem

from recipe_tools.cli.subjects import TOPICS


def subjects(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Return what `explain` can explain: rules, topics of rules, and other subjects."""
    del ctx, param
    pages = ((name, about) for name, about in TOPICS.items() if name.startswith(incomplete))
    named = [CompletionItem(name, help=about) for name, about in pages]
    return [*named, *_rules(incomplete, "")]


def rule_lists(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Return the rules and topics that may stand next in a list with commas."""
    del ctx, param
    done, comma, start = incomplete.rpartition(",")
    return list(_rules(start, f"{done}{comma}"))


def reports(names: Sequence[str], incomplete: str) -> list[CompletionItem]:
    """Return formats with an equals sign, and files once the format is settled."""
    name, equals, file = incomplete.partition("=")
    if equals:
        return [CompletionItem(file, type="file")]
    return [CompletionItem(f"{item}=") for item in names if item.startswith(name)]


def _rules(incomplete: str, before: str) -> Iterator[CompletionItem]:
    from recipe_tools.checking.checklist import catalogue

    rules = catalogue()
    for topic in sorted({rule.topic for rule in rules.values()}):
        if topic.startswith(incomplete):
            yield CompletionItem(f"{before}{topic}", help="all rules of the topic")
    for rule in rules.values():
        if incomplete and rule.id.startswith(incomplete):
            yield CompletionItem(f"{before}{rule.id}", help=rule.summary)
