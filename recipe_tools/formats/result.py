"""What a reader hands on (the limits it keeps to are `limits.Limits`)."""

from __future__ import annotations

from typing import Literal, NamedTuple

from recipe_tools.findings import Finding
from recipe_tools.limits import Limits
from recipe_tools.recipe import FormatName, Recipe, WaterSource

__all__ = ["Limits", "ReadResult", "Status"]

Status = Literal["checked", "not_checked", "skipped"]


class ReadResult(NamedTuple):
    """One file as read: recipes, findings about the file, or both.

    status: ``checked``; ``not_checked`` where the file or a part of it could not be understood or
        is over a limit; ``skipped`` where it is well-formed and no recipe of a known standard.
    recipes: in the order of the file. waters: water profiles beside the recipes, not in one of
        them.
    repaired: labels of the repairs made on a copy before reading (``html-entities`` ...); the bytes
        of the file stay as they are and all positions are those of the original.
    text: the decoded file where a reader made one, else None.
    """

    format: FormatName | None
    status: Status = "checked"
    recipes: tuple[Recipe, ...] = ()
    findings: tuple[Finding, ...] = ()
    waters: tuple[WaterSource, ...] = ()
    repaired: tuple[str, ...] = ()
    text: str | None = None
