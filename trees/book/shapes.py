"""The trade's own values: chances, sources, band edges, ways out of a step, and what each looks like in YAML."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from trees.book.fields import Items, Key, Pairs, Table
from trees.book.model import ByVoltage, FamilyValue, Source
from trees.book.problems import quoted
from trees.book.source import is_empty, spot_of
from trees.book.values import BAD, Choice, Name, Number, Reading, Ref, Shape, Text

FRACTION = Number(0, 1)
VOLTS = Number(0, 1000)


@dataclass(frozen=True, slots=True)
class Chance(Shape):
    """A likelihood word of book.yaml, or a number from 0 to 1."""

    def expects(self) -> str:
        """Say what belongs here."""
        return "a likelihood word of book.yaml or a number from 0 to 1"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return the number and the text as the author wrote it."""
        if type(node) is not ScalarNode or is_empty(node):
            return self.wrong(node, reading)
        text: str = node.value
        if text[:1].isdigit() or text[:1] in {".", "-", "+"}:
            number = FRACTION.read(node, reading)
            return BAD if number is BAD else (number, text)
        if reading.words is None:  # book.yaml has its own problem
            return BAD
        if text not in reading.words:
            near = reading.findings.nearest(text, reading.words)
            cure = (f"did you mean `{near}`? " if near else "") + f"The words are {', '.join(reading.words)}"
            return reading.complain("unknown-word", f"{quoted(text)} is no likelihood word of this book", node, cure)
        return reading.words[text], text


@dataclass(frozen=True, slots=True)
class NumberOrPairs(Shape):
    """One value for all levels, or one for each level named."""

    value: Shape

    def expects(self) -> str:
        """Say what belongs here."""
        return f"{self.value.expects()}, or a mapping from level to that"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return what `value` gives, or a dict of it by level."""
        if isinstance(node, MappingNode):
            return Pairs(Name(), self.value, least=1).read(node, reading)
        if type(node) is not ScalarNode:
            return self.wrong(node, reading)
        return self.value.read(node, reading)


@dataclass(frozen=True, slots=True)
class LevelMap(Shape):
    """What is said of signs: sign → level."""

    def expects(self) -> str:
        """Say what belongs here."""
        return "a mapping from sign to level, such as {smoke_stays: yes}"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return a dict; that sign and level exist is looked up once all is read."""
        if type(node) is not MappingNode:
            return self.wrong(node, reading)
        said = _SAYS.read(node, reading)
        if said is not BAD:
            reading.level_refs += node.value
        return said


_SAYS = Pairs(Name("sign"), Name())

PUBLISHED = Table(
    "source",
    {
        "published": Key(Text(), needed=True, into="name"),
        "clause": Key(Text(), needed=True),
        "seen": Key(Choice(("opened", "quoted")), needed=True),
    },
    make=lambda **values: Source("published", **values),
)


@dataclass(frozen=True, slots=True)
class SourceShape(Shape):
    """The standing of a number."""

    def expects(self) -> str:
        """Say what belongs here."""
        return "practice, memory, or {published: its name, clause: where in it, seen: opened or quoted}"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return a Source."""
        if isinstance(node, MappingNode):
            return PUBLISHED.read(node, reading)
        if isinstance(node, ScalarNode) and node.value == "published":
            return reading.complain(
                "not-a-choice", "a published source needs its name", node, f"write {self.expects()}"
            )
        standing = Choice(("practice", "memory")).read(node, reading)
        return BAD if standing is BAD else Source(standing)


@dataclass(frozen=True, slots=True)
class EdgeShape(Shape):
    """A band edge: a number, `family.value`, or one number for each supply voltage."""

    def expects(self) -> str:
        """Say what belongs here."""
        return "a number, family.value, or {12: 11.5, 24: 23.0}"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return a float, FamilyValue or ByVoltage."""
        if isinstance(node, MappingNode):
            volts = Pairs(VoltageKey(), Number(), least=1).read(node, reading)
            return BAD if volts is BAD else ByVoltage(volts)
        if type(node) is ScalarNode and node.value.startswith("family."):
            name = node.value.removeprefix("family.")
            reading.refs.append(Ref("family value", name, node))
            return FamilyValue(name)
        if type(node) is ScalarNode and node.value[:1].isalpha():
            return reading.complain("wrong-type", f"{quoted(node.value)} is no edge", node, f"write {self.expects()}")
        return Number().read(node, reading) if isinstance(node, ScalarNode) else self.wrong(node, reading)


