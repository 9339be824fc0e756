"""Files as their standard asks, without touching a brewing value: edits of spans, proven."""

from recipe_tools.tidying.choice import Choice
from recipe_tools.tidying.tidying import Tidied, tidied, tidy_bytes

__all__ = ["Choice", "Tidied", "tidied", "tidy_bytes"]
