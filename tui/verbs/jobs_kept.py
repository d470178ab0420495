"""`sootline jobs export`, `import`, `erase`, `backup` and `restore`: what becomes of the casebook as a whole."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TextIO

from trees.errors import CasebookError
from trees.language import _, ngettext, reason_of
from tui.command_line import Exit

_LONGEST_LINE = 64_000_000
"""Letters of a line: the longest is a whole edition of a book."""


def export(options: argparse.Namespace) -> int:
    """Write the casebook to a file or to stdout."""
    from trees.casebook.spreadsheet import csv_lines
    from tui.verbs.jobs import open_casebook

    with open_casebook(options, reading=True) as casebook:
        if options.format == "csv":
            # A mark at the beginning is how spreadsheets tell UTF-8; RFC 4180 ends lines with CR LF.
            mark = "\ufeff" if options.out else ""
            _write(
                options.out, (mark * (no == 0) + line + "\r\n" for no, line in enumerate(csv_lines(casebook.jobs())))
            )
        else:
            with closing(casebook.export()) as lines:
                _write(options.out, (line + "\n" for line in lines))
    if options.out:
        print(_("{out} holds personal data: complaints, notes, names.").format(out=options.out), file=sys.stderr)
        print(options.out)
    return Exit.FINE


def import_(options: argparse.Namespace) -> int:
    """Take the jobs of an export into the casebook."""
    from tui.verbs.jobs import open_casebook

    with _lines(options.file) as lines, open_casebook(options, create=True) as casebook:
        brought = casebook.import_from(lines)
        print(
            _("{jobs} imported into {name}; {known} known already").format(
                jobs=_jobs(brought.jobs), name=casebook.name, known=brought.known
            )
        )
    return Exit.FINE


def erase(options: argparse.Namespace) -> int:
    """Erase a job's personal data; 1 where some of it may still lie in what we keep."""
    from trees.text import printable
    from tui.verbs.jobs import open_casebook

    with open_casebook(options) as casebook:
        record = casebook.job(options.job)
        done = casebook.erase(record)
    texts = ngettext("1 text", "{n} texts", done.texts).format(n=done.texts)
    print(
        _("{number}: {texts} erased in {name}; also in {backups} of its backups.").format(
            number=record.number, texts=texts, name=casebook.name, backups=done.backups
        )
    )
    print(_("The technical record stays: readings, answers, causes, work by its step."))
    if casebook.path:
        print(
            _(
                "Copies may remain in exports, printed and written reports, screens where the job is open, backups "
                "that others make of this machine, and blocks that the disk has freed."
            )
        )
    else:
        print(
            _(
                "Copies may remain in exports, printed and written reports, screens where the job is open, and the "
                "server's log, replicas and backups: ask who runs it."
            )
        )
    if done.linked:
        linked = printable(", ".join(done.linked))
        print(_("Linked jobs may hold the same complaint: {linked}. Erase them too if need be.").format(linked=linked))
    for path in done.left:
        print(
            _("sootline: the backup {path} can't be read, so the text may still be in it; delete it.").format(
                path=path
            ),
            file=sys.stderr,
        )
    if not done.freed:
        print(
            _(
                "sootline: another program held the casebook, so the erased bytes may still be in its file; "
                "close that program and erase again."
            ),
            file=sys.stderr,
        )
    return Exit.FOUND if done.left or not done.freed else Exit.FINE


def backup(options: argparse.Namespace) -> int:
    """Make a backup now and print where it lies."""
    from tui.verbs.jobs import open_casebook

    with open_casebook(options) as casebook:
        print(casebook.back_up().path)
    return Exit.FINE


def restore(options: argparse.Namespace) -> int:
    """Put a backup in the casebook's place, or list what there is."""
    from trees.casebook import backups as kept
    from trees.casebook import default_path
    from trees.casebook.places import locate

    store = locate(options.store or default_path())
    if not isinstance(store, Path):
        raise CasebookError(_("A casebook on a server is restored there, from the server's own backups."))
    if options.list:
        for one in kept.backups(store):
            trouble = kept.trouble_in(one.path)
            what = _("damaged: {trouble}").format(trouble=trouble) if trouble else _jobs(kept.jobs_in(one.path))
            replaced = _("  (was replaced by a backup then)") if one.replaced else ""
            print(f"{one.path.name}  {one.made_at:%Y-%m-%d %H:%M} UTC  {what}{replaced}")
        return Exit.FINE
    chosen, before = kept.restore(store, datetime.now(UTC), options.backup)
    print(
        _("{store} is again as in {name}: {jobs}.").format(
            store=store, name=chosen.name, jobs=_jobs(kept.jobs_in(store))
        )
    )
    if before:
        print(
            _("What was there before is kept at {before}. Entries made after the backup are only in there.").format(
                before=before
            )
        )
    return Exit.FINE


def _write(out: Path | None, lines: Iterable[str]) -> None:
    """Write to stdout, or to a file that appears only when it is whole and that only its owner can read."""
    if out is None:
        sys.stdout.reconfigure(encoding="utf-8", newline="")  # type: ignore[union-attr]
        sys.stdout.writelines(lines)
        return
    if out.exists() and not out.is_file():
        raise CasebookError(
            _("{out} is no ordinary file, so nothing was written; name a file, or leave --out out.").format(out=out)
        )
    new = out.with_name(f".{out.name}.{os.getpid()}")
    try:
        handle = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.writelines(lines)
            file.flush()
            os.fsync(file.fileno())
        new.replace(out)
    except OSError as error:
        raise CasebookError(
            _("{out} can't be written: {strerror}.").format(out=out, strerror=reason_of(error))
        ) from error
    finally:
        with suppress(OSError):  # where there is no folder there is no file either
            new.unlink(missing_ok=True)


def _short_lines(file: TextIO) -> Iterator[str]:
    """Yield the lines of an export; one without an end would fill the memory before anybody saw that it is none."""
    while line := file.readline(_LONGEST_LINE + 1):
        if len(line) > _LONGEST_LINE:
            raise CasebookError(
                _(
                    "A line of the export is longer than {longest} million letters; none of ours is. "
                    "Nothing was imported."
                ).format(longest=_LONGEST_LINE // 1_000_000)
            )
        yield line


@contextmanager
def _lines(name: str) -> Iterator[Iterable[str]]:
    try:
        if name == "-":
            sys.stdin.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
            yield _short_lines(sys.stdin)
        else:
            with Path(name).open(encoding="utf-8") as file:
                yield _short_lines(file)
    except UnicodeDecodeError as error:
        raise CasebookError(
            _("{name} is no export: it is no UTF-8. Nothing was imported.").format(name=name)
        ) from error
    except OSError as error:
        raise CasebookError(
            _("{name} can't be read: {strerror}.").format(name=name, strerror=reason_of(error))
        ) from error


def _jobs(count: int) -> str:
    return ngettext("1 job", "{n} jobs", count).format(n=count)
