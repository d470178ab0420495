"""Is the book sound? Puts together what the checker proves of a book once it is read."""

from __future__ import annotations

from collections.abc import Mapping

from trees.book.bands import prove_bands
from trees.book.checks import prove_check, prove_gate
from trees.book.danger import prove_danger
from trees.book.draft import Draft
from trees.book.model import Book
from trees.book.names import prove_names
from trees.book.pairs import prove_pairs
from trees.book.paths import prove_figure_inputs, prove_leads_to, prove_paths
from trees.book.records import find
from trees.book.routes import prove_numbers, prove_opened, prove_tree
from trees.book.source import spot_of
from trees.book.standing import prove_standing
from trees.book.units import prove_units
from trees.book.use import prove_use
from trees.figures import FigureInfo


def prove(draft: Draft, book: Book, figures: Mapping[str, FigureInfo] | None) -> None:
    """Report all that is wrong with what was read; what hangs on something broken is not reported again."""
    lost = prove_names(draft, book, figures)
    unsound = {tree for kind, _, tree in lost if kind == "step"}
    where = draft.reading.where
    cut = {tree.id for tree in book.trees.values() if len(tree.steps) < len(where.names("step", tree.id))}
    unsound |= cut
    for check in book.checks.values():
        prove_check(draft, book, check, figures)
        prove_bands(draft, book, check)
    prove_units(draft, book, figures)
    prove_standing(draft)
    prove_gate(draft, book)
    prove_danger(draft, book)
    for tree in book.trees.values():
        errors = draft.findings.errors
        prove_tree(draft, book, tree, sound=tree.id not in unsound)
        if draft.findings.errors > errors:
            unsound.add(tree.id)
    prove_numbers(draft, book)
    misled = any(problem.code in {"tree-shared", "tree-not-shared"} for problem in draft.findings.problems)
    if not misled and not cut and all(kind != "tree" for kind, _, _ in lost):
        prove_opened(draft, book)
    prove_paths(draft, book, unsound)
    prove_leads_to(draft, book)
    prove_figure_inputs(draft, book)
    _prove_excludes(draft)
    if not draft.findings.errors:
        prove_use(draft, book)
        prove_pairs(draft, book)


def _prove_excludes(draft: Draft) -> None:
    """Report a sign that excludes itself."""
    for name, sign in draft.made.get("sign", {}).items():
        if name in sign.excludes:
            excludes = find(draft.node("sign", name), "excludes")
            at = next((item for item in excludes.value if item.value == name), None) if excludes is not None else None
            draft.findings.add(
                "excludes-itself",
                f"the sign `{name}` excludes itself",
                spot_of(at) if at is not None else draft.key_spot("sign", name),
                "name the opposite sign",
            )
