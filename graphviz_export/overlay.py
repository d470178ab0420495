"""What the casebook adds to a chart: the way of one job, and how many closed jobs went which way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from graphviz_export.boxes import NOT_FOR_UNIT, Box, Chart, Row
from trees.book.words import UNKNOWN
from trees.errors import PaperError, SootlineError
from trees.language import _
from trees.walk.travel import DOES_NOT_APPLY, Visit
from trees.walk.walk import Walk

LEAST_ANSWERS = 10
"""Below that no share is printed at a step: two of three jobs are not 67 %."""


def with_trail(chart: Chart, walk: Walk, number: str, *, invented: bool = False) -> Chart:
    """Return the chart with the way of a job drawn in; PaperError if the job never came through this tree.

    The way is what the job's answers amount to by the book of the walk, answers that were taken back left out.
    """
    steps: set[int] = set()
    rows: set[tuple[int, int]] = set()
    for visit, box in _passed(chart, walk):
        steps.add(box.no)
        row = _row_of(box, visit, walk)
        if row is not None:
            rows.add((box.no, row))
    _fill_in(chart, steps, rows)
    if not steps:
        raise PaperError(
            _("Job {number} did not come through “{title}”; name a tree that it took.").format(
                number=number, title=chart.title
            )
        )
    boxes = tuple(
        replace(
            box,
            taken=box.no in steps,
            rows=tuple(replace(row, taken=(box.no, index) in rows) for index, row in enumerate(box.rows)),
        )
        for box in chart.boxes
    )
    told = _("Way of job {number}{part}: {way}").format(
        number=number, part=_(", invented") if invented else "", way=_in_order(chart, steps, rows)
    )
    return replace(chart, boxes=boxes, remarks=(*chart.remarks, told))


def _fill_in(chart: Chart, steps: set[int], rows: set[tuple[int, int]]) -> None:
    """Add what a job passes without an answer: steps that an answer led to, and the way on after another chart."""
    targets = [chart.box(no).rows[row].target for no, row in rows]
    steps |= {target for target in targets if target is not None}
    for box in chart.boxes:
        way_on = box.rows[0].target if box.kind == "run" and box.no in steps else None
        if way_on in steps:
            rows.add((box.no, 0))


def _in_order(chart: Chart, steps: set[int], rows: set[tuple[int, int]]) -> str:
    """Return the numbers of the steps as the job came to them; a new piece where it jumped."""
    after = {no: chart.box(no).rows[row].target for no, row in rows}
    begins = [no for no in sorted(steps, key=lambda no: (no != chart.begin, no)) if no not in after.values()]
    pieces = []
    for begin in begins:
        piece, no = [str(begin)], after.get(begin)
        while no is not None:
            piece.append(str(no))
            no = after.get(no)
        pieces.append(" – ".join(piece))
    return " … ".join(pieces)


def with_shares(chart: Chart, walks: Iterable[Walk]) -> Chart:
    """Return the chart with the share of jobs in each answer row; a step that few passed stays without."""
    counts: Counter[tuple[int, int]] = Counter()
    jobs = unread = 0
    for walk in walks:
        came_through = False
        try:
            passed = tuple(_passed(chart, walk))
        except (SootlineError, LookupError, TypeError, ValueError):  # an import may bring entries of any content
            unread += 1
            continue
        for visit, box in passed:
            row = _row_of(box, visit, walk)
            if row is not None:
                counts[box.no, row] += 1
                came_through = True
        jobs += came_through
    boxes = tuple(_with_counts(box, counts) for box in chart.boxes)
    told = _("Shares of {jobs} closed jobs; no share where fewer than {least} passed").format(
        jobs=jobs, least=LEAST_ANSWERS
    )
    if unread:
        told += _("; {unread} jobs can't be read with this book").format(unread=unread)
    return replace(chart, boxes=boxes, remarks=(*chart.remarks, told))


def _with_counts(box: Box, counts: Counter[tuple[int, int]]) -> Box:
    total = sum(counts[box.no, index] for index in range(len(box.rows)))
    if total < LEAST_ANSWERS:
        return box
    return replace(box, rows=tuple(_counted(row, counts[box.no, index], total) for index, row in enumerate(box.rows)))


def _counted(row: Row, count: int, total: int) -> Row:
    if row.kind in ("ask", "through"):
        return replace(row, count=count)
    return replace(row, count=count, share=f"{100 * count / total:.0f}\N{NO-BREAK SPACE}%")


def _passed(chart: Chart, walk: Walk) -> Iterator[tuple[Visit, Box]]:
    """Return every visit of a job to a step of the chart, in order, and where it stands last."""
    travel = walk.now.travel
    boxes = {box.no: box for box in chart.boxes}
    for visit in (*travel.passed, *([travel.visit] if travel.visit is not None else [])):
        if visit.tree.id == chart.tree and visit.step.no in boxes:
            yield visit, boxes[visit.step.no]


def _row_of(box: Box, visit: Visit, walk: Walk) -> int | None:
    """Return the row that an answer took; None where there is no answer yet, or no row for it."""
    if "<" in visit.key:  # a reading that a figure of this step wants first
        return None
    if visit.answered is None:
        wanted = NOT_FOR_UNIT if visit.passed == DOES_NOT_APPLY else None
    else:
        wanted = visit.answered.answer
        if visit.answered.check is None and wanted == UNKNOWN:
            wanted = "not_tried"
    if wanted is None:
        return None
    place = walk.now.place if walk.now.place in visit.step.instead else None
    for index, row in enumerate(box.rows):
        if wanted in row.answers and row.place == place:
            return index
    through = [index for index, row in enumerate(box.rows) if not row.answers and row.target is not None]
    return through[0] if through else None
