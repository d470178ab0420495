"""One YAML file as composed nodes: every plain value stays text, positions are exact, traps have their own message."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from typing import Any

import yaml
from yaml._yaml import CParser
from yaml.nodes import CollectionNode, MappingNode, Node, ScalarNode, SequenceNode
from yaml.resolver import BaseResolver

from trees.book.model import Spot
from trees.book.problems import LINE_BREAK, Findings, quoted
from trees.book.syntax import explain

DEEPEST = 64
_MOST_OF_A_KIND = 20
"""Anchors and tags shown of one file; the rest is more of the same."""

_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff]")
_PROPERTY = re.compile(r"(?:^|[\s,\[{:-])(?:[&*](?=\S)|!)", re.MULTILINE)
_COMMENT_AT_ONE_SPACE = re.compile(r"(?<=\S) #")
_CURLY = "\u201c\u201d\u2018\u2019\u201e\u201a"
_NUMBER = re.compile(r"[-+]?[\d.]+$")


class _Loader(CParser, BaseResolver):
    """libyaml's composer without YAML's guesses at types."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012 - the base class states it so

    def __init__(self, text: str, name: str) -> None:
        stream = io.StringIO(text)
        stream.name = name  # every mark then knows its file
        CParser.__init__(self, stream)
        BaseResolver.__init__(self)


@dataclass(frozen=True, slots=True)
class Source:
    """A file that was read; `root` is None where nothing could be made of it."""

    name: str
    text: str
    root: MappingNode | None


def spot_of(node: Node) -> Spot:
    """Return where a node stands; of a block the first key or item, of text over several lines its first sign."""
    while isinstance(node, CollectionNode) and not node.flow_style and node.value:
        first = node.value[0]
        node = first[0] if isinstance(first, tuple) else first
    start, end = node.start_mark, node.end_mark
    stop = end.column if end.line == start.line else start.column + 1
    return Spot(start.name, start.line + 1, start.column + 1, max(stop, start.column + 1) + 1)


