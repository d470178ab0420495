"""`sootline jobs`: list the jobs of the casebook."""

from __future__ import annotations

import argparse
import json

from tui.command_line import Exit


def run(options: argparse.Namespace) -> int:
    """Print one line per job, the last touched first."""
    from trees.casebook import Casebook, default_path
    from trees.text import printable

    with Casebook.open(options.store or default_path(), create=False, seat=options.seat) as casebook:
        rows = casebook.jobs()
    if options.format == "json":
        print(json.dumps([row.as_json() for row in rows], ensure_ascii=False, indent=1))
        return Exit.FINE
    for row in rows:
        state = "closed" if row.closed else row.place
        invented = "  (invented)" if row.invented else ""
        print(f"{row.number}  {state:<7}  {row.last_at[:16]}  {printable(row.words)}{invented}")
    return Exit.FINE
