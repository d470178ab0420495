"""Is each check sound in itself, and each gate question? Answers, readings, figures, and how long it reads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from yaml.nodes import Node

from trees.book.bands import fits
from trees.book.draft import Draft
from trees.book.model import Answer, Book, Check, GateQuestion
from trees.book.records import find, find_key
from trees.book.source import spot_of
from trees.book.words import UNKNOWN
from trees.figures import FigureInfo

MOST_QUESTION_WORDS = 20
MOST_ANSWER_WORDS = 8
MOST_ANSWERS = 9
"""One for each digit key."""


def prove_check(draft: Draft, book: Book, check: Check, figures: Mapping[str, FigureInfo] | None) -> None:
    """Report what is wrong with one check in itself; its bands are proved in `bands.py`."""
    node = draft.node("check", check.id)
    _ids(draft, _nodes_of(node))
    _reads_well(draft, check.wording if check.form != "figure" else "", find(node, check.form), check, node)
    if check.form == "measure":
        _measure(draft, check, node)
    if check.form == "figure" and figures is not None and check.figure in figures:
        _figure(draft, check, figures[check.figure], node)
    _applies(draft, book, check, node)
    if "phone" in check.place and check.inside:
        at = find(node, "place") or find_key(node, "inside") or node
        draft.findings.add(
            "phone-inside",
            "a caller must never open the unit",
            spot_of(at),
            "write `place: [bench, site]`, or leave `inside` out",
        )


def _nodes_of(node: Node) -> list[Node]:
    """Return the nodes of all answers, bands, items and the spread of a check."""
    found: list[Node] = []
    for key in ("answers", "bands", "or", "items"):
        part = find(node, key)
        found += part.value if part is not None else ()
    spread = find(node, "spread")
    return [*found, spread] if spread is not None else found


def _ids(draft: Draft, answers: Iterable[Node]) -> None:
    """Each answer has an id of its own, and `unknown` is nobody's."""
    first: dict[str, Node] = {}
    for answer in answers:
        node = find(answer, "id")
        if node is None:
            continue
        name: str = node.value
        if name == UNKNOWN:
            draft.findings.add(
                "reserved-answer",
                "`unknown` is an answer of every check by itself",
                spot_of(node),
                "leave the answer out, or name it otherwise",
            )
        elif name in first:
            draft.findings.add(
                "duplicate-answer",
                f"the answer `{name}` is there twice",
                spot_of(node),
                "name one of the two otherwise",
                [(spot_of(first[name]), "first given here")],
            )
        first.setdefault(name, node)


def _reads_well(draft: Draft, wording: str, at: Node | None, check: Check, node: Node) -> None:
    """Questions and answers are short enough to be read at arm's length; answers have a digit key each."""
    if at is not None:
        _length(draft, wording, at)
    for answer in _nodes_of(node):
        means = find(answer, "means")
        if means is not None:
            _answer_length(draft, means)
    routes = check.routes()
    if len(routes) > MOST_ANSWERS:
        tenth = [n for n in _nodes_of(node) if find(n, "id") is not None][MOST_ANSWERS]
        draft.findings.add(
            "many-answers",
            f"{len(routes)} answers; a digit key chooses only among {MOST_ANSWERS}",
            spot_of(find(tenth, "id") or tenth),
            "put two questions in its place",
        )


def _length(draft: Draft, wording: str, at: Node) -> None:
    words = len(wording.split())
    if words > MOST_QUESTION_WORDS:
        draft.findings.add(
            "long-question",
            f"the question has {words} words; {MOST_QUESTION_WORDS} are easily read",
            spot_of(at),
            "ask one thing; the rest goes into `how`",
        )


def _answer_length(draft: Draft, at: Node) -> None:
    words = len(str(at.value).split())
    if words > MOST_ANSWER_WORDS:
        draft.findings.add(
            "long-answer",
            f"the answer has {words} words; {MOST_ANSWER_WORDS} are easily read",
            spot_of(at),
            "say it shorter",
        )


