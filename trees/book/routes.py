"""Does every answer lead somewhere? Ways out of each step, kinds of trees, and numbers that are used once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from yaml.nodes import Node

from trees.book.draft import Draft
from trees.book.model import Book, Spot
from trees.book.records import find, find_key
from trees.book.shapes import route_nodes
from trees.book.source import spot_of
from trees.book.tree import Step, Tree
from trees.book.words import UNKNOWN, WORK_ANSWERS


def way_spot(draft: Draft, tree: str, step: str, target: str) -> Spot:
    """Return the spot of the place in a step that names a target."""
    node = draft.node("step", tree, step)
    instead = find(node, "instead")
    for part in [node, *(value for _, value in instead.value)] if instead is not None else [node]:
        go = find(part, "go")
        ways: list[Node] = [way for _, way in route_nodes(go)] if go is not None else []
        ways += [way for name in ("then", "unknown", "run", "over_to") if (way := find(part, name)) is not None]
        found = next((way for way in ways if way.value == target), None)
        if found is not None:
            return spot_of(found)
    return draft.key_spot("step", tree, step)


def prove_tree(draft: Draft, book: Book, tree: Tree, *, sound: bool) -> None:
    """Report what is wrong with the ways through one tree; `sound` says that all its step names are known."""
    for step in tree.steps.values():
        _Ways(draft, book, tree, step).prove()
    if tree.shared:
        root = draft.node("tree", tree.id)
        for name in ("complaint", "phone_exit"):
            at = find_key(root, name)
            if at is not None:
                draft.findings.add(
                    "tree-shared",
                    f"a shared tree has no `{name}`",
                    spot_of(at),
                    "leave it out; the tree that runs this one has it",
                )
        if sound and not any(step.kind == "return" for step in tree.steps.values()):
            at = find_key(root, "shared")
            draft.findings.add(
                "no-return",
                "a shared tree must come back, and no step returns",
                spot_of(at) if at else draft.key_spot("tree", tree.id),
                "add a step such as `back: {no: …, return: true}` and lead to it",
            )


def prove_numbers(draft: Draft, book: Book) -> None:
    """Each number of a step or gate question is used once in the whole book."""
    first: dict[int, tuple[str, ...]] = {}
    places: list[tuple[tuple[str, ...], int]] = [
        (("gate question", question.id), question.no) for question in book.gate
    ]
    places += [(("step", t.id, s.id), s.no) for t in book.trees.values() for s in t.steps.values()]
    for place, number in places:
        if number not in first:
            first[number] = place
            continue
        at, other = find(draft.node(*place), "no"), find(draft.node(*first[number]), "no")
        other_spot = spot_of(other) if other is not None else draft.key_spot(*first[number])
        draft.findings.add(
            "number-twice",
            f"the number {number} is taken already",
            spot_of(at) if at is not None else draft.key_spot(*place),
            f"give it a number that is free; the highest so far is {max(first)}",
            [(other_spot, f"`{first[number][-1]}` has it")],
        )


def prove_opened(draft: Draft, book: Book) -> None:
    """Each tree is begun by something: a complaint, the gate, or another tree."""
    if draft.unread & {"tree", "gate question"} or len(book.trees) < len(draft.reading.where.names("tree")):
        return
    opened = {answer.opens for question in book.gate for answer in question.answers}
    opened |= {step.refers for t in book.trees.values() for step in t.steps.values() if step.kind in {"run", "over_to"}}
    for tree in book.trees.values():
        if tree.id not in opened and not tree.complaint_words:
            how = "run by no tree" if tree.shared else "opened by no complaint, gate question or other tree"
            draft.findings.add(
                "unused-tree",
                f"this tree is {how}",
                draft.key_spot("tree", tree.id),
                "run it from another tree" if tree.shared else "give it a `complaint`, or lead to it by `over_to`",
            )


class _Ways:
    """The ways out of one step. Nodes are looked up only for a problem: a large tree has let its own go."""

    def __init__(self, draft: Draft, book: Book, tree: Tree, step: Step) -> None:
        self.draft, self.book, self.tree, self.step = draft, book, tree, step

    def node(self, place: str = "") -> Node:
        """Return the step's own node, or that of what it asks at another place."""
        node = self.draft.node("step", self.tree.id, self.step.id)
        return (find(node, "instead", place) or node) if place else node

    def key_spot(self, key: str, place: str = "") -> Spot:
        """Return where a key of the step stands; the step's name where it has no such key."""
        at = find_key(self.node(place), key)
        return spot_of(at) if at is not None else self.draft.key_spot("step", self.tree.id, self.step.id)

    def value_spot(self, key: str, place: str = "") -> Spot:
        """Return where the value of a key stands."""
        at = find(self.node(place), key)
        return spot_of(at) if at is not None else self.key_spot(key, place)

    def add(self, code: str, spot: Spot, message: str, cure: str) -> None:
        """Report a problem of this step."""
        self.draft.findings.add(code, message, spot, cure)

    def prove(self) -> None:
        """Prove the step by its kind."""
        step = self.step
        if step.kind == "check":
            self._check()
        elif step.kind == "do":
            self._answers(step.go, step.then, tuple(WORK_ANSWERS), f"the work `{step.refers}`")
        elif step.kind in {"run", "over_to"}:
            self._other_tree()
        elif step.kind == "return" and not self.tree.shared:
            cure = "end it here, or write `shared: true` at the top"
            self.add("return-unshared", self.key_spot("return"), "only a shared tree returns", cure)

    def _check(self) -> None:
        step = self.step
        if not (step.go or step.then or step.unknown):
            message = f"nothing leads on from the step `{step.id}`"
            self.add("dead-end", self.key_spot(""), message, "write `go:` or `then:`")
            return
        check = self.book.checks.get(step.refers)
        if check is not None:
            answers = [answer.id for answer in check.routes()]
            self._answers(step.go, step.then, answers, f"the check `{check.id}`")
            if step.then and step.unknown and step.go and all(answer in step.go for answer in answers):
                message = "every answer has its own way, so `then` is never taken"
                self.add("unused-then", self.key_spot("then"), message, "leave `then` out")
        self._unknown(step.unknown or step.then)
        for place, instead in step.instead.items():
            self._unknown(instead.unknown, place)
            other = self.book.checks.get(instead.check)
            if other is None:
                continue
            self._answers(instead.go, None, [a.id for a in other.routes()], f"the check `{other.id}`", place)
            if place not in other.place:
                message, cure = f"`{other.id}` can't be done at {place}", f"name a check whose `place` has {place}"
                self.add("not-for-place", self.value_spot("check", place), message, cure)

    def _unknown(self, target: str | None, place: str = "") -> None:
        if target is None:
            message = f"the step `{self.step.id}` has no way on for cannot-tell"
            self.add("no-unknown", self.key_spot("go", place), message, "add `unknown:` and the step to go on with")

    def _answers(
        self, go: Mapping[str, str], then: str | None, answers: Sequence[str], of: str, place: str = ""
    ) -> None:
        """Report answers without a way, and ways for answers that do not exist."""
        meant = self._no_such_answers(go, answers, of, place) if any(name not in answers for name in go) else set()
        missing = [name for name in answers if name not in go and name not in meant]
        if then is not None:
            return
        if missing:
            names = ", ".join(f"`{name}`" for name in missing)
            message = f"{names} of {of} {'lead' if len(missing) > 1 else 'leads'} nowhere"
            cure = f"add `{missing[0]}: step` to `go`" + ("" if place else ", or `then:` for all answers not named")
            self.add("unrouted", self.key_spot("go", place), message, cure)
        elif not answers:
            message = f"{of} has no answers to choose among, and there is no `then`"
            self.add("dead-end", self.key_spot("go", place), message, "write `then:` and the step to go on with")

    def _no_such_answers(self, go: Mapping[str, str], answers: Sequence[str], of: str, place: str) -> set[str]:
        """Report ways for answers that do not exist; return the answers that were probably meant."""
        meant: set[str] = set()
        go_node = find(self.node(place), "go")
        for answer, _ in route_nodes(go_node) if go_node is not None else ():
            name = answer.value
            if name in answers or name not in go:
                continue
            near = "" if name == UNKNOWN else self.draft.findings.nearest(name, answers)
            meant.add(near)
            cure = f"did you mean `{near}`?" if near else f"the answers are {', '.join(answers) or 'none: use `then`'}"
            cure = "write `unknown: step` beside `go`, not in it" if name == UNKNOWN else cure
            self.add("unknown-answer", spot_of(answer), f"{of} has no answer `{name}`", cure)
        return meant

    def _other_tree(self) -> None:
        step = self.step
        other = self.book.trees.get(step.refers)
        if step.kind == "run" and step.then is None:
            message = f"when `{step.refers}` comes back, nothing leads on"
            self.add("dead-end", self.key_spot(""), message, "add `then:` and the step to go on with")
        if other is None:
            return
        if step.kind == "run" and not other.shared:
            message = f"`{other.id}` is not shared and does not come back"
            cure = "hand over to it by `over_to`, or make it shared"
            self.add("tree-not-shared", self.value_spot("run"), message, cure)
        elif step.kind == "over_to" and other.shared:
            message = f"`{other.id}` is shared and wants to come back"
            self.add("tree-shared", self.value_spot("over_to"), message, "write `run:` with `then:`")
