"""What a brewer is asked once: the water of the tap, the brewery, the shelf; and the two files."""

from __future__ import annotations
