"""Where do ways through the trees go wrong: circles, steps nobody reaches, checks that a caller can't make."""

from __future__ import annotations

from collections.abc import Iterator

from trees.book.draft import Draft
from trees.book.graph import StepKey, circles, name_graph, step_graph, unreached
from trees.book.model import Book
from trees.book.problems import Note
from trees.book.records import find
from trees.book.routes import way_spot
from trees.book.source import spot_of
from trees.book.tree import Step

_MOST_STEPS_SHOWN = 12


def prove_paths(draft: Draft, book: Book, unsound: set[str]) -> None:
    """Prove what concerns ways over several steps; `unsound` trees have step names that are not known."""
    graph = step_graph(book)
    round_trees: set[str] = set()
    for circle in circles(graph):
        round_trees |= {tree for tree, _ in circle}
        _report_circle(draft, book, circle)
    for tree in book.trees.values():
        if tree.id in unsound or tree.begin not in tree.steps:
            continue
        for step in unreached(graph, tree):
            draft.findings.add(
                "unreachable",
                f"no way leads to the step `{step}`",
                draft.key_spot("step", tree.id, step),
                "lead to it from another step, or take it out",
            )
    if not unsound and not round_trees:
        _PhoneWalk(draft, book).prove()


def _report_circle(draft: Draft, book: Book, circle: list[StepKey]) -> None:
    several = len({tree for tree, _ in circle}) > 1
    names = [f"{tree}.{step}" if several else step for tree, step in circle]
    shown = names if len(names) <= _MOST_STEPS_SHOWN else [*names[:6], f"… {len(names) - 7} more …", names[-1]]
    notes: list[Note] = []
    for place, (tree, step) in enumerate(circle):
        to_tree, to_step = circle[(place + 1) % len(circle)]
        record = book.trees[tree].steps[step]
        ways = [how for how, target in record.targets() if target == to_step and to_tree == tree] or [record.kind]
        target = record.refers if ways == [record.kind] else to_step
        notes.append(
            (way_spot(draft, tree, step, target), f"`{step}` (no {record.no}) by {', '.join(ways)} to `{target}`")
        )
    draft.findings.add(
        "circle",
        f"the steps go round in a circle: {' → '.join([*shown, names[0]])}",
        notes[-1][0],
        "lead one of these ways on to a later step; a walk must always come to an end",
        notes if len(notes) <= 2 * _MOST_STEPS_SHOWN else [*notes[:_MOST_STEPS_SHOWN], notes[-1]],
    )


def prove_leads_to(draft: Draft, book: Book) -> None:
    """Report causes that lead back to themselves."""
    graph = name_graph({cause.id: cause.leads_to for cause in book.causes.values()})
    for circle in circles(graph):
        notes: list[Note] = []
        for place, name in enumerate(circle):
            target = circle[(place + 1) % len(circle)]
            leads_to = find(draft.node("cause", name), "leads_to")
            at = next((item for item in leads_to.value if item.value == target), None) if leads_to else None
            notes.append((spot_of(at) if at else draft.key_spot("cause", name), f"`{name}` leads to `{target}`"))
        draft.findings.add(
            "cause-circle",
            f"causes lead round in a circle: {' → '.join([*circle, circle[0]])}",
            notes[-1][0],
            "leave out the weakest of these `leads_to`",
            notes,
        )


def prove_figure_inputs(draft: Draft, book: Book) -> None:
    """Report figures that are worked out from themselves."""
    links = {
        check.id: [
            *(ref.partition(".")[0] for ref in check.inputs.values() if not ref.startswith("family.")),
            *(base.removeprefix("figure.") for base in check.of if base.startswith("figure.")),
        ]
        for check in book.checks.values()
    }
    for circle in circles(name_graph(links)):
        node = draft.node("check", circle[-1])
        draft.findings.add(
            "figure-circle",
            f"these are worked out from one another: {' → '.join([*circle, circle[0]])}",
            spot_of(find(node, "from") or find(node, "of") or node),
            "begin with a reading that somebody takes",
        )


class _PhoneWalk:
    """Every way a caller can be led: what is not for the phone is left by `instead`, the exit, or by coming back."""

    def __init__(self, draft: Draft, book: Book) -> None:
        self.draft, self.book = draft, book
        self.reported: set[StepKey] = set()

    def prove(self) -> None:
        """Walk from every complaint; then see that no way out by `phone_exit` meets another such step."""
        begins = [(tree.id, tree.begin) for tree in self.book.trees.values() if tree.complaint_words]
        opened = {answer.opens or "" for question in self.book.gate for answer in question.answers}
        begins += [(name, self.book.trees[name].begin) for name in opened if name in self.book.trees]
        met = self._reach(begins)
        for key in sorted(met):
            tree, step = self.book.trees[key[0]], self._step(key)
            if step is not None and self._not_for_phone(step) and not tree.shared and tree.phone_exit is None:
                self._report(key, f"a caller is led to `{step.refers}`, which is not for the phone")
        for tree in self.book.trees.values():
            if tree.phone_exit in tree.steps and not tree.shared:
                self._after_exit(tree.id, str(tree.phone_exit))

    def _after_exit(self, tree: str, begin: str) -> None:
        """Behind the exit nothing may send the caller to the exit again."""
        for key in sorted(self._reach([(tree, begin)])):
            step = self._step(key)
            if key[0] == tree and step is not None and self._not_for_phone(step):
                self._report(
                    key, f"behind the phone exit a caller is led to `{step.refers}`, which is not for the phone"
                )

    def _report(self, key: StepKey, message: str) -> None:
        if key in self.reported:
            return
        self.reported.add(key)
        at = find(self.draft.node("step", *key), "check")
        self.draft.findings.add(
            "phone-dead-end",
            message,
            spot_of(at) if at else self.draft.key_spot("step", *key),
            "add `instead: {phone: …}` to the step, or `phone_exit:` to the tree",
        )

    def _step(self, key: StepKey) -> Step | None:
        return self.book.trees[key[0]].steps.get(key[1])

    def _not_for_phone(self, step: Step) -> bool:
        if step.kind != "check" or "phone" in step.instead:
            return False
        check = self.book.checks.get(step.refers)
        return check is not None and "phone" not in check.place

    def _reach(self, begins: list[StepKey]) -> set[StepKey]:
        met: set[StepKey] = set()
        open_keys = list(begins)
        while open_keys:
            key = open_keys.pop()
            step = self._step(key)
            if key in met or step is None:
                continue
            met.add(key)
            open_keys += self._onward(key[0], step)
        return met

    def _onward(self, tree_id: str, step: Step) -> Iterator[StepKey]:
        """Yield the steps to which a caller may be led from here."""
        if self._not_for_phone(step):
            tree = self.book.trees[tree_id]
            if tree.phone_exit is not None and not tree.shared:
                yield tree_id, tree.phone_exit
            return
        if step.kind in {"run", "over_to"} and step.refers in self.book.trees:
            yield step.refers, self.book.trees[step.refers].begin
        by_phone = step.instead.get("phone")
        if by_phone is not None:
            targets = [*by_phone.go.values(), by_phone.unknown]
        else:
            targets = [target for how, target in step.targets() if not how.startswith(("bench: ", "site: "))]
        for target in targets:
            if target is not None:
                yield tree_id, target
