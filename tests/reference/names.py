"""What names of malts are taken for: ``python -m tests.reference.names FILE`` (``-``: the input).

One name a line, blank lines left out. Printed are the class, the rule that decided, how sure that
is, and the listed name it rests on.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from recipe_tools.reference import recognise_malt


def report(names: Iterable[str]) -> Iterator[str]:
    """Yield a line of five columns for each name, tabs between them."""
    for name in filter(None, map(str.strip, names)):
        match = recognise_malt(name, "grain")
        sure = "sure" if match.sure else "guess"
        yield "\t".join((name, match.class_id, match.rule, sure, match.alias or "-"))


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    text = sys.stdin.read() if sys.argv[1] == "-" else Path(sys.argv[1]).read_text("utf-8")
    for line in report(text.splitlines()):
        print(line)