def _measure(draft: Draft, check: Check, node: Node) -> None:
    key_spot = draft.key_spot("check", check.id)
    if check.readings:
        for key in ("unit", "plausible", "uncertainty", "bands", "or", "of", "repeat", "spread"):
            at = find_key(node, key)
            if at is not None:
                draft.findings.add(
                    "two-forms",
                    f"a measurement with `readings` has no `{key}`",
                    spot_of(at),
                    "each reading has its own unit and range; judge them by a check of the form `figure`",
                )
                return
        return
    if not check.unit:
        draft.findings.add(
            "missing-key",
            "this measurement has no `unit`",
            key_spot,
            'write `unit:`, or `unit: "1"` for a plain number',
        )
    if check.spread is not None and check.repeat < 2:
        at = find_key(node, "spread")
        draft.findings.add(
            "spread-of-one",
            "one reading has no spread",
            spot_of(at) if at else key_spot,
            "write `repeat: 3`, or leave `spread` out",
        )
    if check.of and not check.bands:
        at = find_key(node, "of")
        draft.findings.add(
            "of-without-bands",
            "`of` says what bands are fractions of, but there are no bands",
            spot_of(at) if at else key_spot,
            "write `bands`, or leave `of` out",
        )


def _figure(draft: Draft, check: Check, figure: FigureInfo, node: Node) -> None:
    """Report inputs that are none of the figure's, and those that it needs and does not get."""
    inputs = find(node, "from")
    for name in check.inputs:
        if name not in figure.inputs:
            near = draft.findings.nearest(name, figure.inputs)
            key = find_key(inputs, name)
            draft.findings.add(
                "unknown-input",
                f"the figure `{figure.name}` has no input `{name}`",
                spot_of(key or node),
                f"did you mean `{near}`?" if near else f"it takes {', '.join(figure.inputs)}",
            )
    missing = figure.missing(check.inputs)
    if missing and all(name in figure.inputs for name in check.inputs):
        key = find_key(node, "from")
        given = ", ".join(f"{name} ({figure.inputs[name].unit})" for name in missing)
        draft.findings.add(
            "missing-input",
            f"the figure `{figure.name}` still needs {given}",
            spot_of(key or node),
            f"add `{missing[0]}:` and the check that gives it",
        )


def _applies(draft: Draft, book: Book, check: Check, node: Node) -> None:
    if not (check.applies and book.families) or "family" in draft.unread:
        return
    medium = check.applies.get("medium")
    if medium is not None and ("medium", medium) not in draft.reading.where:
        return  # told already: no such name
    if not any(fits(family, check.applies) for family in book.families.values()):
        draft.findings.add(
            "for-no-family",
            "no family of this book is of that kind",
            spot_of(find(node, "for") or node),
            "look at `medium` and `voltage` in families.yaml",
        )


def prove_gate(draft: Draft, book: Book) -> None:
    """Cannot-tell counts as the most dangerous answer of each safety question."""
    for question in book.gate:
        node = draft.node("gate question", question.id)
        _length(draft, question.ask, find(node, "ask") or node)
        answers = find(node, "answers")
        _ids(draft, answers.value if answers is not None else ())
        for answer in answers.value if answers is not None else ():
            means = find(answer, "means")
            if means is not None:
                _answer_length(draft, means)
        _gate_unknown(draft, question, node)
        _gate_opens(draft, book, question, node)


def _danger(answer: Answer) -> tuple[bool, bool, bool]:
    return answer.stop is not None, answer.forbids_starts, answer.opens is not None


def _gate_unknown(draft: Draft, question: GateQuestion, node: Node) -> None:
    at = find(node, "unknown") or node
    names = [answer.id for answer in question.answers]
    if question.unknown not in names:
        near = draft.findings.nearest(question.unknown, names)
        cure = f"did you mean `{near}`?" if near else f"the answers are {', '.join(names)}"
        draft.findings.add("unknown-answer", f"this question has no answer `{question.unknown}`", spot_of(at), cure)
        return
    chosen = next(answer for answer in question.answers if answer.id == question.unknown)
    worst = max(question.answers, key=_danger)
    if _danger(chosen) < _danger(worst):
        does = "stops the job" if worst.stop else "forbids starts" if worst.forbids_starts else "opens another tree"
        draft.findings.add(
            "gate-unknown",
            f"cannot-tell must count as the most dangerous answer, and `{worst.id}` {does}",
            spot_of(at),
            f"write `unknown: {worst.id}`",
        )


def _gate_opens(draft: Draft, book: Book, question: GateQuestion, node: Node) -> None:
    for number, answer in enumerate(question.answers):
        tree = book.trees.get(answer.opens or "")
        if tree is not None and tree.shared:
            at = find(node, "answers", number, "opens")
            draft.findings.add(
                "tree-shared",
                f"`{tree.id}` is shared and can't be opened by itself",
                spot_of(at or node),
                "name a tree that is not shared",
            )
