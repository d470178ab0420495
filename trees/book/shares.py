"""Shares counted from closed jobs, laid over a book: the overlay's file, read and written; the book's files stay."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trees.book.model import Book, Spot
from trees.errors import BookError
from trees.language import _, reason_of

if TYPE_CHECKING:
    from yaml.nodes import MappingNode

    from trees.book.values import Reading

HEAD = "# Shares counted from closed jobs by `sootline recount`; `sootline --shares FILE` lays them over the book's."
"""First line of every overlay: by it a file that may be written anew is known."""
_DIGITS = 4
_LARGEST = 4 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class CountedShare:
    """What is laid over one cause; share and interval count in 100 jobs, as in causes.yaml."""

    share: float
    jobs: float
    """Jobs that were counted, old ones counting less."""
    interval: tuple[float, float]
    """Ends of the interval that holds the share with 90 %."""


@dataclass(frozen=True, slots=True)
class Overlay:
    """Counted shares that an author accepted, and the book they belong to."""

    book: str
    """Fingerprint of that book: its edition to the letter."""
    edition: str
    date: str
    """Day on which they were counted, year-month-day."""
    shares: Mapping[str, CountedShare]


def overlay_text(overlay: Overlay) -> str:
    """Return the overlay as the text of its file."""
    rows = [
        HEAD,
        f'book: "{overlay.book}"',
        f"edition: {_quoted(overlay.edition)}",
        f'date: "{overlay.date}"',
        "shares:",
    ]
    for cause, counted in overlay.shares.items():
        low, high = (_number(end) for end in counted.interval)
        share, jobs = _number(counted.share), _number(counted.jobs)
        rows.append(f"  {cause}: {{share: {share}, jobs: {jobs}, interval: [{low}, {high}]}}")
    return "\n".join([*rows, ""])


def lay_over(book: Book, path: Path) -> Book:
    """
    Return the book with an overlay's shares in the place of its own; its fingerprint stays, for its files do.

    Raises BookError, with the place, for what can't be read, belongs to another edition, or names unknown causes.
    """
    overlay = read_overlay(path, book)
    laid = {cause: replace(book.causes[cause], share=counted.share) for cause, counted in overlay.shares.items()}
    return replace(book, causes={**book.causes, **laid})


def read_overlay(path: Path, book: Book) -> Overlay:
    """Return the overlay in a file that fits a book; BookError as `lay_over` says."""
    # YAML is loaded with the first overlay, not with the package
    from trees.book.problems import Findings
    from trees.book.source import read_source
    from trees.book.values import BAD, Reading
    from trees.book.where import Where

    findings = Findings()
    source = read_source(str(path), _bytes(path), findings)
    reading = Reading(findings, Where())
    values: Any = BAD if source.root is None else _table().read(source.root, reading)
    if source.root is not None and values is not BAD:
        _prove(values, source.root, reading, book)
    errors = [problem for problem in findings.told() if problem.severity == "error"]
    if errors:
        first, more = errors[0], f", and {len(errors) - 1} more" if len(errors) > 1 else ""
        cure = f"; {first.help}" if first.help else ""
        raise BookError(f"{_refused(path, first.spot)} {first.message}{cure}{more}.", tuple(errors))
    return Overlay(**values)


def _table() -> Any:
    from trees.book.fields import Items, Key, Pairs, Table
    from trees.book.values import Name, Number, Text

    share = Number(0, 100)
    counted = Table(
        "counted share",
        {
            "share": Key(share, needed=True),
            "jobs": Key(Number(0), needed=True),
            "interval": Key(Items(share, exactly=2), needed=True),
        },
        make=CountedShare,
    )
    return Table(
        "file of shares",
        {
            "book": Key(Text(), needed=True),
            "edition": Key(Text(), needed=True),
            "date": Key(Text(), needed=True),
            "shares": Key(Pairs(Name("cause"), counted, least=1), needed=True),
        },
    )


def _prove(values: Mapping[str, Any], root: MappingNode, reading: Reading, book: Book) -> None:
    """Report what reads well and can't be right; another edition explains all the rest, so it is refused at once."""
    from trees.book.source import spot_of

    nodes = {key.value: node for key, node in root.value}
    if values["book"] != book.fingerprint:
        spot = spot_of(nodes["book"])
        raise BookError(
            f"{_refused(Path(spot.file), spot)} they were counted with another edition of the book "
            f"({values['edition']}, fingerprint {values['book']}); this is {book.edition}, fingerprint "
            f"{book.fingerprint}. Count anew with `sootline recount --write FILE`, or give the book they belong to."
        )
    try:
        date.fromisoformat(values["date"])
    except ValueError:
        reading.complain("not-a-date", f"`{values['date']}` is no date", nodes["date"], "write year-month-day")
    for ref in reading.refs:
        if ref.name not in book.causes:
            near = reading.findings.nearest(ref.name, book.causes)
            cure = f"did you mean `{near}`?" if near else "take the line out"
            reading.complain("unknown-name", f"this book has no cause named `{ref.name}`", ref.node, cure)
    for key, node in nodes["shares"].value:
        low, high = values["shares"][key.value].interval
        if low > high:
            reading.complain("number-out-of-range", "the interval falls", node, "write its lower end first")


def _bytes(path: Path) -> bytes:
    try:
        if not path.is_file():
            reason = _("it is no ordinary file") if path.exists() else _("it does not exist")
        elif path.stat().st_size > _LARGEST:
            reason = _("it is larger than {n} MB").format(n=_LARGEST // 1024 // 1024)
        else:
            return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = reason_of(error)
    raise BookError(_("The shares at {path} can't be read: {reason}.").format(path=path, reason=reason))


def _refused(path: Path, spot: Spot) -> str:
    return f"The shares at {path} can't be used: {spot.file}:{spot.line}:{spot.column}:"


def _number(value: float) -> str:
    text = f"{value:.{_DIGITS}f}"
    return text.rstrip("0").rstrip(".")


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
