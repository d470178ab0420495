"""How one plain value of a book is typed: text, name, number, true or false, one of a few words.

A shape turns a node into a value, or reports what is wrong with it and gives `BAD`. Shapes are data, so that a schema
for editors can be made from the same tables. Lists, mappings and tables of keys are in `fields.py`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

from yaml.nodes import MappingNode, Node, ScalarNode

from trees.book.model import Source
from trees.book.problems import Findings, quoted
from trees.book.source import is_empty, kind_name, spot_of
from trees.book.where import Where, as_name
from trees.figures import FigureInfo


class Bad:
    """Stands for a value that could not be read; its problem is already reported."""

    def __repr__(self) -> str:
        return "BAD"


BAD: Final = Bad()

NAME = re.compile(r"[a-z0-9][a-z0-9_]*\Z")
NUMBER = re.compile(r"[+-]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]{1,3})?\Z")
_ODD_NUMBER = re.compile(r"[+-]?[0-9.][0-9a-fA-FxXoO_:.,'-]*\Z|[+-]?\.?(?:inf|nan)\Z", re.IGNORECASE)
_WITH_UNIT = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?)\s*([^\d\s.,:_-]\S*)\Z")


class Ref(NamedTuple):
    """A name that must exist somewhere in the book."""

    kind: str
    """`cause`, `sign`, …; `step` belongs to one tree."""
    name: str
    node: Node
    tree: str = ""


@dataclass(slots=True)
class Reading:
    """What is gathered while the files of a book are read."""

    findings: Findings
    where: Where
    """Every record that stands in the files, also what could not be read."""
    figures: Mapping[str, FigureInfo] = field(default_factory=dict)
    """The figures of the trade: a check that works one out has its title and unit."""
    refs: list[Ref] = field(default_factory=list)
    level_refs: list[tuple[ScalarNode, ScalarNode]] = field(default_factory=list)
    """Sign and the level named for it."""
    words: Mapping[str, float] | None = None
    """Likelihood words of book.yaml; None where that could not be read."""
    tree: str = ""
    """The tree whose file is being read."""
    owner: Node | None = None
    """The key under which the current value stands."""
    source: Source = field(default_factory=lambda: Source("memory"))
    """Standing of a number that names no other, in the file being read."""
    with_source: set[str] = field(default_factory=set)
    """Files whose numbers have a source named at the top."""

    def complain(self, code: str, message: str, node: Node, cure: str = "") -> Bad:
        """Report a problem at a node."""
        self.findings.add(code, message, spot_of(node), cure)
        return BAD


@dataclass(frozen=True, slots=True)
class Shape:
    """Base of all shapes."""

    def read(self, node: Node, reading: Reading) -> Any:
        """Return the value of a node, or BAD after reporting."""
        raise NotImplementedError

    def expects(self) -> str:
        """Say what belongs here, for a message."""
        raise NotImplementedError

    def wrong(self, node: Node, reading: Reading) -> Bad:
        """Report that something of another kind stands here."""
        at = reading.owner if is_empty(node) and reading.owner is not None else node
        if is_empty(node):
            return reading.complain("empty-value", "nothing is written here", at, f"write {self.expects()}")
        return reading.complain("wrong-type", f"{kind_name(node)} stands here", node, f"write {self.expects()}")


@dataclass(frozen=True, slots=True)
class Text(Shape):
    """Words for people; line breaks are kept only where `lines` allows."""

    lines: bool = False

    def expects(self) -> str:
        """Say what belongs here."""
        return "text"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return the text."""
        if type(node) is not ScalarNode:
            return self._not_text(node, reading)
        value: str = node.value
        if not value or value.isspace():
            return self.wrong(node, reading) if not node.style else self._blank(node, reading)
        if "\n" in value:
            return value.rstrip() if self.lines else " ".join(value.split())
        return value

    def _blank(self, node: Node, reading: Reading) -> Bad:
        return reading.complain("empty-value", "the text is empty", node, "write text, or leave the key out")

    def _not_text(self, node: Node, reading: Reading) -> Bad:
        if isinstance(node, MappingNode) and len(node.value) == 1 and node.start_mark.index == _first(node).index:
            return reading.complain(
                "colon-in-text",
                "`: ` inside text makes a key of what stands before it",
                node,
                'put the whole text into quotes: "…"',
            )
        cure = 'write text; text that begins with a bracket goes into quotes: "…"'
        return reading.complain("wrong-type", f"{kind_name(node)} stands here", node, cure)


def _first(node: MappingNode) -> Any:
    return node.value[0][0].start_mark


