"""Load or check a whole book: the two ways in from outside."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from trees.book.model import Book
from trees.book.problems import Problem, count
from trees.errors import BookError
from trees.figures import FigureInfo
from trees.language import _


@dataclass(frozen=True, slots=True)
class Checked:
    """What the checker says of a book."""

    book: Book | None
    """None where there are errors: such a book must not be walked."""
    problems: tuple[Problem, ...]
    """All of them, by file, line and column."""
    counts: dict[str, int]
    """trees, steps, checks, causes, signs, families, worked: as far as they could be read."""
    trees: tuple[str, ...] = ()
    """Ids of the trees."""
    sources: Mapping[str, str] = field(default_factory=dict, repr=False)
    """File → its text, to show a problem with its line."""

    @property
    def errors(self) -> int:
        """How many of the problems are errors."""
        return count(self.problems)["error"]


def check_book(path: str | Path, figures: Mapping[str, FigureInfo] | None = None, *, languages: bool = True) -> Checked:
    """
    Read and prove the book in a folder, and its texts in other `languages`.

    `figures` are those of the trade unless others are given.

    Raises BookError only where there is no folder to read.
    """
    # YAML and graphs are loaded with the first book, not with the package.
    from trees.book.prove import prove
    from trees.book.prove_languages import prove_languages
    from trees.book.reader import read_folder

    if figures is None:
        from trees.figures import registry

        figures = registry()
    with _no_collection():
        draft = read_folder(Path(path), figures)
        book = draft.book()
        prove(draft, book, figures)
        if languages:
            prove_languages(Path(path), book, draft.findings, draft.sources)
    findings = draft.findings
    counts = {
        "trees": len(book.trees),
        "steps": sum(len(tree.steps) for tree in book.trees.values()),
        "checks": len(book.checks),
        "causes": len(book.causes),
        "signs": len(book.signs),
        "families": len(book.families),
        "worked": len(book.worked),
    }
    return Checked(None if findings.errors else book, findings.told(), counts, tuple(book.trees), draft.sources)


@contextmanager
def _no_collection() -> Iterator[None]:
    """Keep Python's cycle collector out: it would look at every node of a large book again and again."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def load_book(path: str | Path, language: str = "") -> Book:
    """
    Return the book in a folder, in another language as far as it has texts in it.

    Raises BookError with all problems if it has errors; warnings don't matter here.
    """
    checked = check_book(path, languages=False)
    if checked.book is not None:
        return shown_in(checked.book, Path(path), language)
    errors = [problem for problem in checked.problems if problem.severity == "error"]
    first = errors[0]
    spot = first.spot
    more = _(" and {n} more").format(n=len(errors) - 1) if len(errors) > 1 else ""
    raise BookError(
        _(
            "The book at {path} can't be used: {file}:{line}:{column}: {message}{more}. `sootline check {path}` says "
            "how to mend it."
        ).format(path=path, file=spot.file, line=spot.line, column=spot.column, message=first.message, more=more),
        checked.problems,
    )


def shown_in(book: Book, folder: Path | None, language: str) -> Book:
    """
    Return a book in a language, as far as texts in it lie in its folder; else as it is written.

    Raises BookError where the file of texts is broken.
    """
    own = book.own or book
    if language in {"", own.language} or folder is None:
        return own
    from trees.book.languages import in_language, load_translation

    translation = load_translation(folder, language)
    return own if translation is None else in_language(own, translation)


def shipped_book_path() -> Path:
    """Return the folder of the book that ships with the program."""
    return Path(__file__).resolve().parent.parent / "heaters"
