"""Texts of a book in another language, laid over it: which texts a record has, a file of them read, the book in them.

A translation lies beside the book's own files, as `languages/de.yaml`, and holds texts by the ids that they belong to.
It changes what is shown and nothing else, so it is no part of the edition: the fingerprint is that of the book's own
files in every language, and a job walked in one language is read in any other.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trees.book.model import Answer, Book, Cause, Caution, Check, Family, Fix, GateQuestion, Sign, Spot
from trees.book.tree import Step, Tree
from trees.errors import BookError

if TYPE_CHECKING:
    from yaml.nodes import MappingNode

    from trees.book.fields import Table
    from trees.book.problems import Findings
    from trees.book.values import Reading

FOLDER = "languages"
"""Where translations lie in the folder of a book."""
Texts = Mapping[str, str]
"""Path inside a record → text: `wording`, `answers.short`, `then.2`, `steps.watch.text`."""
_LARGEST = 16 * 1024 * 1024

SECTIONS: Mapping[str, str] = {
    "causes": "cause",
    "signs": "sign",
    "cautions": "caution",
    "checks": "check",
    "fixes": "fix",
    "families": "family",
    "gate": "gate question",
    "trees": "tree",
}
"""Part of a translation → the kind of record whose texts it holds."""
HEAD = "head"
"""The part for what stands in book.yaml."""


@dataclass(frozen=True, slots=True)
class Translation:
    """Texts of one language; `made_from` says which source texts they were made from."""

    language: str
    texts: Mapping[tuple[str, str], Texts]
    """(part, id) → texts; the part `head` has the id ``."""
    made_from: Mapping[tuple[str, str], str]
    """(part, id) → `fingerprint` of the source texts."""


def fingerprint(texts: Texts) -> str:
    """Return six hexadecimal digits that change with any of a record's texts."""
    told = "\0".join(f"{path}\0{text}" for path, text in sorted(texts.items()))
    return hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()[:6]


# ── which texts there are ───────────────────────────────────────────────────


def texts_of_book(book: Book) -> Iterator[tuple[tuple[str, str], Texts]]:
    """Yield (part, id) and the texts of everything in a book that people read."""
    yield (HEAD, ""), _filled(_head_texts(book))
    for part in SECTIONS:
        for record in _records(book, part):
            yield (part, record.id), _filled(_texts(record))


def _records(book: Book, part: str) -> Iterator[Any]:
    held = getattr(book, part)
    yield from held.values() if isinstance(held, Mapping) else held


def _filled(texts: Iterator[tuple[str, str]]) -> Texts:
    return {path: text for path, text in texts if text}


def _head_texts(book: Book) -> Iterator[tuple[str, str]]:
    yield "title", book.title
    for part, held in (("tools", book.tools), ("caller_may", book.caller_may)):
        yield from ((f"{part}.{name}", text) for name, text in held.items())


PLAIN: Mapping[str, tuple[str, ...]] = {
    "causes": ("name", "prevent", "inside"),
    "signs": ("name",),
    "cautions": ("word", "text", "phone", "stop_line"),
    "checks": ("wording", "phone", "how", "may_mistake"),
    "fixes": ("do", "how", "phone"),
    "families": ("name",),
    "gate": ("ask", "phone"),
    "trees": ("title",),
}
"""Part → the texts that every record of it may have."""
_PART_OF: Mapping[type, str] = {
    Cause: "causes",
    Sign: "signs",
    Caution: "cautions",
    Check: "checks",
    Fix: "fixes",
    Family: "families",
    GateQuestion: "gate",
    Tree: "trees",
}


def _texts(record: Any) -> Iterator[tuple[str, str]]:
    for name in PLAIN[_PART_OF[type(record)]]:
        yield name, getattr(record, name)
    match record:
        case Caution():
            yield from _numbered("then", record.then)
        case Fix():
            yield from _numbered("parts", record.parts)
        case Check():
            for answer in (*record.routes(), *record.items):
                yield f"answers.{answer.id}", answer.means
            for field in record.readings:
                yield f"readings.{field.name}", field.label
        case GateQuestion():
            for answer in record.answers:
                yield f"answers.{answer.id}", answer.means
        case Tree():
            yield from _numbered("words", record.complaint_words)
            for step in record.steps.values():
                yield f"steps.{step.id}.text", step.text
                yield from _numbered(f"steps.{step.id}.bring", step.bring)