@dataclass(frozen=True, slots=True)
class VoltageKey(Shape):
    """A supply voltage, kept as text so that 12 and 12.0 are one."""

    def expects(self) -> str:
        """Say what belongs here."""
        return "a supply voltage, such as 12 or 24"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return the voltage as text, or `any`."""
        if isinstance(node, ScalarNode) and node.value == "any":
            return "any"
        volts = VOLTS.read(node, reading)
        return BAD if volts is BAD else f"{volts:g}"


@dataclass(frozen=True, slots=True)
class MediumShape(Shape):
    """What a unit heats or works with: one of `media` in book.yaml; as a limit also `any`."""

    limit: bool = False

    def expects(self) -> str:
        """Say what belongs here."""
        return "one of `media` in book.yaml (air and coolant where it names none)" + (", or any" if self.limit else "")

    def read(self, node: Node, reading: Reading) -> Any:
        """Return the name; that it is there is looked up once all is read."""
        if self.limit and isinstance(node, ScalarNode) and node.value == "any":
            return "any"
        return Name("medium").read(node, reading)


APPLIES = Table("limit", {"medium": Key(MediumShape(limit=True)), "voltage": Key(VoltageKey())})


@dataclass(frozen=True, slots=True)
class AppliesShape(Shape):
    """Limits to a kind of unit; `any` is no limit."""

    def expects(self) -> str:
        """Say what belongs here."""
        return "a limit such as {medium: air} or {voltage: 24}"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return a dict without the limits that are none."""
        if not isinstance(node, MappingNode):
            return self.wrong(node, reading)
        limits = APPLIES.read(node, reading)
        return BAD if limits is BAD else {name: value for name, value in limits.items() if value != "any"}


@dataclass(frozen=True, slots=True)
class Link(Shape):
    """A number taken from elsewhere: a check, one of its readings, or a family's value."""

    figure: bool = False
    """`family.value` or `figure.check` only, as the base of bands."""

    def expects(self) -> str:
        """Say what belongs here."""
        return "family.value or figure.check" if self.figure else "a check, check.reading or family.value"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return the text; what it names is looked up once all is read."""
        if type(node) is not ScalarNode or is_empty(node):
            return self.wrong(node, reading)
        text: str = node.value
        head, _, rest = text.partition(".")
        if head == "family" and rest:
            reading.refs.append(Ref("family value", rest, node))
        elif self.figure:
            if head != "figure" or not rest:
                return reading.complain(
                    "wrong-type", f"{quoted(text)} is no base for bands", node, f"write {self.expects()}"
                )
            reading.refs.append(Ref("figure check", rest, node))
        else:
            reading.refs.append(Ref("reading", text, node))
        return text


WAY = Table(
    "way out",
    {"on": Key(Items(Name(), least=1), needed=True), "to": Key(Name("step"), needed=True)},
)


@dataclass(frozen=True, slots=True)
class GoShape(Shape):
    """The ways out of a step: `{answer: step}`, or a list of `{on: [answers], to: step}`."""

    def expects(self) -> str:
        """Say what belongs here."""
        return "{answer: step} or [{on: [answers], to: step}]"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return a dict from answer to step."""
        if type(node) is MappingNode:
            return _GO.read(node, reading)
        if type(node) is not SequenceNode:
            return self.wrong(node, reading)
        ways = Items(WAY).read(node, reading)
        if ways is BAD:
            return BAD
        go: dict[str, str] = {}
        first: dict[str, Node] = {}
        for answer, way in route_nodes(node):
            if answer.value in first:
                reading.findings.add(
                    "routed-twice",
                    f"the answer `{answer.value}` has two ways out",
                    spot_of(answer),
                    "name each answer once",
                    [(spot_of(first[answer.value]), "first named here")],
                )
                continue
            first[answer.value] = answer
            go[answer.value] = way.value
        return go


_GO = Pairs(Name(), Name("step"))


def route_nodes(go: Node) -> list[tuple[ScalarNode, ScalarNode]]:
    """Return (answer, step) nodes of a well-formed `go`, written either way."""
    if isinstance(go, MappingNode):
        return list(go.value)
    routes: list[tuple[ScalarNode, ScalarNode]] = []
    for way in go.value:
        parts = {key.value: value for key, value in way.value}
        routes += [(answer, parts["to"]) for answer in parts["on"].value]
    return routes


@dataclass(frozen=True, slots=True)
class GivenShape(Shape):
    """What a worked job answers: a text, a list of items, or readings by name."""

    def expects(self) -> str:
        """Say what belongs here."""
        return "an answer's id, a reading such as 11.8 V, a list of items, or readings by name"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return a text, a tuple of texts or a dict of texts."""
        if type(node) is SequenceNode:
            return Items(Text()).read(node, reading)
        if type(node) is MappingNode:
            return Pairs(Name(), Text(), least=1).read(node, reading)
        return Text().read(node, reading)
