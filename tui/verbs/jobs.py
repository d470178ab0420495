"""`sootline jobs list` and `show`: the day list and the trail of a job. The other acts are in `jobs_kept.py`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from trees.book.words import END_NAMES, PLACES_SHORT, WAITS_FOR
from trees.language import N_, Said, _, spoken
from tui.command_line import Exit

if TYPE_CHECKING:
    from trees.book import Book
    from trees.casebook import Casebook, JobSummary, StoredEntry


UNTOLD = Said(
    {
        "taken_up": N_("Taken up"),
        "acknowledged": N_("Acknowledged"),
        "returned": N_("Back to the tree"),
        "taken_back": N_("Taken back"),
        "shares": N_("Shares in force"),
    }
)
"""Kinds of entry that no trail tells."""


def run(options: argparse.Namespace) -> int:
    """Do the act that was asked for; alone, `jobs` lists."""
    from tui.verbs import jobs_kept, jobs_lessons

    acts = {
        "show": _show,
        "lessons": jobs_lessons.lessons,
        "export": jobs_kept.export,
        "import": jobs_kept.import_,
        "erase": jobs_kept.erase,
    }
    acts |= {"backup": jobs_kept.backup, "restore": jobs_kept.restore}
    return acts.get(options.act, _list)(options)


def open_casebook(options: argparse.Namespace, *, create: bool = False, reading: bool = False) -> Casebook:
    """Open the casebook that was named; what is worth knowing about it is told on stderr.

    With `reading` one that can't be written is opened to be read.
    """
    from trees.casebook import Casebook, default_path
    from trees.text import printable

    casebook = Casebook.open(options.store or default_path(), create=create, seat=options.seat, reading=reading)
    if casebook.migrated:
        print(printable(_("sootline: {migrated}").format(migrated=casebook.migrated)), file=sys.stderr)
    if casebook.backup_trouble:
        print(
            printable(
                _("sootline: the daily backup was not made. {backup_trouble}").format(
                    backup_trouble=casebook.backup_trouble
                )
            ),
            file=sys.stderr,
        )
    return casebook


def _list(options: argparse.Namespace) -> int:
    from trees.text import json_text, printable

    with open_casebook(options, reading=True) as casebook:
        rows = casebook.jobs()
    if options.format == "json":
        print(json_text([row.as_json() for row in rows], indent=1))
        return Exit.FINE
    for row in rows:
        state = _("closed") if row.closed else PLACES_SHORT.get(row.place, row.place)
        invented = _("  (invented)") if row.invented else ""
        until = _(" until {due}").format(due=row.due) if row.due else ""
        waits = (
            _("  (waits for {waiting}{until})").format(waiting=WAITS_FOR.get(row.waiting, row.waiting), until=until)
            if row.waiting
            else ""
        )
        print(printable(f"{row.number}  {state:<7}  {row.last_at[:16]}  {row.words}{waits}{invented}"))
    return Exit.FINE


def _show(options: argparse.Namespace) -> int:
    from trees.text import json_text, printable

    with open_casebook(options, reading=True) as casebook:
        record = casebook.job(options.job)
        stored, row = casebook.entries(record), casebook.summary(record)
        lines, trouble = _trail(casebook, stored, options.book)
    if options.format == "json":
        print(json_text(_as_json(row, stored, lines), indent=1))
    else:
        _print_text(row, stored, lines)
    if trouble:
        print(printable(_("sootline: {trouble}").format(trouble=trouble)), file=sys.stderr)
    return Exit.FINE


def _trail(
    casebook: Casebook, stored: Sequence[StoredEntry], folder: Path | None
) -> tuple[dict[int, tuple[str, str, str]], str]:
    """Return number → (asked, answered, why it no longer counts), and why it could not be read fully."""
    from trees.errors import SootlineError
    from trees.walk import Walk

    try:
        book = _book_of(casebook, stored, folder)
        items = Walk.resume(book, [one.entry for one in stored]).trail
    except (SootlineError, LookupError, TypeError, ValueError) as error:  # an import may bring entries of any content
        return {}, _("the entries stand as they were stored, for they can't be read with this book ({error}).").format(
            error=error
        )
    return {item.no: (item.asked, item.answered, item.struck) for item in items}, ""


def _book_of(casebook: Casebook, stored: Sequence[StoredEntry], folder: Path | None) -> Book:
    """Return the edition that the job was last worked by, if its text is kept; otherwise the present one."""
    from trees.book import load_book, shipped_book_path
    from tui.kept_edition import Editions

    present = load_book(folder or shipped_book_path(), spoken())
    return present if folder is not None else Editions(casebook, present).of(stored)[0]


def _print_text(row: JobSummary, stored: Sequence[StoredEntry], lines: dict[int, tuple[str, str, str]]) -> None:
    from trees.text import printable

    state = (
        _("closed: {end}").format(end=END_NAMES.get(row.closed, row.closed))  # type: ignore[call-overload]
        if row.closed
        else _("open, {place}, at the seat {seat}").format(place=PLACES_SHORT.get(row.place, row.place), seat=row.seat)
    )
    print(printable(f"{row.number}  {state}{_('  (invented job)') if row.invented else ''}"))
    for one in stored:
        head = f"{one.no:>4}  {one.at[:16].replace('T', ' ')}  {one.seat}"
        data = ", ".join(f"{value}" for value in one.entry.data.values() if value not in ("", None))
        kind = UNTOLD.get(one.entry.kind, one.entry.kind.replace("_", " ").capitalize())
        asked, answered, struck = lines.get(one.no, (kind, data, ""))
        no_more = _("  (no longer counts: {struck})").format(struck=struck) if struck else ""
        said = f"{asked}: {answered}" if answered else asked
        print(printable(f"{head}  {said}{no_more}".replace("\n", " / ")))


def _as_json(
    row: JobSummary, stored: Sequence[StoredEntry], lines: dict[int, tuple[str, str, str]]
) -> dict[str, object]:
    entries = []
    for one in stored:
        asked, answered, struck = lines.get(one.no, ("", "", ""))
        what: dict[str, object] = {
            "no": one.no,
            "kind": one.entry.kind,
            "visit": one.entry.visit,
            "data": dict(one.entry.data),
        }
        made: dict[str, object] = {"at": one.at, "seat": one.seat, "fingerprint": one.fingerprint}
        entries.append(what | made | {"asked": asked, "answered": answered, "struck": struck})
    return {"job": row.as_json(), "entries": entries}
