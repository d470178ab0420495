"""Do the texts of other languages still fit the book? Unknown ids, texts of nothing, lost numbers, changed sources."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from yaml.nodes import MappingNode, Node, SequenceNode

from trees.book.languages import FOLDER, HEAD, Texts, Translation, fingerprint, read_translation, texts_of_book
from trees.book.model import Book
from trees.book.problems import Findings, quoted
from trees.book.source import spot_of

_NUMBER = re.compile(r"\d+(?:[.,]\d+)*")


def prove_languages(folder: Path, book: Book, findings: Findings, sources: dict[str, str]) -> None:
    """Report what is wrong with each file of texts beside a book; the book itself stays usable."""
    own = dict(texts_of_book(book))
    for path in sorted((folder / FOLDER).glob("*.yaml")):
        read = read_translation(path, findings)
        if read is not None:
            sources[f"{FOLDER}/{path.name}"] = path.read_text("utf-8", "replace")
            translation, root = read
            _prove_head(path, translation, root, findings)
            for key, told in translation.texts.items():
                _prove_record(key, (own, told, translation.made_from[key]), root, findings)


def _prove_head(path: Path, translation: Translation, root: MappingNode, findings: Findings) -> None:
    if translation.language != path.stem:
        node = _node(root, ("language",))
        cure = f"name the file {translation.language}.yaml, or write `language: {path.stem}`"
        findings.add("translation-misnamed", "the file bears the name of another language", spot_of(node), cure)


def _prove_record(
    key: tuple[str, str],
    record: tuple[Mapping[tuple[str, str], Texts], Texts, str],
    root: MappingNode,
    findings: Findings,
) -> None:
    own, told, of = record
    part, name = key
    place = (part,) if part == HEAD else (part, name)
    source = own.get(key)
    if source is None:
        near = findings.nearest(name, [other for kind, other in own if kind == part])
        cure = f"did you mean `{near}`?" if near else "take it out"
        findings.add(
            "translation-of-nothing", f"the book has no `{name}` under {part}", spot_of(_key(root, place)), cure
        )
        return
    now = fingerprint(source)
    if of != now:
        findings.add(
            "translation-outdated",
            f"the texts of `{name or part}` were made from others than the book has now",
            spot_of(_key(root, place)),
            f"compare them, then write `of: {now}`",
        )
    for path, text in told.items():
        at = spot_of(_node(root, (*place, *path.split("."))))
        if path not in source:
            near = findings.nearest(path, source)
            cure = f"did you mean `{near}`?" if near else "take it out"
            findings.add("translation-of-nothing", f"the book has no text at `{path}` of `{name or part}`", at, cure)
            continue
        lost = _numbers(source[path]) - _numbers(text)
        if lost:
            shown = ", ".join(sorted(lost))
            findings.add(
                "translation-lost-number",
                f"the text does not say {shown}, as the book does",
                at,
                f"the book says {quoted(source[path])}",
            )


def _numbers(text: str) -> set[str]:
    """Return the numbers of a text; a decimal comma counts as a point."""
    return {match.replace(",", ".") for match in _NUMBER.findall(text)}


def _node(root: MappingNode, path: tuple[str, ...]) -> Node:
    node: Node = root
    for name in path:
        if isinstance(node, SequenceNode):
            node = node.value[int(name) - 1]
        else:
            node = next(value for key, value in node.value if key.value == name)
    return node


def _key(root: MappingNode, path: tuple[str, ...]) -> Node:
    node = _node(root, path[:-1])
    found: Node = next(key for key, _ in node.value if key.value == path[-1])
    return found
