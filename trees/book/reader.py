"""From a folder of YAML files to a Book, with every problem found on the way; proving comes after, in `prove.py`."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from pathlib import Path, PurePosixPath
from typing import Any

from yaml.nodes import MappingNode, Node, SequenceNode

from trees.book import tables
from trees.book.draft import Draft
from trees.book.fields import Table
from trees.book.languages import FOLDER as LANGUAGES
from trees.book.model import Source, Spot
from trees.book.problems import Findings, quoted
from trees.book.records import (
    Raw,
    find,
    make_cause,
    make_caution,
    make_check,
    make_family,
    make_fix,
    make_gate_question,
    make_sign,
    make_steps,
    make_tree,
)
from trees.book.source import Source as SourceFile
from trees.book.source import read_source, spot_of
from trees.book.values import BAD, NAME, Name, Reading, Shape
from trees.book.where import Where, as_name
from trees.book.words import MEDIA, Form
from trees.book.worked import WorkedJob
from trees.errors import BookError
from trees.figures import FigureInfo
from trees.language import _, reason_of

FILES: Mapping[str, str] = {
    "book.yaml": "book",
    "families.yaml": "family",
    "signs.yaml": "sign",
    "cautions.yaml": "caution",
    "causes.yaml": "cause",
    "fixes.yaml": "fix",
    "gate.yaml": "gate question",
    "checks": "check",
    "trees": "tree",
    "worked": "worked job",
}
"""File or folder of a book → the kind of record in it."""
_NEEDED = ("book.yaml", "gate.yaml")
_LARGEST = 8 * 1024 * 1024
"""Bytes of one file: composed, each takes some fifty in memory."""
_LARGEST_BOOK = 2 * _LARGEST


def read_folder(folder: Path, figures: Mapping[str, FigureInfo]) -> Draft:
    """Read all files of a book. Raises BookError only where there is no folder to read."""
    draft = Draft(Reading(Findings(), Where(), figures))
    contents = _read_files(folder, draft)
    for name in contents:
        if name.startswith("trees/"):
            draft.reading.where.know("tree", PurePosixPath(name).stem)
    for place, kind in FILES.items():
        for name in contents:
            if name == place or name.startswith(f"{place}/"):
                source = read_source(name, contents[name], draft.findings)
                draft.sources[name] = source.text
                _read_file(source, kind, draft)
    return draft


def _read_file(source: SourceFile, kind: str, draft: Draft) -> None:
    if source.root is None:
        draft.unread.add(kind)
    elif kind == "book":
        _read_head(source.root, draft)
    elif kind == "tree":
        _read_tree(source.name, source.text, source.root, draft)
    else:
        _read_records(source.root, kind, draft)


def _read_files(folder: Path, draft: Draft) -> dict[str, bytes]:
    """Return the bytes of all files of a book, by name."""
    try:
        if not folder.is_dir():
            problem = _("it is a file; a book is a folder") if folder.exists() else _("it does not exist")
            told = _("No book at {folder}: {problem}. Give the folder that holds book.yaml.")
            raise BookError(told.format(folder=folder, problem=problem))
        paths = sorted(_yaml_paths(folder), key=lambda path: path.relative_to(folder).as_posix())
    except (OSError, ValueError) as error:
        told = _("The book at {folder} can't be read: {strerror}.")
        raise BookError(told.format(folder=folder, strerror=reason_of(error))) from error
    digest = hashlib.sha256()
    contents: dict[str, bytes] = {}
    for path in paths:
        name = path.relative_to(folder).as_posix()
        if name.startswith(f"{LANGUAGES}/"):  # texts laid over the book are no part of its edition
            continue
        if not _belongs(name, draft.findings):
            continue
        room = _LARGEST_BOOK - sum(map(len, contents.values()))
        data = _bytes(path, name, draft.findings, folder.resolve(), room)
        if data is None:
            draft.unread.add(_kind_of(name))
            continue
        digest.update(name.encode("utf-8", "surrogateescape") + b"\0" + data + b"\0")
        contents[name] = data
    draft.fingerprint = digest.hexdigest()[:12]
    for name in _NEEDED:
        if name not in contents and FILES[name] not in draft.unread:
            draft.findings.add(
                "missing-file",
                f"the book has no {name}",
                Spot(name, 1, 1, 2),
                "write it; README.md of trees/book says what it holds",
            )
            draft.unread.add(FILES[name])
    return contents


def _yaml_paths(folder: Path) -> Iterable[Path]:
    for path in folder.rglob("*"):
        parts = path.relative_to(folder).parts
        if path.suffix in {".yaml", ".yml"} and not any(part.startswith(".") for part in parts):
            yield path


def _kind_of(name: str) -> str:
    return FILES.get(name) or FILES[name.partition("/")[0]]


def _belongs(name: str, findings: Findings) -> bool:
    """Tell whether a file is part of a book; warn of one that looks as if it should be."""
    parts = PurePosixPath(name).parts
    known = name in FILES or (len(parts) == 2 and parts[0] in FILES and name.endswith(".yaml"))
    if known and all(ord(char) >= 32 for char in name):
        return True
    if name.endswith(".yml"):
        cure = f"name it {name.removesuffix('.yml')}.yaml"
    else:
        near = findings.nearest(parts[0], FILES) if len(parts) < 3 else ""
        cure = f"did you mean {near}?" if near and near != parts[0] else f"a book holds {', '.join(FILES)}"
    findings.add("unknown-file", f"{quoted(name)} is no file of a book and is not read", Spot(name, 1, 1, 2), cure)
    return False


def _bytes(path: Path, name: str, findings: Findings, root: Path, room: int) -> bytes | None:
    cure = "look at its rights and its kind"
    try:
        if not path.is_file():
            reason = "it is no ordinary file"
        elif not path.resolve().is_relative_to(root):
            # What a book holds is printed, kept and exported: a book from elsewhere gets no other file of ours.
            reason, cure = "it is a link that leads out of the book", "put a copy of the file in its place"
        elif path.stat().st_size > _LARGEST:
            reason, cure = f"it is larger than {_LARGEST // 1024 // 1024} MB", "part it into several files"
        elif path.stat().st_size > room:
            reason, cure = f"the book is larger than {_LARGEST_BOOK // 1024 // 1024} MB", "part it into several books"
        else:
            return path.read_bytes()
    except OSError as error:
        reason = reason_of(error)
    findings.add("unreadable-file", f"the file can't be read: {reason}", Spot(name, 1, 1, 2), cure)
    return None


def _read_head(root: MappingNode, draft: Draft) -> None:
    reading = draft.reading
    reading.owner = root
    for key, value in root.value:
        if key.value in {"tools", "caller_may"} and isinstance(value, MappingNode):
            kind = "tool" if key.value == "tools" else "caller act"
            for name, node in value.value:
                reading.where.add((kind, name.value), name, node)
    named = find(root, "media")
    for name in [one.value for one in named.value] if isinstance(named, SequenceNode) else MEDIA:
        if isinstance(name, str):
            reading.where.know("medium", name)
    head = tables.BOOK.read(root, reading)
    if head is BAD:
        draft.unread.add("book")
        return
    draft.head, draft.head_root = head, root
    reading.words = head["words"]
    try:
        date.fromisoformat(head["reviewed"])
    except ValueError:
        reading.complain(
            "not-a-date",
            f"{quoted(head['reviewed'])} is no date",
            find(root, "reviewed") or root,
            "write year-month-day, such as 2026-11-25",
        )


SHAPES: Mapping[str, Shape] = {
    "family": tables.FAMILY,
    "sign": tables.SIGN,
    "caution": tables.CAUTION,
    "cause": tables.CAUSE,
    "fix": tables.FIX,
    "gate question": tables.GATE,
    "check": tables.CHECK,
    "worked job": tables.WORKED,
}


def _read_records(root: MappingNode, kind: str, draft: Draft) -> None:
    reading, made = draft.reading, draft.made.setdefault(kind, {})
    _use_source(root, draft)
    shape = SHAPES[kind]
    for key, value in root.value:
        if key.value == "source":
            continue
        name = Name().read(key, reading)
        if name is BAD:
            reading.where.add_misnamed((kind, as_name(key.value)), key, value)
            continue
        if not _first_of_name(kind, name, key, value, draft):
            continue
        reading.owner = key
        values = shape.read(value, reading)
        if values is BAD:
            continue
        record = _make(kind, values, (name, key, value), draft)
        if record is not None:
            made[name] = record


def _use_source(root: MappingNode, draft: Draft) -> None:
    """Let the `source` at the top of a file stand for all in it."""
    reading = draft.reading
    reading.source = draft.head.get("source", Source("memory"))
    node = find(root, "source")
    if node is not None:
        reading.owner = node
        reading.with_source.add(spot_of(node).file)
        given = tables.SOURCE.shape.read(node, reading)
        reading.source = reading.source if given is BAD else given


def _first_of_name(kind: str, name: str, key: Node, value: Node, draft: Draft) -> bool:
    """Note where a record stands; report a name that another file has used."""
    where = draft.reading.where
    if (kind, name) in where:
        first = draft.key_spot(kind, name)
        draft.findings.add(
            "duplicate-key",
            f"there is already a {kind} `{name}`",
            spot_of(key),
            f"name one of the two otherwise; the other is in {first.file}, line {first.line}",
            [(first, "first given here")],
        )
        return False
    where.add((kind, name), key, value)
    return True


def _make(kind: str, values: Any, place: tuple[str, Node, Node], draft: Draft) -> Any:
    name, key, node = place
    form: Form = "ask"
    if kind == "check":
        form, values = values
    raw, reading = Raw(name, values, key, node), draft.reading
    makers: dict[str, Callable[[], Any]] = {
        "family": lambda: make_family(raw, reading),
        "sign": lambda: make_sign(raw, reading, draft.head.get("unprompted", 0.03)),
        "caution": lambda: make_caution(raw, reading),
        "cause": lambda: make_cause(raw, reading, draft.made.get("sign", {})),
        "fix": lambda: make_fix(raw),
        "gate question": lambda: make_gate_question(raw, reading),
        "check": lambda: make_check(raw, form, reading),
        "worked job": lambda: WorkedJob(id=raw.name, spot=raw.spot, **raw.values),
    }
    return makers[kind]()


_TREE_HEAD = Table("tree", tables.TREE_KEYS)


def _read_tree(file: str, text: str, root: MappingNode, draft: Draft) -> None:
    """Read one tree; its steps are read apart so that a broken step leaves the others standing."""
    reading = draft.reading
    name = PurePosixPath(file).stem
    if not NAME.match(name):
        cure = "name the file with a-z, 0-9 and _"
        draft.findings.add("bad-name", f"{quoted(name)} can't be the name of a tree", Spot(file, 1, 1, 2), cure)
    first = root.value[0][0] if root.value else root
    reading.where.add(("tree", name), first, root)
    reading.tree = name
    refs_before = len(reading.refs)
    steps_node = find(root, "steps")
    pairs = [pair for pair in root.value if pair[1] is not steps_node]
    reading.owner = first
    values = _TREE_HEAD.read(MappingNode(root.tag, pairs, root.start_mark, root.end_mark), reading)
    if not isinstance(steps_node, MappingNode) or not steps_node.value:
        cure = "write `steps:` and under it `name: {no: 1, check: …}`"
        reading.complain("missing-key", "this tree has no steps", steps_node or first, cure)
        return
    steps = make_steps(steps_node, name, reading, tables.STEP)
    if values is not BAD:
        raw = Raw(name, {**values, "steps": steps}, first, root)
        draft.made.setdefault("tree", {})[name] = make_tree(raw)
    # All names that a tree can use are known by now, so that only those which lead nowhere are kept with their nodes.
    reading.refs[refs_before:] = [ref for ref in reading.refs[refs_before:] if not draft.exists(ref, None)]
    data = text.encode()
    reading.where.let_go(name, lambda: read_source(file, data, Findings()).root)
