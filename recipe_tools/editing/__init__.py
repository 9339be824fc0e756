"""Edits of recipe files as spans of their bytes: nothing changes beside what is put in or out."""

from __future__ import annotations

from recipe_tools.editing.document import Document, Edit, EditError, open_document

__all__ = ["Document", "Edit", "EditError", "open_document"]
