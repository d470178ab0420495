"""Numbers for new steps: written into the author's own text, nothing else touched, no number ever given twice."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from yaml.nodes import CollectionNode, MappingNode, Node

from trees.book.problems import Findings
from trees.book.records import find, find_key
from trees.book.source import read_source
from trees.errors import BookError
from trees.language import _, reason_of

MARK = "highest_no"
"""Key of book.yaml under which the highest number ever given is kept."""


@dataclass(frozen=True, slots=True)
class Numbered:
    """One step that got its number."""

    file: str
    step: str
    no: int


@dataclass(slots=True)
class _Text:
    """A file of the book, and what is to be put into it."""

    name: str
    text: str
    root: MappingNode
    puts: list[tuple[int, int, str]]
    """From, to (in characters), and the text that goes there."""

    def offset(self, line: int, column: int) -> int:
        lines = self.text.splitlines(keepends=True)
        return sum(len(one) for one in lines[:line]) + column

    @property
    def newline(self) -> str:
        return "\r\n" if "\r\n" in self.text else "\n"

    def changed(self) -> str:
        text = self.text
        for begin, end, put in sorted(self.puts, reverse=True):
            text = text[:begin] + put + text[end:]
        return text


def number_steps(folder: Path) -> tuple[tuple[Numbered, ...], dict[str, str]]:
    """
    Return the steps and gate questions without a number with their new ones, and the changed texts by file.

    Nothing is written. Raises BookError where a file can't be read: its numbers would not be known.
    """
    texts = [_read(folder, path) for path in _paths(folder)]
    book = next((one for one in texts if one.name == "book.yaml"), None)
    if book is None:
        raise BookError(_("No book at {folder}: it has no book.yaml.").format(folder=folder))
    records = [(one, key, value) for one in texts for key, value in _records(one)]
    known = [_number(find(value, "no")) for _, _, value in records]
    highest = max([_number(find(book.root, MARK)), *known], default=0)
    begun = {one.name for one, _, value in records if find_key(value, "no") is not None} | {"gate.yaml"}
    numbered: list[Numbered] = []
    for one, key, value in records:
        if find_key(value, "no") is None and isinstance(value, MappingNode) and value.value:
            if one.name not in begun:  # a new tree gets a hundred of its own, as `sootline new tree` gives it
                begun.add(one.name)
                highest = (highest // 100 + 1) * 100
            highest += 1
            one.puts.append(_put(one, value, highest))
            numbered.append(Numbered(one.name, str(key.value), highest))
    if highest:
        _keep_mark(book, highest)
    changed = {one.name: one.changed() for one in texts if one.puts}
    for name, text in changed.items():
        if read_source(name, text.encode(), Findings()).root is None:
            told = _("{name} is written in a way into which no number can be put; write it in yourself.")
            raise BookError(told.format(name=name))
    return tuple(numbered), changed


def _paths(folder: Path) -> Iterator[Path]:
    yield from (path for path in (folder / "book.yaml", folder / "gate.yaml") if path.is_file())
    yield from sorted((folder / "trees").glob("*.yaml"))


def _read(folder: Path, path: Path) -> _Text:
    name = path.relative_to(folder).as_posix()
    findings = Findings()
    try:
        source = read_source(name, path.read_bytes(), findings)
    except OSError as error:
        raise BookError(_("{path} can't be read: {strerror}.").format(path=path, strerror=reason_of(error))) from error
    if source.root is None:
        first = findings.problems[0]
        raise BookError(
            _(
                "{name}:{line}:{column}: {message}. Mend this first; its numbers can't be seen, so none was given."
            ).format(name=name, line=first.spot.line, column=first.spot.column, message=first.message)
        )
    return _Text(name, source.text, source.root, [])


def _records(one: _Text) -> Iterator[tuple[Node, Node]]:
    if one.name == "gate.yaml":
        yield from (pair for pair in one.root.value if pair[0].value != "source")
    elif one.name != "book.yaml":
        steps = find(one.root, "steps")
        yield from steps.value if isinstance(steps, MappingNode) else ()


def _number(node: Node | None) -> int:
    text = node.value if node is not None and isinstance(node.value, str) else ""
    return int(text) if text.isascii() and text.isdigit() else 0


def _put(one: _Text, value: CollectionNode, number: int) -> tuple[int, int, str]:
    """Return where `no` goes: behind the brace, or as a line before the first key with the same indentation."""
    mark = value.start_mark
    if value.flow_style:
        at = one.offset(mark.line, mark.column) + 1
        return at, at, f"no: {number}, "
    first = value.value[0][0].start_mark
    at = one.offset(first.line, first.column)
    return at, at, f"no: {number}{one.newline}{' ' * first.column}"


def _keep_mark(book: _Text, highest: int) -> None:
    node = find(book.root, MARK)
    if node is None:
        end = len(book.text)
        gap = "" if book.text.endswith(("\n", "\r")) else book.newline
        comment = "# Numbers of steps up to this one are never given again; `sootline number` keeps it."
        book.puts.append((end, end, f"{gap}{comment}{book.newline}{MARK}: {highest}{book.newline}"))
    elif _number(node) != highest:
        begin = book.offset(node.start_mark.line, node.start_mark.column)
        end = book.offset(node.end_mark.line, node.end_mark.column)
        book.puts.append((begin, end, str(highest)))
