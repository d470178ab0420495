"""From the values of a table to a record of the model: defaults, words into numbers, standing of numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from yaml.nodes import MappingNode, Node

from trees.book.model import Answer, Cause, Caution, Check, Family, Fix, GateQuestion, ReadingField, Sign, Source, Spot
from trees.book.problems import quoted
from trees.book.source import spot_of
from trees.book.tree import Step, Tree
from trees.book.values import BAD, Name, Reading, Shape
from trees.book.where import as_name
from trees.book.words import Form, Proof

_PROOF_OF_FORM: Mapping[str, Proof] = {
    "ask": "words",
    "look": "look",
    "measure": "reading",
    "tick": "words",
    "figure": "reading",
}


@dataclass(frozen=True, slots=True)
class Raw:
    """One record as its table gave it: what it is called, what it holds, where it stands."""

    name: str
    values: dict[str, Any]
    key: Node
    node: Node

    @property
    def spot(self) -> Spot:
        """Where the record's name stands."""
        return spot_of(self.key)

    def at(self, *path: str | int) -> Node:
        """Return the node at a path, or the name where nothing stands there."""
        return find(self.node, *path) or self.key


def find(node: Node | None, *path: str | int) -> Node | None:
    """Return the value at a path of keys and places in lists; None if nothing stands there."""
    for part in path:
        if isinstance(part, int):
            node = node.value[part] if node is not None and part < len(node.value) else None
        elif isinstance(node, MappingNode):
            node = next((value for key, value in node.value if key.value == part), None)
        else:
            return None
    return node


def find_key(node: Node | None, key: str) -> Node | None:
    """Return the key itself in a mapping; None if it is not there."""
    if not isinstance(node, MappingNode):
        return None
    return next((name for name, _ in node.value if name.value == key), None)


def make_sign(raw: Raw, reading: Reading, default: float) -> Sign | None:
    """Build a sign; its unprompted chance is given for every level above normal."""
    values = dict(raw.values)
    levels: tuple[str, ...] = values.get("levels", ("no", "yes"))
    repeated = next((i for i, level in enumerate(levels) if level in levels[:i]), None)
    if repeated is not None:
        at = raw.at("levels", repeated)
        reading.complain("duplicate-key", f"the level `{levels[repeated]}` is given twice", at, "name each level once")
        return None
    given = values.pop("unprompted", default)
    if isinstance(given, dict):
        if not _levels_named(given, levels, raw, reading):
            return None
        chances = tuple(given[level] for level in levels[1:])
    else:
        chances = tuple(given / (len(levels) - 1) for _ in levels[1:])
    if sum(chances) >= 1:
        cure = "write chances that sum to less than 1"
        reading.complain(
            "chances-over-one", "a sign that always shows by itself tells nothing", raw.at("unprompted"), cure
        )
        return None
    return Sign(id=raw.name, spot=raw.spot, unprompted=chances, **{"source": reading.source, **values})


def _levels_named(given: Mapping[str, float], levels: tuple[str, ...], raw: Raw, reading: Reading) -> bool:
    good = True
    for level in given:
        if level not in levels[1:]:
            good = False
            unknown_level(level, levels[1:], find_key(raw.at("unprompted"), level) or raw.key, reading)
    missing = [level for level in levels[1:] if level not in given]
    if good and missing:
        good = False
        at = find_key(raw.node, "unprompted") or raw.key
        cure = "write a chance for each level above normal"
        reading.complain("missing-key", f"no chance is given for `{missing[0]}`", at, cure)
    return good


def unknown_level(level: str, levels: tuple[str, ...], node: Node, reading: Reading) -> None:
    """Report a level that a sign does not have."""
    near = reading.findings.nearest(level, levels)
    cure = f"did you mean `{near}`?" if near else f"it can be {', '.join(levels)}"
    reading.complain("unknown-level", f"the sign has no level {quoted(level)} here", node, cure)


