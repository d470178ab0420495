"""Whether what an exam writes as an answer is one that the check takes, and what two facts say together."""

from __future__ import annotations

from collections.abc import Collection

from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from trees.book import Book
from trees.book.model import Check
from trees.book.problems import Findings
from trees.book.words import UNKNOWN, WORK_ANSWERS
from trees.book.worked import GivenText
from trees.errors import ReadingError
from trees.figures.units import parse_reading


class UnfitError(Exception):
    """What a check of this book does not take: the reason and the cure in a sentence."""

    def __init__(self, said: str, *, of_check: bool = False) -> None:
        super().__init__(said)
        self.of_check = of_check
        """The name of the check is at fault, and not the answer."""


def given_answer(book: Book, check: str, node: Node) -> GivenText:
    """Return an answer as it is told to the walk; UnfitError where this book has no such check or answer."""
    if check in plate_names(book):
        return _plate(check, _written(node))
    known = {**{question.id: question for question in book.gate}, **book.fixes, **book.checks}
    if check not in known:
        near = Findings().nearest(check, known)
        raise UnfitError(
            f"there is no check `{check}`; " + (f"did you mean `{near}`?" if near else "see --list"), of_check=True
        )
    written = _written(node)
    if written == UNKNOWN:
        return UNKNOWN
    if check in book.fixes:
        return _one(check, written, WORK_ANSWERS)
    if check not in book.checks:
        question = next(question for question in book.gate if question.id == check)
        return _one(check, written, [answer.id for answer in question.answers])
    one = book.checks[check]
    if one.figure:
        raise UnfitError(
            f"`{check}` is worked out from readings; tell these instead: {', '.join(one.inputs)}", of_check=True
        )
    return _of_check(one, written)


def plate_names(book: Book) -> tuple[str, ...]:
    """Return the figures off the plate that a job without family may tell, as `family.voltage`."""
    rated = (name for family in book.families.values() for name in family.rated)
    return tuple(f"family.{name}" for name in dict.fromkeys(("voltage", *rated)))


def _plate(name: str, written: GivenText) -> GivenText:
    if name == "family.voltage":
        written = written.removesuffix("V").strip() if isinstance(written, str) else written
        return _one(name, written, ("12", "24", UNKNOWN))
    if not isinstance(written, str):
        raise UnfitError(f"`{name}` takes one reading")
    return written


def again(book: Book, check: str, first: GivenText, second: GivenText) -> GivenText:
    """Return what two facts say of one check: ticked items and named readings add up; ValueError if they differ."""
    one = book.checks.get(check)
    if one is not None and one.items and UNKNOWN not in (first, second):
        return tuple(dict.fromkeys((*_listed(first), *_listed(second))))
    if isinstance(first, dict) and isinstance(second, dict) and all(first.get(k, v) == v for k, v in second.items()):
        return {**first, **second}
    if first != second:
        raise ValueError(check)
    return first


def _of_check(check: Check, written: GivenText) -> GivenText:
    routes = [answer.id for answer in (*check.answers, *check.extra)]
    if check.items:
        return tuple(_one(check.id, item, [answer.id for answer in check.items]) for item in _listed(written))
    if check.readings:
        if not isinstance(written, dict):
            names = ", ".join(reading.name for reading in check.readings)
            raise UnfitError(f"`{check.id}` takes readings by name: {names}")
        units = {reading.name: reading.unit for reading in check.readings}
        for name, text in written.items():
            _reading(check.id, text, units[_one(check.id, name, list(units))])
        return written
    if check.bands and not (isinstance(written, str) and written in routes):
        text = "; ".join(_listed(written))
        if "\n" in text or not any(sign.isdigit() for sign in text):
            also = f", or {', '.join(routes)}" if routes else ""
            raise UnfitError(f"`{check.id}` takes a reading in {check.unit or 'plain numbers'}{also}, and no `{text}`")
        _reading(check.id, text, check.unit)
        return text
    return _one(check.id, written, routes)


def _reading(check: str, text: str, unit: str) -> None:
    try:
        parse_reading(text, unit)
    except ReadingError as error:
        raise UnfitError(f"`{check}` does not take `{text}`: {error}") from error


def _one(check: str, written: GivenText, known: Collection[str]) -> str:
    if isinstance(written, str) and written in known:
        return written
    shown = "; ".join(_listed(written))
    near = Findings().nearest(shown, known) if isinstance(written, str) else ""
    cure = f"did you mean `{near}`?" if near else f"it takes one of {', '.join(known)}"
    raise UnfitError(f"`{check}` has no answer `{shown}`; {cure}")


def _listed(written: GivenText) -> tuple[str, ...]:
    if isinstance(written, dict):
        return tuple(f"{name}: {text}" for name, text in written.items())
    return (written,) if isinstance(written, str) else tuple(written)


def _written(node: Node) -> GivenText:
    if isinstance(node, ScalarNode):
        if not node.value.strip():
            raise UnfitError("nothing is written as answer; write one, or `unknown`")
        return str(node.value).strip()
    if isinstance(node, SequenceNode) and all(isinstance(one, ScalarNode) for one in node.value):
        if not node.value:
            raise UnfitError("the list of answers is empty; write one, or `unknown`")
        listed = tuple(one.value.strip() for one in node.value)
        return listed[0] if len(listed) == 1 else listed
    if isinstance(node, MappingNode) and all(isinstance(value, ScalarNode) for _, value in node.value):
        return {key.value: value.value.strip() for key, value in node.value}
    raise UnfitError("the answer is nested too deep; write an answer, a list of answers, or readings by name")
