"""What a job knows of each cause by what was really done (found, hinted, ruled out), and how that is concluded."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from trees.book.model import Answer, Book, Cause
from trees.book.words import PROOFS, Kind, Proof
from trees.language import N_, _
from trees.walk.answers import Given

State = Literal["found", "hinted", "ruled_out"]


@dataclass(frozen=True, slots=True)
class Reason:
    """One answer that speaks of a cause."""

    state: State
    no: int
    """Number of the entry in the job."""
    subject: str
    asked: str
    """The check, gate question or work in the book's words."""
    means: str
    """The answer, a reading with its number."""
    proof: Proof

    @property
    def sentence(self) -> str:
        """Return what proves it, as one line."""
        means = _(self.means) if self.proof == "cure" else self.means
        return f"{self.asked} {means}" if self.asked.endswith("?") else f"{self.asked.rstrip('.')}: {means}"


@dataclass(frozen=True, slots=True)
class Finding:
    """What is known of one cause and by what."""

    cause: str
    state: State
    reasons: tuple[Reason, ...]
    """All that spoke of it, also against."""

    @property
    def contradicted(self) -> bool:
        """Found by one answer, ruled out by another."""
        states = {reason.state for reason in self.reasons}
        return {"found", "ruled_out"} <= states


def _state_of(verb: State, given: Given, cause: Cause, proof: Proof) -> State | None:
    """Return what an answer that finds, hints or rules out really amounts to; None for nothing."""
    by_caller = given.place == "phone" and not (given.check is not None and given.check.caller_proves)
    if verb == "ruled_out" and given.after_repair:
        return None  # good after the repair says nothing of what was there before it
    if verb == "hinted":
        return "hinted"
    if proof == "words" or by_caller:
        return "hinted" if verb == "found" else None
    if verb == "ruled_out" and cause.lives != "unit" and given.place != "site":
        return None  # the installation was not seen where it works
    return verb


def gather(book: Book, givens: Iterable[Given]) -> dict[str, Finding]:
    """Collect what each cause is known by, in the order of the answers."""
    reasons: dict[str, list[Reason]] = {}

    def note(cause_id: str, verb: State, given: Given, means: str, proof: Proof) -> None:
        cause = book.causes.get(cause_id)
        state = _state_of(verb, given, cause, proof) if cause else None
        if state is not None:
            told = ": ".join(part for part in (given.told, means) if part)
            reasons.setdefault(cause_id, []).append(
                Reason(state, given.no, given.subject, _asked(book, given), told, proof)
            )

    for given in givens:
        if given.subject in book.fixes and given.check is None:
            _note_cure(book, given, reasons)
            continue
        proof: Proof = given.check.proof if given.check is not None else "words"
        for answer in given.chosen:
            _note_answer(answer, given, proof, note)
    return {cause: Finding(cause, _strongest(rows), tuple(rows)) for cause, rows in reasons.items()}


def _note_answer(
    answer: Answer, given: Given, proof: Proof, note: Callable[[str, State, Given, str, Proof], None]
) -> None:
    for cause_id in answer.finds:
        note(cause_id, "found", given, answer.means, proof)
    for cause_id in answer.hints:
        note(cause_id, "hinted", given, answer.means, proof)
    for cause_id in answer.rules_out:
        note(cause_id, "ruled_out", given, answer.means, proof)


def _asked(book: Book, given: Given) -> str:
    if given.check is not None:
        return given.check.wording
    return next((q.ask for q in book.gate if q.id == given.subject), given.subject)


def _note_cure(book: Book, given: Given, reasons: dict[str, list[Reason]]) -> None:
    """Let a cure prove the one cause that the fix cures, or those of them that were pointed at before."""
    if given.answer != "cured":
        return
    fix = book.fixes[given.subject]
    pointed_at = [c for c in fix.cures if any(r.state != "ruled_out" for r in reasons.get(c, ()))]
    proven = pointed_at or (fix.cures if len(fix.cures) == 1 else ())
    for cause_id in fix.cures:
        state: State = "found" if cause_id in proven else "hinted"
        reasons.setdefault(cause_id, []).append(Reason(state, given.no, fix.id, fix.do, N_("cured by it"), "cure"))


