"""What `explain` knows besides rules: the pages of the manual, Markdown within the package."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

TOPICS: Mapping[str, str] = {
    "words": "what residual alkalinity, strike, hydrate and the like mean",
    "settings": "what recipe-tools.toml can hold",
    "water-reports": "how to write down the figures of a water works",
    "doses": "how a plan of salts and acids is chosen",
    "readings": "how to measure a mash, and what is learnt from it",
    "model": "how good the prediction of the mash pH is",
    "rules": "all rules in one table",
    "formats": "what each report is for",
    "exit-codes": "what a script can rely on",
    "limits": "how much is read, and what is not done",
    "security": "what files of strangers cannot do",
    "python": "the same from a program of your own",
    "completion": "names completed by the shell",
}
"""Page of the manual -> what it is about."""

_NOT_SHOWN = re.compile(r"<!--.*-->|```\w*")


def page(name: str) -> str:
    """Return a page of the manual in Markdown. Raises KeyError for a name not in `TOPICS`."""
    from importlib.resources import files

    if name not in TOPICS:
        raise KeyError(name)
    return files("recipe_tools").joinpath("manual", f"{name}.md").read_text("utf-8")


def topic(name: str) -> str:
    """Return a page as a terminal shows it. Raises KeyError for a name not in `TOPICS`."""
    return "\n".join(_plain(page(name))) + "\n"


def _plain(text: str) -> Iterator[str]:
    """Yield the lines of a page without the marks of headings, code and comments."""
    code = False
    for line in text.splitlines():
        if _NOT_SHOWN.fullmatch(line):
            code ^= line.startswith("```")
        elif code:
            yield f"  {line}".rstrip()
        else:
            yield line.lstrip("# ") if line.startswith("#") else line
