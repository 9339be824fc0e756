"""Globs on paths, matched in bounded time: they come with configurations of strangers.

A translation into a regular expression would take exponential time for patterns such as
``**/a/**/a/**/a``; here the work is at most the product of the lengths.
"""

from __future__ import annotations

from functools import lru_cache


def path_matches(glob: str, path: str) -> bool:
    """Whether a path (relative, forward slashes) matches a glob.

    ``*`` and ``?`` do not cross a slash; ``**`` as a whole part stands for any number of folders,
    none included. A glob without a slash matches that name in every folder; one that ends in a
    slash everything below that folder. Letter case counts.
    """
    parts = _parts(glob)
    names = path.removeprefix("./").split("/")
    reached = [True, *[False] * len(names)]
    for part in parts:
        if part == "**":
            first = reached.index(True) if True in reached else len(reached)
            reached = [place >= first for place in range(len(reached))]
            continue
        following = [False] * len(reached)
        for place, name in enumerate(names):
            if reached[place] and _name_matches(part, name):
                following[place + 1] = True
        reached = following
    return reached[-1]


@lru_cache(maxsize=512)
def _parts(glob: str) -> tuple[str, ...]:
    pattern = glob.removeprefix("./")
    if pattern.endswith("/"):
        pattern += "**"
    elif "/" not in pattern:
        pattern = f"**/{pattern}"
    return tuple(pattern.split("/"))


def _name_matches(pattern: str, name: str) -> bool:
    """Match one part: on a mismatch the latest ``*`` takes one character more."""
    at_pattern = at_name = 0
    star, resume = -1, 0
    while at_name < len(name):
        if at_pattern < len(pattern) and pattern[at_pattern] == "*":
            star, resume = at_pattern, at_name
            at_pattern += 1
        elif at_pattern < len(pattern) and pattern[at_pattern] in ("?", name[at_name]):
            at_pattern += 1
            at_name += 1
        elif star >= 0:
            at_pattern = star + 1
            resume += 1
            at_name = resume
        else:
            return False
    return pattern[at_pattern:].strip("*") == ""
