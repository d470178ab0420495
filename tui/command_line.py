"""The command line: `sootline` opens the screen, verbs serve scripts and authors.

Results go to stdout, everything else to stderr.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from enum import IntEnum
from importlib import import_module
from io import TextIOWrapper
from pathlib import Path

from trees.language import _
from tui.author_verbs import add_author_verbs
from tui.chart_options import add_chart
from tui.parser_words import Parser


class Exit(IntEnum):
    """What the exit status says."""

    FINE = 0
    """Done, nothing to complain of."""
    FOUND = 1
    """Done, and something was found."""
    COULD_NOT = 2
    """Could not be done; one sentence on stderr says why."""


KEEPS_JOBS = frozenset({"jobs", "why", "report", "recount"})
"""The verbs that open a casebook: the one of the settings, where none is named."""


def parser() -> argparse.ArgumentParser:
    """Return the parser of all verbs."""
    top: argparse.ArgumentParser = Parser(
        prog="sootline",
        description=_(
            "Find out why a small fuel-burning heater failed, prove it with readings, and keep it from failing "
            "again. Without a verb it opens the screen."
        ),
    )
    top.add_argument(
        "--book", type=Path, metavar=_("FOLDER"), help=_("the book to walk by (default: the one that ships)")
    )
    top.add_argument(
        "--shares",
        type=Path,
        metavar=_("FILE"),
        help=_("weigh suspects by these counted shares instead of the book's; `recount --write` makes such a file"),
    )
    top.add_argument(
        "--store", metavar=_("PATH"), help=_("the casebook (default: by the settings, or in your data folder)")
    )
    top.add_argument("--seat", help=_("name of this seat (default: user@host)"))
    top.add_argument(
        "--plain",
        action="store_true",
        help=_("walk a job line by line on standard input and output: for screen readers, slow links and scripts"),
    )
    verbs = top.add_subparsers(dest="verb", metavar=_("VERB"))

    add_author_verbs(verbs)

    add_chart(verbs)

    report = verbs.add_parser(
        "report",
        help=_("write a job's report"),
        description=_(
            "Write a job: a page for the customer and the record behind it. Without --out it goes to stdout."
        ),
    )
    report.add_argument("job", help=_("number of the job"))
    report.add_argument("--out", type=Path, metavar=_("FILE"), help=_("file to write: .pdf, .html, .md or .json"))
    report.add_argument(
        "--format", choices=("pdf", "html", "md", "json"), help=_("where no ending tells it (default on stdout: md)")
    )
    report.add_argument("--sources", action="store_true", help=_("also tell what every number rests on"))
    report.add_argument(
        "--intake", action="store_true", help=_("the blank sheet to send with a carton instead, as PDF")
    )

    _add_reasoning(verbs)
    add_jobs(verbs)

    figure = verbs.add_parser(
        "figure",
        help=_("work a figure out"),
        description=_(
            "Work a figure out from readings in any sensible unit: "
            "`sootline figure supply_drop source_v='12,4 V' load_v=10.9±0.05`. "
            "Behind ± (or +-) stands one standard uncertainty. Without a name it lists all figures."
        ),
    )
    figure.add_argument("name", nargs="?", metavar=_("NAME"), help=_("which figure (default: list them all)"))
    figure.add_argument("inputs", nargs="*", metavar="key=value", help=_("an input, like length_m=31ft"))
    figure.add_argument("--format", choices=("text", "json"), default="text", help=_("how to print (default: text)"))
    figure.add_argument("--list", action="store_true", help=_("list all figures by field"))

    demo = verbs.add_parser(
        "demo",
        help=_("open an invented workshop"),
        description=_("Fill a throw-away casebook with twelve invented jobs and open it; it is gone afterwards."),
    )
    demo.add_argument("--fill", type=Path, metavar=_("FILE"), help=_("only write the invented jobs into this casebook"))
    return top


def add_jobs(verbs: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add `jobs` and what it can do; alone it lists."""
    jobs = verbs.add_parser(
        "jobs", help=_("list, show, move and keep the jobs"), description=_("The jobs of the casebook.")
    )
    jobs.add_argument("--format", choices=("text", "json"), default="text", help=_("how to print (default: text)"))
    acts = jobs.add_subparsers(dest="act", metavar=_("ACT"))

    def add(name: str, told: str) -> argparse.ArgumentParser:
        return acts.add_parser(name, help=told, description=f"{told[0].upper()}{told[1:]}.")

    lessons = add("lessons", _("tell what the closed jobs teach: causes, repeats, first visits, minutes, idle checks"))
    lessons.add_argument(
        "--invented", action="store_true", help=_("of the invented jobs of a demo instead; never both")
    )
    show = add("show", _("print the trail of a job"))
    for act in (add("list", _("list the jobs, the last touched first")), show, lessons):
        # Without a default of its own, or it would undo what stands before the act.
        act.add_argument("--format", choices=("text", "json"), default=argparse.SUPPRESS, help=_("default: text"))
    show.add_argument("job", help=_("number of the job"))

    export = add("export", _("write the whole casebook as JSON lines, or its list of jobs as CSV"))
    export.add_argument("--format", choices=("jsonl", "csv"), default="jsonl", help=_("default: jsonl"))
    export.add_argument("--out", type=Path, metavar=_("FILE"), help=_("file to write, which only you can read"))

    into = add("import", _("take the jobs of an export into the casebook, all or none"))
    into.add_argument("file", help=_("the export, as JSON lines; - for standard input"))

    erase = add("erase", _("erase what people typed into a job, here and in every backup; the technical record stays"))
    erase.add_argument("job", help=_("number of the job"))

    add("backup", _("make a backup of the casebook now; one is made each day anyway"))
    restore = add(
        "restore", _("put a backup in the casebook's place; what was there before is kept beside the backups")
    )
    restore.add_argument(
        "backup", nargs="?", type=Path, metavar=_("BACKUP"), help=_("which (default: the last good one)")
    )
    restore.add_argument("--list", action="store_true", help=_("only list the backups"))


