"""Does every name in the book lead somewhere? What does not is reported once, with the nearest name that exists."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from trees.book.draft import Draft
from trees.book.model import Book, Check
from trees.book.problems import quoted
from trees.book.records import unknown_level
from trees.book.source import spot_of
from trees.book.values import Ref
from trees.figures import FigureInfo

_FOUND_IN: Mapping[str, str] = {
    "cause": "causes.yaml",
    "sign": "signs.yaml",
    "caution": "cautions.yaml",
    "fix": "fixes.yaml",
    "check": "checks/",
    "tree": "trees/",
    "tool": "book.yaml under tools",
    "caller act": "book.yaml under caller_may",
    "medium": "book.yaml under media",
}
_FILE_KIND: Mapping[str, str] = {
    "tool": "book",
    "caller act": "book",
    "medium": "book",
    "family value": "family",
    "figure check": "check",
    "reading": "check",
}
Lost = tuple[str, str, str]
"""Kind, name and tree (for steps) of a name that leads nowhere."""

_MOST_NOTES = 5


def prove_names(draft: Draft, book: Book, figures: Mapping[str, FigureInfo] | None) -> frozenset[Lost]:
    """Report names that lead nowhere, and return them."""
    lost: dict[Lost, list[Ref]] = {}
    for ref in draft.reading.refs:
        if not draft.exists(ref, figures):
            lost.setdefault((ref.kind, ref.name, ref.tree), []).append(ref)
    for (kind, _, _), refs in lost.items():
        if _FILE_KIND.get(kind, kind) not in draft.unread:
            _report(refs, draft, figures)
    _prove_links(draft, book, lost)
    for sign_node, level_node in draft.reading.level_refs:
        sign = book.signs.get(sign_node.value)
        if sign is not None and level_node.value not in sign.levels:
            unknown_level(level_node.value, sign.levels, level_node, draft.reading)
    return frozenset(lost)


def _report(refs: list[Ref], draft: Draft, figures: Mapping[str, FigureInfo] | None) -> None:
    kind, name, _, tree = refs[0]
    if kind == "figure check":
        kind = "check"
    elif kind == "reading":
        kind, name = "check", name.partition(".")[0]
    near = draft.findings.nearest(name, _known(kind, tree, draft, figures))
    spots = [spot_of(ref.node) for ref in refs]
    notes = [(spot, "named here too") for spot in spots[1:_MOST_NOTES]]
    if len(spots) > _MOST_NOTES:
        notes.append((spots[_MOST_NOTES], f"and in {len(spots) - _MOST_NOTES} places more"))
    if kind == "family value":
        if draft.reading.where.names("family") - draft.made.get("family", {}).keys():
            return  # a family that could not be read may state it
        cure = f"did you mean `{near}`? " if near else ""
        draft.findings.add(
            "value-of-no-family",
            f"no family states {quoted(name)}, so that every job must ask for it",
            spots[0],
            f"{cure}Values stand under `rated` in families.yaml",
            notes,
        )
        return
    what = "step of this tree" if kind == "step" else kind
    cure = (
        f"did you mean `{near}`?"
        if near
        else f"add it in {_FOUND_IN[kind]}"
        if kind in _FOUND_IN
        else "name one that is there"
    )
    draft.findings.add("unknown-name", f"no {what} is called {quoted(name)}", spots[0], cure, notes)


def _known(kind: str, tree: str, draft: Draft, figures: Mapping[str, FigureInfo] | None) -> Collection[str]:
    if kind == "step":
        return draft.reading.where.names("step", tree)
    if kind == "figure":
        return figures or ()
    if kind == "family value":
        return {name for family in draft.made.get("family", {}).values() for name in family.rated}
    return draft.reading.where.names(kind)


def _prove_links(draft: Draft, book: Book, lost: Mapping[Lost, object]) -> None:
    """Report a number that is taken from a check which does not give it."""
    for ref in draft.reading.refs:
        if ref.kind not in {"reading", "figure check"} or (ref.kind, ref.name, ref.tree) in lost:
            continue
        check_id, dot, reading = ref.name.partition(".")
        check = book.checks.get(check_id)
        if check is None:
            continue
        if ref.kind == "figure check":
            if check.form != "figure":
                draft.findings.add(
                    "no-number",
                    f"`{check_id}` is not worked out",
                    spot_of(ref.node),
                    "name a check of the form `figure`",
                )
        else:
            _prove_reading(ref, check, reading, bool(dot), draft)


def _prove_reading(ref: Ref, check: Check, reading: str, dotted: bool, draft: Draft) -> None:
    names = [field.name for field in check.readings]
    spot = spot_of(ref.node)
    if check.form not in {"measure", "figure"}:
        draft.findings.add(
            "no-number", f"`{check.id}` gives no number", spot, "name a check that measures or works out"
        )
    elif names and reading not in names:
        near = draft.findings.nearest(reading, names)
        cure = f"write `{check.id}.{near or names[0]}`" + ("" if near else f"; it takes {', '.join(names)}")
        message = f"`{check.id}` has no reading {quoted(reading)}" if dotted else f"`{check.id}` takes several readings"
        draft.findings.add("unknown-reading", message, spot, cure)
    elif dotted and not names:
        draft.findings.add("unknown-reading", f"`{check.id}` takes one reading only", spot, f"write `{check.id}` alone")