def read_source(name: str, data: bytes, findings: Findings) -> Source:
    """Compose one file; what is wrong with it goes into `findings`. Never raises for any content."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        text = data.decode("utf-8", errors="replace")
        _report_encoding(name, data, error, findings)
        return Source(name, text, None)
    if text.startswith("\ufeff"):
        findings.add(
            "byte-order-mark",
            "the file begins with an invisible byte-order mark",
            Spot(name, 1, 1, 2),
            "save it as UTF-8 without a byte-order mark",
        )
        text = text[1:]
    if _report_control(name, text, findings):
        return Source(name, text, None)
    root = _compose(name, text, findings)
    if root is None:
        return Source(name, text, None)
    if not isinstance(root, MappingNode):
        findings.add(
            "wrong-type",
            "the file must hold `key: value` pairs at its left edge",
            spot_of(root),
            "begin each entry with its name and a colon, such as `title: …`",
        )
        return Source(name, text, None)
    return Source(name, text, root if _Inspector(text, findings).inspect(root) else None)


def spot_at(name: str, text: str, index: int) -> Spot:
    """Return the spot of a place in a text, counted in characters from 0."""
    breaks = list(LINE_BREAK.finditer(text, 0, index))
    column = index - (breaks[-1].end() if breaks else 0) + 1
    return Spot(name, len(breaks) + 1, column, column + 1)


def _report_encoding(name: str, data: bytes, error: UnicodeDecodeError, findings: Findings) -> None:
    if data[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        message, spot = "the file is saved as UTF-16", Spot(name, 1, 1, 2)
    else:
        before = data[: error.start].decode("utf-8")
        spot = spot_at(name, before, len(before))
        message = f"byte 0x{data[error.start]:02X} is no UTF-8; the file seems to be saved in an older encoding"
    findings.add("not-utf-8", message, spot, "save the file as UTF-8 in your editor")


def _report_control(name: str, text: str, findings: Findings) -> bool:
    found = list(_CONTROL.finditer(text))
    if not found:
        return False
    spots = [spot_at(name, text, match.start()) for match in found[:4]]
    sign = f"U+{ord(found[0].group()):04X}"
    more = f" ({len(found)} such in this file)" if len(found) > 1 else ""
    findings.add(
        "control-character",
        f"the invisible character {sign} stands here{more}",
        spots[0],
        "delete it and type the text anew; it often comes in with pasted text",
        [(spot, "here too") for spot in spots[1:]],
    )
    return True


def _compose(name: str, text: str, findings: Findings) -> Node | None:
    loader: Any = None
    try:
        if _PROPERTY.search(text) and _report_properties(name, text, findings):
            return None
        loader = _Loader(text, name)
        root: Node | None = loader.get_single_node()
    except (yaml.YAMLError, RecursionError) as error:
        explain(error, name, text, _tokens_before(name, text, error), findings)
        return None
    finally:
        if loader is not None:
            loader.dispose()
    if root is None:
        findings.add("empty-file", "the file is empty", Spot(name, 1, 1, 2), "write its entries or delete the file")
    return root


def _report_properties(name: str, text: str, findings: Findings) -> bool:
    """Report anchors, aliases and tags; tell whether the file has an alias, so that its nodes are no tree."""
    loader: Any = _Loader(text, name)
    seen, aliases = 0, False
    try:
        while (event := loader.get_event()) is not None:
            alias = isinstance(event, yaml.AliasEvent)
            anchor, tag = getattr(event, "anchor", None), getattr(event, "tag", None)
            if not (alias or anchor or tag):
                continue
            aliases = aliases or alias
            seen += 1
            if seen <= _MOST_OF_A_KIND:
                _report_property(name, event, findings)
    finally:
        loader.dispose()
    return aliases


def _report_property(name: str, event: Any, findings: Findings) -> None:
    mark = event.start_mark
    what, sign, length = "tag", "!", 1
    if isinstance(event, yaml.AliasEvent):
        what, sign, length = "alias", "*", len(event.anchor or "") + 1
    elif event.anchor:
        what, sign, length = "anchor", "&", len(event.anchor) + 1
    findings.add(
        what,
        f"`{sign}` at the beginning makes this {'an' if what[0] == 'a' else 'a'} {what}, which a book does not take",
        Spot(name, mark.line + 1, mark.column + 1, mark.column + 1 + length),
        f"put text that begins with `{sign}` into quotes; write a repeated value out in each place"
        if what != "tag"
        else "put text that begins with `!` into quotes, or leave the tag out",
    )


def _tokens_before(name: str, text: str, error: Exception) -> list[Any]:
    """Return the last two tokens before a syntax error: they tell what the author was writing."""
    mark = getattr(error, "problem_mark", None)
    if mark is None:
        return []
    loader: Any = _Loader(text, name)
    last: list[Any] = []
    try:
        while (token := loader.get_token()) is not None:
            if token.start_mark.index >= mark.index:
                break
            last = [*last[-1:], token]
    except yaml.YAMLError:
        pass
    finally:
        loader.dispose()
    return last


class _Inspector:
    """Looks at every node once for what libyaml lets pass."""

    def __init__(self, text: str, findings: Findings) -> None:
        self.findings = findings
        self.lines = LINE_BREAK.split(text)
        self.comment_lines = frozenset(
            number for number, line in enumerate(self.lines) if " #" in line and _COMMENT_AT_ONE_SPACE.search(line)
        )
        self.plain_ascii = text.isascii()

    def inspect(self, root: MappingNode) -> bool:
        """Walk all nodes, without recursion since a hostile file can be deep; tell whether it can be read."""
        open_nodes: list[tuple[Node, int]] = [(root, 1)]
        while open_nodes:
            node, depth = open_nodes.pop()
            if depth > DEEPEST:
                self.findings.add(
                    "too-deep",
                    f"this is nested more than {DEEPEST} levels deep",
                    spot_of(node),
                    "no part of a book is that deep; look for brackets or indentation that went wrong",
                )
                return False
            if isinstance(node, MappingNode):
                self._keys(node)
                children = [value for _, value in node.value]
            else:
                children = node.value
            for child in children:
                if isinstance(child, ScalarNode):
                    if child.style != "'" and (child.style or child.value):
                        self._scalar(child)
                else:
                    open_nodes.append((child, depth + 1))
        return True

    def _keys(self, node: MappingNode) -> None:
        seen: dict[str, ScalarNode] = {}
        spoilt = False
        for key, _ in node.value:
            if not isinstance(key, ScalarNode):
                spoilt = True
                self.findings.add(
                    "key-not-text",
                    "a list or mapping can't be a key",
                    spot_of(key),
                    "put text that begins with a bracket into quotes",
                )
            elif key.value == "<<" and not key.style:
                spoilt = True
                self.findings.add(
                    "merge-key",
                    "`<<` would merge another mapping in, which a book does not take",
                    spot_of(key),
                    "write the keys out",
                )
            elif key.value in seen:
                spoilt = True
                first = spot_of(seen[key.value])
                self.findings.add(
                    "duplicate-key",
                    f"{quoted(key.value)} is given twice in the same place",
                    spot_of(key),
                    f"keep one of the two; the other is in line {first.line}",
                    [(first, "first given here")],
                )
            else:
                seen[key.value] = key
        if spoilt:  # the first of each goes on to be read
            kept = {id(key) for key in seen.values()}
            node.value = [pair for pair in node.value if id(pair[0]) in kept]

    def _scalar(self, node: ScalarNode) -> None:
        if node.style == '"':
            if "\\" in self.lines[node.start_mark.line] and _CONTROL.search(node.value):
                self.findings.add(
                    "control-character",
                    "the escape writes an invisible character into the text",
                    spot_of(node),
                    "leave the backslash and what follows it out",
                )
            return
        if not node.style:
            self._plain(node)
        if not self.plain_ascii and not node.value.isascii():
            self._odd_characters(node)

    def _plain(self, node: ScalarNode) -> None:
        start, end = node.start_mark, node.end_mark
        if end.line in self.comment_lines and not _NUMBER.match(node.value):
            rest = self.lines[end.line][end.column :]
            if rest.startswith(" #"):
                self.findings.add(
                    "text-cut-by-hash",
                    f"the text ends at {quoted(node.value[-24:])}: ` #` begins a comment",
                    Spot(start.name, end.line + 1, end.column + 2, end.column + 1 + len(rest.rstrip())),
                    'put the whole text into quotes ("…"), or set a comment off by two spaces',
                )
        if end.line != start.line:
            for number in range(start.line + 1, end.line + 1):
                line = self.lines[number]
                text = line.lstrip(" ")
                if text.startswith("- "):
                    column = len(line) - len(text) + 1
                    self.findings.add(
                        "item-melted",
                        "this list item is taken for the rest of the text above, because it is indented deeper",
                        Spot(start.name, number + 1, column, column + 1),
                        "give all items of a list the same indentation",
                        [(spot_of(node), "the text it became part of")],
                    )
                    break

    def _odd_characters(self, node: ScalarNode) -> None:
        if node.value[0] in _CURLY and node.value[-1] in _CURLY and not node.style:
            self.findings.add(
                "curly-quotes",
                "curly quotes do not quote; they become part of the text",
                spot_of(node),
                'use straight quotes ("…") or none',
            )
        elif "\xa0" in node.value and (node.value[0] == "\xa0" or node.value[-1] == "\xa0"):
            self.findings.add(
                "hidden-space",
                "the text begins or ends with a no-break space",
                spot_of(node),
                "replace it by an ordinary space or delete it",
            )


def is_empty(node: Node) -> bool:
    """Tell whether nothing is written where a value belongs."""
    return isinstance(node, ScalarNode) and not node.value and not node.style


def kind_name(node: Node) -> str:
    """Name what stands there for a message."""
    if isinstance(node, MappingNode):
        return "a mapping"
    if isinstance(node, SequenceNode):
        return "a list"
    return quoted(node.value) if node.value else "nothing"