def _add_reasoning(verbs: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the verbs that weigh suspects, trees and shares."""
    why = verbs.add_parser(
        "why",
        help=_("why a job's suspects stand so"),
        description=_("Print a job's suspects and the reasons for each."),
    )
    why.add_argument("job", help=_("number of the job"))
    why.add_argument("--cause", help=_("only this cause, with all its reasons"))
    why.add_argument("--format", choices=("text", "json"), default="text", help=_("how to print (default: text)"))

    weigh = verbs.add_parser(
        "weigh",
        help=_("weigh a tree against the best order"),
        description=_("Minutes of a tree, of the best order found with the same checks, and with the cause known."),
    )
    weigh.add_argument("tree", help=_("id of the tree, as `sootline check --format json` lists them"))
    weigh.add_argument("--causes", type=int, choices=(1, 2, 3), default=1, help=_("most causes of a job (default: 1)"))
    weigh.add_argument("--family", help=_("class of unit, by its id in families.yaml (default: not known)"))
    weigh.add_argument("--rollout", action="store_true", help=_("also look ahead; takes about a minute"))
    weigh.add_argument(
        "--order",
        type=float,
        nargs="?",
        const=5.0,
        metavar="N",
        help=_("also write the best order out, as far as N of 100 jobs get (default: 5)"),
    )
    weigh.add_argument("--place", choices=("bench", "site", "phone"), default="bench", help=_("default: bench"))
    weigh.add_argument("--format", choices=("text", "json"), default="text", help=_("how to print (default: text)"))

    recount = verbs.add_parser(
        "recount",
        help=_("count the shares of causes from closed jobs"),
        description=_(
            "Count the shares of causes anew from the closed jobs, always against the author's own; the book "
            "is not changed. With --write you take or leave each one, and those taken go into a file for --shares."
        ),
    )
    recount.add_argument(
        "--prior-jobs",
        type=float,
        default=25.0,
        metavar="N",
        help=_("the author's share is worth N jobs (default: 25)"),
    )
    recount.add_argument("--write", type=Path, metavar=_("FILE"), help=_("ask line by line, and write what you take"))
    which = recount.add_mutually_exclusive_group()
    which.add_argument("--accept", metavar=_("CAUSE,CAUSE"), help=_("do not ask, take these"))
    which.add_argument("--accept-all", action="store_true", help=_("do not ask, take all that was counted"))
    recount.add_argument(
        "--links",
        action="store_true",
        help=_("tell instead how often causes showed their signs, beside the book's word"),
    )
    recount.add_argument("--invented", action="store_true", help=_("count the invented jobs of a demo instead"))
    recount.add_argument("--format", choices=("text", "json"), default="text", help=_("how to print (default: text)"))


def forgiving() -> None:
    """Let a character that a terminal or a pipe does not know become a sign for it, in and out, and no fault."""
    for stream in (sys.stdin, sys.stdout):
        if isinstance(stream, TextIOWrapper) and stream.errors in {"strict", "surrogateescape"}:
            stream.reconfigure(errors="replace")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; every failure is one sentence on stderr."""
    from trees.errors import SootlineError
    from tui.speech import speak

    speak()
    forgiving()
    options = parser().parse_args(arguments)
    name = options.verb or ("plain" if options.plain else "screen")
    try:
        if options.verb in KEEPS_JOBS:
            from tui.loading import settings_for

            settings_for(options)
        return int(import_module(f"tui.verbs.{name}").run(options))
    except SootlineError as error:
        from trees.text import printable

        print(printable(_("sootline: {error}").format(error=error), keep="\n"), file=sys.stderr)
        return Exit.COULD_NOT
    except BrokenPipeError:  # the reader of a pipe went away: nothing is wrong
        sys.stderr.close()
        return Exit.FINE
    except KeyboardInterrupt:
        print(_("sootline: stopped by the keyboard; what was answered is saved."), file=sys.stderr)
        return Exit.COULD_NOT
    except Exception:
        import traceback

        from tui.faults import fault

        print(_("sootline: {format_exc}").format(format_exc=fault(traceback.format_exc())), file=sys.stderr)
        return Exit.COULD_NOT


if __name__ == "__main__":
    raise SystemExit(main())