def _numbered(name: str, texts: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    yield from ((f"{name}.{no}", text) for no, text in enumerate(texts, start=1))


# ── a book in them ──────────────────────────────────────────────────────────


def in_language(book: Book, translation: Translation) -> Book:
    """Return the book with the texts of a translation in the place of its own; what has none stays as it is."""
    told = translation.texts
    head = told.get((HEAD, ""), {})
    parts: dict[str, Any] = {
        part: {record.id: _said(record, told.get((part, record.id), {})) for record in _records(book, part)}
        for part in SECTIONS
    }
    parts["gate"] = tuple(parts["gate"].values())
    missing = sum(path not in told.get(key, {}) for key, texts in texts_of_book(book) for path in texts)
    return replace(
        book,
        **parts,
        title=head.get("title", book.title),
        tools={name: head.get(f"tools.{name}", text) for name, text in book.tools.items()},
        caller_may={name: head.get(f"caller_may.{name}", text) for name, text in book.caller_may.items()},
        language=translation.language,
        own=book,
        not_translated=missing,
    )


def _said(record: Any, told: Texts) -> Any:
    if not told:
        return record
    plain: dict[str, Any] = {name: told[name] for name in PLAIN[_PART_OF[type(record)]] if name in told}
    match record:
        case Caution():
            return replace(record, **plain, then=_list("then", record.then, told))
        case Fix():
            return replace(record, **plain, parts=_list("parts", record.parts, told))
        case Check():
            readings = tuple(replace(f, label=told.get(f"readings.{f.name}", f.label)) for f in record.readings)
            answers: dict[str, Any] = {
                name: _answers(getattr(record, name), told) for name in ("answers", "bands", "extra", "items")
            }
            spread = _answers((record.spread,), told)[0] if record.spread else None
            return replace(record, **plain, **answers, spread=spread, readings=readings)
        case GateQuestion():
            return replace(record, **plain, answers=_answers(record.answers, told))
        case Tree():
            steps = {name: _step(step, told) for name, step in record.steps.items()}
            return replace(record, **plain, steps=steps, complaint_words=_list("words", record.complaint_words, told))
        case _:
            return replace(record, **plain)


def _answers(answers: tuple[Answer, ...], told: Texts) -> tuple[Answer, ...]:
    return tuple(replace(one, means=told.get(f"answers.{one.id}", one.means)) for one in answers)


def _step(step: Step, told: Texts) -> Step:
    key = f"steps.{step.id}"
    return replace(step, text=told.get(f"{key}.text", step.text), bring=_list(f"{key}.bring", step.bring, told))


def _list(name: str, texts: tuple[str, ...], told: Texts) -> tuple[str, ...]:
    return tuple(told.get(f"{name}.{no}", text) for no, text in enumerate(texts, start=1))


# ── reading one ─────────────────────────────────────────────────────────────


def load_translation(folder: Path, language: str) -> Translation | None:
    """Return the texts of a language that lie beside a book; None where there are none. BookError for a broken file."""
    from trees.book.problems import Findings

    path = folder / FOLDER / f"{language}.yaml"
    if not path.is_file():
        return None
    findings = Findings()
    read = read_translation(path, findings)
    if read is None or findings.errors:
        first = next(problem for problem in findings.told() if problem.severity == "error")
        raise BookError(
            f"The texts at {path} can't be used: line {first.spot.line}, column {first.spot.column}: {first.message}."
        )
    return read[0]


def read_translation(path: Path, findings: Findings) -> tuple[Translation, MappingNode] | None:
    """Return the texts in a file with its root, and report what is wrong with it; None where it can't be read."""
    from trees.book.source import read_source
    from trees.book.values import BAD, Reading
    from trees.book.where import Where

    name = f"{FOLDER}/{path.name}"
    try:
        inside = path.resolve().is_relative_to(path.parent.parent.resolve())
        data = path.read_bytes()[:_LARGEST] if inside else None
    except OSError:
        data = None
    if data is None:
        cure = "put an ordinary file that may be read in its place; a link must not lead out of the book"
        findings.add("unreadable-file", "the file can't be read", Spot(name, 1, 1, 2), cure)
        return None
    source = read_source(name, data, findings)
    if source.root is None:
        return None
    reading: Reading = Reading(findings, Where())
    values: Any = table().read(source.root, reading)
    if values is BAD:
        return None
    texts: dict[tuple[str, str], Texts] = {}
    made_from: dict[tuple[str, str], str] = {}
    for part in (HEAD, *SECTIONS):
        if part not in values:
            continue
        held = values[part]
        for record, told in ({"": held} if part == HEAD else held).items():
            made_from[part, record] = told.get("of", "")
            texts[part, record] = dict(_flat("", {key: value for key, value in told.items() if key != "of"}))
    return Translation(values["language"], texts, made_from), source.root


def _flat(before: str, told: Any) -> Iterator[tuple[str, str]]:
    """Yield path and text of a nested mapping; the entries of a list are counted from 1."""
    pairs = told.items() if isinstance(told, Mapping) else enumerate(told, start=1)
    for key, value in pairs:
        path = f"{before}{key}"
        if isinstance(value, str):
            yield path, value
        else:
            yield from _flat(f"{path}.", value)


def table() -> Table:
    """Return what a file of texts may hold."""
    from trees.book.fields import Items, Key, Pairs, Table
    from trees.book.values import Name, Text

    text, several, by_name = Key(Text(lines=True)), Key(Items(Text())), Key(Pairs(Name(), Text()))
    of = {"of": Key(Text())}
    step = Table("step in another language", {"text": text, "bring": several})
    beside: dict[str, dict[str, Key]] = {
        "cautions": {"then": several},
        "fixes": {"parts": several},
        "checks": {"answers": by_name, "readings": by_name},
        "gate": {"answers": by_name},
        "trees": {"words": several, "steps": Key(Pairs(Name(), step))},
    }
    parts = {
        part: Key(
            Pairs(
                Name(),
                Table(
                    f"{kind} in another language",
                    {**of, **dict.fromkeys(PLAIN[part], text), **beside.get(part, {})},
                ),
            )
        )
        for part, kind in SECTIONS.items()
    }
    head = Table("head in another language", {**of, "title": text, "tools": by_name, "caller_may": by_name})
    return Table("translation", {"language": Key(Text(), needed=True), HEAD: Key(head), **parts})
