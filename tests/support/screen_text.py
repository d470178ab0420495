"""A screen as text: its characters, and beside each line the styles by name; stored, compared, told as a diff.

Style names are those of the theme, so that one text holds for all themes; `tests/tui/snapshots/themes.txt` holds which
colours the names have in each.
"""

from __future__ import annotations
