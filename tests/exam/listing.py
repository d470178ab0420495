"""What a writer of an exam may know of a book: its ids with their words, and nothing of links and weights."""

from __future__ import annotations

from collections.abc import Iterator

from exam_answers import plate_names

from trees.book import Book
from trees.book.model import Answer, ByVoltage, Check, Edge, FamilyValue


def listed(book: Book) -> Iterator[str]:
    """Yield a line per id: complaints, families, causes, cautions that can stop, safety questions, checks, fixes."""
    yield "complaints (`complaint`)"
    for tree in book.complaints():
        yield f"  {tree.id}: {tree.title}"
    yield "families (`family`)"
    for family in book.families.values():
        yield f"  {family.id}: {family.name}"
        yield from (f"    {name}: {rated.value:g} {rated.unit}".rstrip() for name, rated in family.rated.items())
    yield "figures off the plate, where the family is not known (`check`)"
    yield from (f"  {name}" for name in plate_names(book))
    yield "causes (`causes`, `accept`, `contributing`)"
    for cause in book.causes.values():
        yield f"  {cause.id}: {cause.name}"
    yield "cautions (`stop`)"
    for caution in book.cautions.values():
        if caution.stop_line:
            yield f"  {caution.id}: {caution.stop_line}"
    yield "safety questions (`check`)"
    for question in book.gate:
        yield f"  {question.id}: {question.ask}"
        yield from (f"    {answer.id}: {answer.means}" for answer in question.answers)
    yield "checks (`check`)"
    for check in book.checks.values():
        if check.form != "figure":
            yield from _check(check)
    yield "fixes (`check`; answer cured, still or not_tried)"
    for fix in book.fixes.values():
        yield f"  {fix.id}: {fix.do}"


def _check(check: Check) -> Iterator[str]:
    limits = "".join(f"; only {what} {which}" for what, which in check.applies.items())
    yield f"  {check.id} ({', '.join(check.place)}{limits}): {check.wording}"
    if check.repeat > 1:
        yield f"    up to {check.repeat} readings"
    for reading in check.readings:
        yield f"    {reading.name}: a reading in {reading.unit or 'plain numbers'}, {reading.label or reading.name}"
    if check.bands:
        share = f" as a share of {' or '.join(check.of)}" if check.of else ""
        yield f"    a reading in {check.unit or 'plain numbers'}; its bands{share}:"
    for answer in check.bands:
        yield f"      {_span(answer)}: {answer.means}"
    if check.items:
        yield "    a list of:"
    for answer in check.items:
        yield f"      {answer.id}: {answer.means}"
    for answer in (*check.answers, *check.extra):
        yield f"    {answer.id}: {answer.means}"


def _span(band: Answer) -> str:
    if band.upto is not None:
        return f"up to {_edge(band.upto)}"
    return f"above {_edge(band.above)}" if band.above is not None else "the rest"


def _edge(edge: Edge) -> str:
    if isinstance(edge, FamilyValue):
        return f"the unit's {edge.name}"
    if isinstance(edge, ByVoltage):
        return " or ".join(f"{value:g} ({volts} V)" for volts, value in edge.volts.items())
    return f"{edge:g}"
