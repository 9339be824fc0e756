"""What the HTML pages have in common: templates, escaping, style sheet, script and their policy."""

from __future__ import annotations

import functools
import re
from base64 import b64encode
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from recipe_tools.reference import family_words
from recipe_tools.reports.escaping import html_text, printable

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).parent / "templates"
_COMMAND = re.compile("`([^`]+)`")


@functools.cache
def environment() -> Environment:
    """Return the templates, with everything they show escaped and made printable."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_shown,
        auto_reload=False,
    )
    made.filters["prose"] = _prose
    made.filters["family_words"] = family_words
    return made


def _shown(value: Any) -> Any:
    """Make every text that a template shows printable; markup of our own passes."""
    if isinstance(value, str) and not hasattr(value, "__html__"):
        return printable(value)
    return value


def _prose(text: str) -> Any:
    """Return a text of a declaration as markup: what stands in backticks is a command or a key."""
    from markupsafe import Markup

    return Markup(_COMMAND.sub(r"<code>\1</code>", html_text(text)))


@functools.cache
def part(name: str) -> Any:
    """Return a static part of the page as markup; its hash stands in the policy."""
    from markupsafe import Markup

    return Markup(TEMPLATES.joinpath(name).read_text(encoding="utf-8"))


def policy(style: str, script: str = "") -> str:
    """Return the content security policy that admits this style sheet and script (or none) only."""
    scripts = f"'{_hash(script)}'" if script else "'none'"
    return (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src {scripts}; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"
