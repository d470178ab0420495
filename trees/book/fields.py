"""How lists, mappings and records of a book are typed: tables of keys as plain data, read from YAML nodes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from trees.book.problems import a, quoted
from trees.book.source import is_empty
from trees.book.values import BAD, Bad, Reading, Shape


@dataclass(frozen=True, slots=True)
class Items(Shape):
    """A list of things of one shape."""

    item: Shape
    least: int = 0
    exactly: int = 0
    most: int = 0
    """No more than these; 0 is no limit."""

    def expects(self) -> str:
        """Say what belongs here."""
        return f"a list, such as [{self.item.expects()}]"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return a tuple."""
        if type(node) is not SequenceNode:
            return self.wrong(node, reading)
        if len(node.value) < self.least or (self.exactly and len(node.value) != self.exactly):
            wanted = f"exactly {self.exactly}" if self.exactly else f"at least {self.least}"
            return reading.complain("list-length", f"{len(node.value)} given, {wanted} needed", node)
        if self.most and len(node.value) > self.most:
            return reading.complain("list-length", f"{len(node.value)} given, at most {self.most} taken", node)
        values = []
        for item in node.value:
            reading.owner = item
            values.append(self.item.read(item, reading))
        return BAD if BAD in values else tuple(values)


@dataclass(frozen=True, slots=True)
class OneOrMore(Shape):
    """One thing of a shape, or a list of them."""

    item: Shape

    def expects(self) -> str:
        """Say what belongs here."""
        return f"{self.item.expects()}, or a list of them"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return a tuple."""
        if type(node) is SequenceNode:
            return Items(self.item, least=1).read(node, reading)
        if type(node) is not ScalarNode:
            return self.wrong(node, reading)
        one = self.item.read(node, reading)
        return BAD if one is BAD else (one,)


@dataclass(frozen=True, slots=True)
class Pairs(Shape):
    """A mapping from names to things of one shape, in the author's order."""

    key: Shape
    value: Shape
    least: int = 0

    def expects(self) -> str:
        """Say what belongs here."""
        return f"a mapping, such as {{name: {self.value.expects()}}}"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return a dict."""
        if type(node) is not MappingNode:
            return self.wrong(node, reading)
        if len(node.value) < self.least:
            return reading.complain("list-length", f"{len(node.value)} given, at least {self.least} needed", node)
        values: dict[str, Any] = {}
        good = True
        for key_node, value_node in node.value:
            key = self.key.read(key_node, reading)
            reading.owner = key_node
            value = self.value.read(value_node, reading)
            if key is BAD or value is BAD:
                good = False
            else:
                values[key] = value
        return values if good else BAD


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table."""

    shape: Shape
    needed: bool = False
    into: str = ""
    """The record's field, where it is named otherwise."""
    says: str = ""
    """What it means, where its name does not tell: for the help of a message and of an editor."""


@dataclass(frozen=True, slots=True)
class Table(Shape):
    """The keys that one kind of record may have; `make` builds the record from them."""

    what: str
    keys: Mapping[str, Key]
    make: Callable[..., Any] = dict
    elsewhere: Mapping[str, str] = field(default_factory=dict)
    """Keys that belong to a sister table → which, for the message."""

    def expects(self) -> str:
        """Say what belongs here."""
        return f"a mapping with {', '.join(self.keys)}"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return what `make` builds from the keys."""
        owner = reading.owner if reading.owner is not None else node
        if type(node) is not MappingNode:
            return self.wrong(node, reading)
        values: dict[str, Any] = {}
        good = True
        meant: set[str] = set()
        before: ScalarNode | None = None
        for key_node, value_node in node.value:
            key = self.keys.get(key_node.value)
            if key is None:
                near = self._unknown(key_node, value_node, before, reading)
                meant.add(near)
                good = good and not near
                continue
            before = value_node
            reading.owner = key_node
            value = key.shape.read(value_node, reading)
            if value is BAD:
                good = False
                meant.add(key_node.value)
            else:
                values[key.into or key_node.value] = value
        for name, key in self.keys.items():
            if key.needed and (key.into or name) not in values and name not in meant:
                good = False
                cure = f"write `{name}:` and {key.shape.expects()}" + (f": {key.says}" if key.says else "")
                reading.complain("missing-key", f"this {self.what} has no `{name}`", owner, cure)
        return self.make(**values) if good else BAD

    def _unknown(self, key: ScalarNode, value: Node, before: Node | None, reading: Reading) -> str:
        """Report a key that is not known; return the key that was probably meant, or that its text was cut."""
        name = key.value
        if is_empty(value) and not key.style and ":" in name:
            left, _, right = name.partition(":")
            cure = f"write `{left}: {right}`"
            reading.complain("missing-space", "a space is missing after the colon", key, cure)
            return left if left in self.keys else ""
        if is_empty(value) and " " in name and isinstance(before, ScalarNode):
            cut = f"{before.value}, {name}"
            reading.complain(
                "text-cut-by-comma",
                f"the comma before {quoted(name)} ended the text",
                key,
                f'put the whole text into quotes: "{cut}"' if len(cut) < 60 else 'put the whole text into quotes: "…"',
            )
            return ""
        if name in self.elsewhere:
            cure = f"it belongs to {self.elsewhere[name]}; here may stand: {', '.join(self.keys)}"
            reading.complain("unknown-key", f"`{name}` does not belong to {a(self.what)}", key, cure)
            return ""
        near = reading.findings.nearest(name, self.keys)
        cure = f"did you mean `{near}`?" if near else f"here may stand: {', '.join(self.keys)}"
        reading.complain("unknown-key", f"{a(self.what)} has no key {quoted(name)}", key, cure)
        return near


@dataclass(frozen=True, slots=True)
class Forms(Shape):
    """Sister tables, told apart by the one key that each must have."""

    what: str
    tables: Mapping[str, Table]
    make: Callable[..., Any]
    """Called with the deciding key and the values."""

    def expects(self) -> str:
        """Say what belongs here."""
        return f"a mapping with one of {', '.join(self.tables)}"

    def read(self, node: Node, reading: Reading) -> Any:
        """Return what `make` builds."""
        if type(node) is not MappingNode:
            return self.wrong(node, reading)
        deciding = [key for key, _ in node.value if key.value in self.tables]
        if len(deciding) != 1:
            owner = reading.owner if reading.owner is not None else node
            return self._undecided(deciding, node, owner, reading)
        form = deciding[0].value
        values = self.tables[form].read(node, reading)
        return BAD if values is BAD else self.make(form, values)

    def _undecided(self, deciding: list[ScalarNode], node: MappingNode, owner: Node, reading: Reading) -> Bad:
        names = ", ".join(self.tables)
        if deciding:
            first, second = deciding[:2]
            return reading.complain(
                "two-forms",
                f"{a(self.what)} is either `{first.value}` or `{second.value}`, not both",
                second,
                "make two of it, or take one key out",
            )
        allowed = {key for table in self.tables.values() for key in table.keys}
        for key, _ in node.value:
            near = "" if key.value in allowed else reading.findings.nearest(key.value, self.tables)
            if near:
                return reading.complain(
                    "unknown-key", f"{a(self.what)} has no key {quoted(key.value)}", key, f"did you mean `{near}`?"
                )
        return reading.complain(
            "missing-key", f"this {self.what} does not say what it is", owner, f"give it one of the keys {names}"
        )
