"""Worked jobs of a book: jobs written by an author with what they must end in; also the jobs of the demo workshop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from trees.book.model import Place
from trees.errors import BookError


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedJob:
    """One job: how it is answered and what it must end in."""

    id: str
    title: str
    words: str
    tree: str | None
    place: Place = "bench"
    family: str | None = None
    answers: Mapping[str, Any] = field(default_factory=dict)
    """Id of a gate question, check or fix → answer id, reading as typed, readings by name, or list of ticked items."""
    after_repair: Mapping[str, Any] = field(default_factory=dict)
    """The same for a tree that takes the handover readings."""
    at_most: int | None = None
    """Leave the job open after that many answers."""
    notes: tuple[str, ...] = ()
    close: str | None = None
    found: tuple[str, ...] = ()
    """Causes that must be found."""
    end: str | None = None
    stopped: str | None = None
    """Caution that must have stopped it."""


def load_worked(path: Path) -> tuple[WorkedJob, ...]:
    """Read the worked jobs of a book's folder, file by file in the order of their names; BookError with a sentence."""
    jobs: list[WorkedJob] = []
    for file in sorted((path / "worked").glob("*.yaml")):
        jobs += [_job(file, name, data) for name, data in _plain(file).items() if isinstance(data, dict)]
    return tuple(jobs)


def _plain(file: Path) -> dict[str, Any]:
    """Return a file as texts, lists and mappings; no YAML type is guessed."""
    from yaml import CSafeLoader, YAMLError, compose
    from yaml.nodes import MappingNode, Node, SequenceNode

    class Texts(CSafeLoader):
        """Every plain scalar stays a text."""

        yaml_implicit_resolvers: dict[str, Any] = {}

    def plain(node: Node) -> Any:
        if isinstance(node, MappingNode):
            return {key.value: plain(value) for key, value in node.value}
        if isinstance(node, SequenceNode):
            return [plain(item) for item in node.value]
        return node.value

    try:
        root = compose(file.read_text(encoding="utf-8"), Loader=Texts)
    except (OSError, UnicodeDecodeError, YAMLError) as error:
        raise BookError(f"{file} can't be read as worked jobs: {str(error).splitlines()[0]}.") from error
    found = plain(root) if root is not None else {}
    if not isinstance(found, dict):
        raise BookError(f"{file} must hold worked jobs by name.")
    return found


def _job(file: Path, name: str, data: Mapping[str, Any]) -> WorkedJob:
    expect = data.get("expect") or {}
    try:
        return WorkedJob(
            id=name,
            title=data.get("title", name),
            words=data["words"],
            tree=data.get("tree"),
            place=data.get("place", "bench"),
            family=data.get("family"),
            answers=data.get("answers") or {},
            after_repair=data.get("after_repair") or {},
            at_most=int(data["at_most"]) if "at_most" in data else None,
            notes=tuple(data.get("notes") or ()),
            close=data.get("close"),
            found=tuple(expect.get("found") or ()),
            end=expect.get("end"),
            stopped=expect.get("stopped"),
        )
    except (KeyError, ValueError, AttributeError) as error:
        raise BookError(f"{file}: the worked job {name} can't be read: {error}.") from error