def _strongest(rows: Iterable[Reason]) -> State:
    states = {row.state for row in rows}
    if "found" in states:
        return "found"
    return "ruled_out" if "ruled_out" in states else "hinted"


@dataclass(frozen=True, slots=True)
class Conclusion:
    """Found causes sorted by what leads to what; never one list."""

    roots: tuple[str, ...]
    contributing: tuple[str, ...]
    """Pointed at, not proven, and leading to something that was found."""
    consequences: tuple[str, ...]
    unexplained: Mapping[str, tuple[str, ...]]
    """Consequence without a found root → the causes that could have led to it."""

    @property
    def root_found(self) -> bool:
        """Something was found, and nothing found is left without its root."""
        return bool(self.roots) and not self.unexplained


def leads_to(book: Book, cause_id: str) -> frozenset[str]:
    """Return all that a cause may break, directly or through others."""
    seen: set[str] = set()
    open_ids = [cause_id]
    while open_ids:
        for next_id in book.causes[open_ids.pop()].leads_to:
            if next_id not in seen and next_id in book.causes:
                seen.add(next_id)
                open_ids.append(next_id)
    return frozenset(seen)


def conclude(book: Book, findings: Mapping[str, Finding]) -> Conclusion:
    """Sort what was found into root, contributing and consequence."""
    found = [c for c, finding in findings.items() if finding.state == "found" and c in book.causes]
    parents = {c: [p for p in found if p != c and c in leads_to(book, p)] for c in found}
    is_root = {c: _kind(book, c) == "root" or (_kind(book, c) == "both" and not parents[c]) for c in found}
    consequences = [c for c in found if not is_root[c]]
    unexplained = {}
    for consequence in consequences:
        if not any(is_root[p] for p in parents[consequence]):
            unexplained[consequence] = tuple(
                c
                for c, cause in book.causes.items()
                if cause.kind != "consequence" and consequence in leads_to(book, c) and not _excluded(findings, c)
            )
    contributing = tuple(
        c
        for c, finding in findings.items()
        if finding.state == "hinted" and c in book.causes and _kind(book, c) != "consequence"
        and leads_to(book, c) & set(found)
    )  # fmt: skip
    return Conclusion(tuple(c for c in found if is_root[c]), contributing, tuple(consequences), unexplained)


def _kind(book: Book, cause_id: str) -> Kind:
    return book.causes[cause_id].kind


def _excluded(findings: Mapping[str, Finding], cause_id: str) -> bool:
    finding = findings.get(cause_id)
    return finding is not None and finding.state == "ruled_out"


def proof_rank(proof: Proof) -> int:
    """Return how much a proof weighs: words, look, reading, cure."""
    return PROOFS.index(proof)


@dataclass(frozen=True, slots=True)
class Observation:
    """What the job knows of one sign, and by which answer."""

    sign: str
    level: str
    given: Given | None
    """None for the complaint itself."""
    contradicted: tuple[Given, ...] = ()
    """Weaker or earlier answers that said otherwise."""


def observe(book: Book, tree_id: str | None, givens: Iterable[Given]) -> dict[str, Observation]:
    """Settle what each sign shows: the stronger proof decides, then the later; answers after a repair don't count."""
    seen: dict[str, Observation] = {}
    tree = book.trees.get(tree_id or "")
    for sign, level in (tree.complaint_says if tree else {}).items():
        seen[sign] = Observation(sign, level, None)
    for given in givens:
        if given.after_repair:
            continue
        proof: Proof = given.check.proof if given.check is not None else "words"
        says = [pair for answer in given.chosen for pair in answer.says.items()]
        says += [pair for item in given.unticked for pair in item.otherwise.items()]
        for sign, level in says:
            if sign in book.signs:
                seen[sign] = _settle(seen.get(sign), Observation(sign, level, given), proof)
    return seen


def _settle(before: Observation | None, now: Observation, proof: Proof) -> Observation:
    if before is None or before.given is None:
        return now
    held: Proof = before.given.check.proof if before.given.check is not None else "words"
    if proof_rank(held) > proof_rank(proof):
        loser = (now.given,) if now.given is not None and now.level != before.level else ()
        return Observation(before.sign, before.level, before.given, before.contradicted + loser)
    loser = (before.given,) if before.level != now.level else ()
    return Observation(now.sign, now.level, now.given, before.contradicted + loser)