@dataclass(frozen=True, slots=True)
class Name(Shape):
    """An id of our own, or with `of` a reference to one."""

    of: str = ""

    def expects(self) -> str:
        """Say what belongs here."""
        return f"the name of a {self.of.replace('_', ' ')}" if self.of else "a name"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return the name; a reference is noted to be looked up once all is read."""
        if type(node) is not ScalarNode or is_empty(node):
            return self.wrong(node, reading)
        name: str = node.value
        if self.of:
            reading.refs.append(Ref(self.of, name, node, reading.tree if self.of == "step" else ""))
        elif not NAME.match(name):
            better = as_name(name)
            cure = "names are of a-z, 0-9 and _" + (f": write `{better[:60]}`" if better else "")
            return reading.complain("bad-name", f"{quoted(name)} can't be a name", node, cure)
        return name


@dataclass(frozen=True, slots=True)
class Number(Shape):
    """A finite number between two limits, both allowed."""

    low: float | None = None
    high: float | None = None
    whole: bool = False

    def expects(self) -> str:
        """Say what belongs here."""
        kind = "a whole number" if self.whole else "a number"
        if self.low is not None and self.high is not None:
            return f"{kind} from {_shown(self.low)} to {_shown(self.high)}"
        return kind if self.low is None else f"{kind} not below {_shown(self.low)}"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return a float, or an int where only whole numbers are taken."""
        if type(node) is not ScalarNode:
            return self.wrong(node, reading)
        if not NUMBER.match(node.value):
            return self._no_number(node, reading)
        number = float(node.value)
        if not math.isfinite(number):
            return reading.complain(
                "number-not-finite", f"{quoted(node.value)} is too large", node, f"write {self.expects()}"
            )
        outside = (self.low is not None and number < self.low) or (self.high is not None and number > self.high)
        if outside or (self.whole and number != int(number)):
            return reading.complain(
                "number-out-of-range", f"{quoted(node.value)} does not fit here", node, f"write {self.expects()}"
            )
        return int(number) if self.whole else number

    def _no_number(self, node: ScalarNode, reading: Reading) -> Bad:
        text = node.value
        if text.lower().lstrip("+-.") in {"inf", "nan"}:
            return reading.complain(
                "number-not-finite", f"{quoted(text)} is no number to measure by", node, f"write {self.expects()}"
            )
        if _ODD_NUMBER.match(text) and any(char.isdigit() for char in text):
            return reading.complain(
                "odd-number", f"{quoted(text)} is an odd way to write a number", node, _plainly(text)
            )
        if unit := _WITH_UNIT.match(text):
            cure = f"write {unit[1]} alone, without its unit"
            if unit[2] == "%":  # without its sign it would be quite another number
                cure = "write it as a number in the unit that belongs here; where a fraction does, 0.05 for 5 %"
            return reading.complain("wrong-type", f"{quoted(text)} is more than a number", node, cure)
        return self.wrong(node, reading)


def _shown(number: float) -> str:
    return f"{number:.0f}" if number == int(number) else f"{number:g}"


def _plainly(text: str) -> str:
    """Say how an oddly written number should read, where that is certain."""
    sign, digits = ("-", text[1:]) if text[0] == "-" else ("", text.lstrip("+"))
    if re.fullmatch(r"[0-9]+,[0-9]+", digits):
        return f"the decimal mark is a point: {sign}{digits.replace(',', '.')}"
    plain = digits.replace("_", "").replace("'", "")
    plain = re.sub(r"^0+(?=[0-9])", "", plain)
    if plain.startswith("."):
        plain = f"0{plain}"
    plain = plain.removesuffix(".")
    if NUMBER.match(plain):
        return f"write {sign}{plain}"
    return "write digits with a decimal point, such as 12.5"


@dataclass(frozen=True, slots=True)
class Truth(Shape):
    """True or false, written in small letters."""

    def expects(self) -> str:
        """Say what belongs here."""
        return "true or false"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return the bool."""
        if type(node) is ScalarNode and node.value in {"true", "false"}:
            return node.value == "true"
        if type(node) is ScalarNode and not is_empty(node):
            meant = {"yes": "true", "on": "true", "true": "true", "1": "true", "y": "true"}
            meant |= {"no": "false", "off": "false", "false": "false", "0": "false", "n": "false"}
            cure = f"write {meant.get(node.value.lower(), self.expects())}"
            return reading.complain("wrong-type", f"{quoted(node.value)} is neither true nor false", node, cure)
        return self.wrong(node, reading)


@dataclass(frozen=True, slots=True)
class Choice(Shape):
    """One of a few words."""

    options: tuple[str, ...]

    def expects(self) -> str:
        """Say what belongs here."""
        return f"one of {', '.join(self.options)}"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return the word."""
        if type(node) is not ScalarNode or is_empty(node):
            return self.wrong(node, reading)
        if node.value in self.options:
            return node.value
        near = reading.findings.nearest(node.value, self.options)
        cure = (f"did you mean `{near}`? " if near else "") + f"It can be {', '.join(self.options)}"
        return reading.complain("not-a-choice", f"{quoted(node.value)} is none of the words that fit here", node, cure)