def make_cause(raw: Raw, reading: Reading, signs: Mapping[str, Sign]) -> Cause | None:
    """Build a cause; a bare word or number of `shows` means the most striking level of the sign."""
    values = dict(raw.values)
    shows: dict[str, dict[str, float]] = {}
    words: dict[str, dict[str, str]] = {}
    good = True
    for sign_id, chances in values.pop("shows", {}).items():
        sign = signs.get(sign_id)
        if sign is None:  # unknown or broken: reported elsewhere
            continue
        by_level = chances if isinstance(chances, dict) else {sign.levels[-1]: chances}
        where = raw.at("shows", sign_id)
        for level in by_level:
            if level not in sign.levels[1:]:
                good = False
                unknown_level(level, sign.levels[1:], find_key(where, level) or where, reading)
        total = sum(number for number, _ in by_level.values())
        if total > 1 + 1e-9:
            good = False
            cure = "the levels exclude each other: make the chances sum to 1 at most"
            reading.complain("chances-over-one", f"the chances of `{sign_id}` sum to {total:g}", where, cure)
        shows[sign_id] = {level: number for level, (number, _) in by_level.items()}
        words[sign_id] = {level: word for level, (_, word) in by_level.items()}
    if values["share"] == 0:
        good = False
        message = "a cause with no share never acts"
        reading.complain("number-out-of-range", message, raw.at("share"), "write a number above 0")
    values.setdefault("source", reading.source)
    return Cause(id=raw.name, spot=raw.spot, shows=shows, words=words, **values) if good else None


def make_check(raw: Raw, form: Form, reading: Reading) -> Check:
    """Build a check; what it can prove depends on its form unless it says so."""
    values = dict(raw.values)
    source: Source = values.pop("source", reading.source)
    for key in ("answers", "bands", "extra", "items"):
        if key in values:
            values[key] = tuple(_sourced(answer, source) for answer in values[key])
    if "spread" in values:
        values["spread"] = _sourced(values["spread"], source)
    if "readings" in values:
        values["readings"] = tuple(ReadingField(name=key, **fields) for key, fields in values["readings"].items())
    if form == "figure":
        figure = reading.figures.get(values["figure"])
        values["wording"] = figure.title if figure else values["figure"].replace("_", " ").capitalize()
        values.setdefault("unit", figure.result.unit if figure else "")
    values.setdefault("proof", _PROOF_OF_FORM[form])
    return Check(id=raw.name, form=form, source=source, spot=raw.spot, **values)


def _sourced(answer: Answer, source: Source) -> Answer:
    return answer if answer.source is not None else replace(answer, source=source)


def make_family(raw: Raw, reading: Reading) -> Family:
    """Build a family; a rated value without a source of its own has the family's."""
    values = dict(raw.values)
    source: Source = values.pop("source", reading.source)
    rated = {
        key: value if value.source is not None else replace(value, source=source)
        for key, value in values.pop("rated", {}).items()
    }
    return Family(id=raw.name, spot=raw.spot, source=source, rated=rated, **values)


def make_caution(raw: Raw, reading: Reading) -> Caution:
    """Build a caution."""
    return Caution(id=raw.name, spot=raw.spot, **{"source": reading.source, **raw.values})


def make_fix(raw: Raw) -> Fix:
    """Build a fix."""
    return Fix(id=raw.name, spot=raw.spot, **raw.values)


def make_gate_question(raw: Raw, reading: Reading) -> GateQuestion:
    """Build a gate question."""
    answers = tuple(_sourced(answer, reading.source) for answer in raw.values["answers"])
    return GateQuestion(id=raw.name, spot=raw.spot, **{**raw.values, "answers": answers})


def make_tree(raw: Raw) -> Tree:
    """Build a tree; steps that could not be read are left out."""
    values = dict(raw.values)
    complaint = values.pop("complaint", {})
    values.pop("source", None)
    words, says = complaint.get("words", ()), complaint.get("says", {})
    return Tree(id=raw.name, spot=raw.spot, complaint_words=words, complaint_says=says, **values)


def make_steps(steps: Node, tree: str, reading: Reading, shape: Shape) -> dict[str, Step]:
    """Read the steps of a tree one by one, so that a broken one spoils no other."""
    made: dict[str, Step] = {}
    for key_node, value_node in steps.value:
        step_id = Name().read(key_node, reading)
        if step_id is BAD:
            reading.where.add_misnamed(("step", tree, as_name(key_node.value)), key_node, value_node)
            continue
        reading.where.add(("step", tree, step_id), key_node, value_node)
        reading.owner = key_node
        got = shape.read(value_node, reading)
        if got is BAD:
            continue
        kind, values = got
        if kind == "return":
            if not values.pop("refers"):
                at = find(value_node, "return") or value_node
                reading.complain("not-a-choice", "a step that returns says so", at, "write true")
                continue
            values["refers"] = ""
        made[step_id] = Step(id=step_id, kind=kind, spot=spot_of(key_node), **values)
    return made
