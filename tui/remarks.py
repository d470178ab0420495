"""What the workshop had to say to the author, as lines to choose from. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from trees.book.model import Book
from trees.book.tree import Step, Tree
from trees.language import N_, _

if TYPE_CHECKING:
    from trees.casebook import KeptRemark

ERASED = N_("(erased with the job's personal data)")


def remark_rows(kept: Sequence[KeptRemark], book: Book) -> list[tuple[str, str]]:
    """Return (id, line) of each remark: step number, what was said, job, seat; the edition where it was another."""
    return [(_id(remark), _line(remark, book)) for remark in kept]


def _id(remark: KeptRemark) -> str:
    return f"{remark.job}:{remark.no}"


def _line(remark: KeptRemark, book: Book) -> str:
    tree = book.trees.get(remark.tree)
    step = tree.steps.get(remark.step) if tree is not None else None
    about = _("book") if not remark.tree else str(step.no) if step is not None else _("gone")
    older = "" if remark.fingerprint in {"", book.fingerprint} else _(", by another edition")
    return f"{about:>4}  {remark.text or _(ERASED)}  ({remark.job}, {remark.seat}, {remark.at[:10]}{older})"


def step_of(kept: Sequence[KeptRemark], chosen: str | None, book: Book) -> tuple[Tree, Step] | None:
    """Return the step that a chosen remark is about; None where it is about the book, or the step is gone."""
    remark = next((each for each in kept if _id(each) == chosen), None)
    tree = book.trees.get(remark.tree) if remark is not None else None
    step = tree.steps.get(remark.step) if tree is not None and remark is not None else None
    return None if tree is None or step is None else (tree, step)
