"""`sootline replay`: walk a book's worked jobs again, or count every path of every tree."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING

from trees.language import _
from tui.command_line import Exit
from tui.loading import book_for

if TYPE_CHECKING:
    from trees.walk.all_paths import Paths
    from trees.walk.replays import Replayed
    from trees.walk.standing import Placed


def run(options: argparse.Namespace) -> int:
    """Replay the worked jobs; 0 all end where they say, 1 some do not, 2 no sound book."""
    book = book_for(options, options.path)
    if options.all_paths:
        from trees.walk.all_paths import count_paths

        paths = count_paths(book, options.place)
        if options.format == "json":
            print(json.dumps({"place": options.place, "trees": [asdict(one) for one in paths]}, indent=1))
        else:
            print("\n".join(told_paths(paths)))
        return Exit.FINE
    from trees.walk.replays import replay_all
    from trees.walk.standing import Tally, place_all

    jobs = replay_all(book)
    failed = sum(1 for job in jobs if job.faults)
    placed = place_all(book, book.worked.values())
    if options.format == "json":
        found = {
            "jobs": [asdict(job) for job in jobs],
            "failed": failed,
            "suspects": [asdict(row) for row in placed],
            "tally": asdict(Tally.of(placed)),
        }
        from trees.text import json_text

        print(json_text(found, indent=1))
    else:
        print("\n".join([*told_jobs(jobs), *told_places(placed)]))
    return Exit.FOUND if failed else Exit.FINE


def told_jobs(jobs: tuple[Replayed, ...]) -> Iterator[str]:
    """Yield one line for each job, and under a failed one what is wrong and where it turned."""
    from trees.text import printable

    for job in jobs:
        yield printable(f"{_('FAILED') if job.faults else _('ok    ')}  {job.job}  {job.title}: {job.end}")
        if not job.faults:
            continue
        if job.spot is not None:
            yield f"        {printable(job.spot.file)}:{job.spot.line}"
        yield from (printable(f"        {fault}") for fault in job.faults)
        if job.turn is not None:
            turn = job.turn
            yield printable(
                _("        turned at step {no} (`{step}` of {tree}): {why}").format(
                    no=turn.no, step=turn.step, tree=turn.tree, why=turn.why
                )
            )
        if job.unasked:
            yield printable(_("        never asked: {listed}").format(listed=", ".join(job.unasked)))
    failed = sum(1 for job in jobs if job.faults)
    yield (
        _("No worked jobs.")
        if not jobs
        else _("{n} of {all} worked jobs end where they say.").format(n=len(jobs) - failed, all=len(jobs))
    )


def told_places(placed: tuple[Placed, ...]) -> Iterator[str]:
    """Yield how many jobs have their main cause first, and each job in which something else stands before it."""
    from trees.text import printable
    from trees.walk.standing import Tally

    if not placed:
        return
    tally = Tally.of(placed)
    yield ""
    yield _("Suspects with all that a job tells (roots and consequences as two lists, as on the screen):")
    yield _("  main cause first         {first}").format(first=out_of(tally.first, tally.jobs))
    yield _("  among the first three    {among_three}").format(among_three=out_of(tally.among_three, tally.jobs))
    yield _("  contributing in eight    {among_eight}").format(
        among_eight=out_of(tally.among_eight, tally.contributing)
    )
    yield _("  stopped that must stop   {stopped}").format(stopped=out_of(tally.stopped, tally.must_stop))
    for row in placed:
        if row.must_stop is None and row.main != 1:
            place = (
                _("place {main}, behind {listed}").format(main=row.main, listed=", ".join(row.ahead))
                if row.main
                else _("no suspect for this unit")
            )
            yield printable(f"  {row.job}: {row.trouble or place}")


def out_of(part: int, whole: int) -> str:
    """Return a share as a count with its per cent."""
    return (
        _("{part} of {whole} ({per_cent:.0f} %)").format(part=part, whole=whole, per_cent=100 * part / whole)
        if whole
        else _("no such job")
    )


def told_paths(paths: tuple[Paths, ...]) -> Iterator[str]:
    """Yield a table with one row for each tree."""
    yield f"{_('tree'):<24}{_('paths'):>12}  {_('longest'):>8}  {_('mean minutes'):>12}  {_('nothing found'):>14}"
    for one in paths:
        yield (
            f"{one.tree:<24}{in_short(one.count):>12}  {one.longest:>8}  {one.mean_minutes:>12.0f}"
            f"  {in_short(one.no_conclusion):>14}"
        )
    yield _(
        "Longest in steps asked; minutes as a mean over all paths; nothing found: come to an end without any cause."
    )


def in_short(number: int) -> str:
    """Return a count in full up to a million, then rounded."""
    if number < 1_000_000:
        return str(number)
    digits = len(str(number)) - 1
    return f"{number // 10 ** (digits - 1) / 10:.1f}e{digits}"
