"""What a job amounts to as text: causes with probability and evidence, what to do now, later and never again. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from textual.content import Content

from trees.book.model import Fix
from trees.book.words import in_a_sentence
from trees.language import N_, Said, _
from trees.suspects import percent
from trees.walk import Walk
from trees.walk.findings import leads_to
from trees.walk.ranking import rank
from trees.walk.reasons import pairs_of, roots_of
from tui.before_after import pairs_of_readings, table
from tui.draw import GRADE_STYLE, MUTED, lines, plain, say
from tui.panels.suspects import MARKS

LIKELY_PAIR = 0.1
"""A pair of causes less likely than this is not told."""
TOLD = 6
"""Candidates for a missing root, and open checks, that are told."""
_STATES = Said({"found": N_("found"), "hinted": N_("hinted"), "ruled_out": N_("ruled out")})


def findings_text(walk: Walk, width: int = 76) -> Content:
    """Return what was found, what to repair now, what to put right, and what keeps it away."""
    chances = {suspect.cause: suspect.probability for suspect in rank(walk)[0] if suspect.probability is not None}
    rows = [Content.assemble((_("Complaint  "), "bold"), plain(walk.now.words)), *_stop(walk)]
    rows += [*_causes(walk, chances), *_work(walk), *_stays_away(walk), *_measured(walk, width), *_rest(walk, chances)]
    return lines(rows)


def _stop(walk: Walk) -> Iterator[Content]:
    if walk.now.stopped is not None:
        stop = walk.book.cautions.get(walk.now.stopped)
        line = (stop.stop_line or stop.text) if stop else walk.now.stopped
        yield say(_(" ▲ STOPPED FOR SAFETY: {line} ").format(line=line), GRADE_STYLE["DANGER"])
        yield from (say(f"   {n} {line}") for n, line in enumerate(stop.then if stop else (), start=1))


def _causes(walk: Walk, chances: Mapping[str, float]) -> Iterator[Content]:
    result = walk.conclusion
    if result.roots or result.consequences:
        told = _("Root found.") if result.root_found else _("Not finished: something was found whose root was not.")
        yield say(told, "bold $success" if result.root_found else "bold $warning")
    for always, title, ids in (
        (True, _("Root: put right, so that it stays away"), result.roots),
        (False, _("Contributing: pointed at, not proven"), result.contributing),
        (False, _("Consequence: repaired, but not the reason"), result.consequences),
    ):
        if ids or always:
            yield say(title, "bold")
            yield from [_cause(walk, cause_id, chances) for cause_id in ids] or [say(_("   nothing"), MUTED)]
    for consequence, candidates in roots_of(walk, chances).items():
        names = ", ".join(_candidate(walk, c, chances) for c in candidates[:TOLD]) or _("nothing in this book")
        more = _(" and {n} less likely ones").format(n=len(candidates) - TOLD) if len(candidates) > TOLD else ""
        name = walk.book.causes[consequence].name
        yield say(
            _(" ? {name} has no root yet. It may come from: {names}{more}.").format(name=name, names=names, more=more),
            "$warning",
        )
    for root in result.roots:
        led = [walk.book.causes[c].name for c in result.consequences if c in leads_to(walk.book, root)]
        if led:
            yield say(_(" → {name} led to: {listed}.").format(name=walk.book.causes[root].name, listed=", ".join(led)))


def _candidate(walk: Walk, cause_id: str, chances: Mapping[str, float]) -> str:
    chance = f" ({percent(chances[cause_id])})" if cause_id in chances else ""
    return f"{in_a_sentence(walk.book.causes[cause_id].name, walk.book.language)}{chance}"


def _cause(walk: Walk, cause_id: str, chances: Mapping[str, float]) -> Content:
    finding = walk.findings[cause_id]
    reasons = [r for r in finding.reasons if r.state == finding.state]
    by = "; ".join(dict.fromkeys(r.sentence for r in reasons))
    weighed = cause_id in chances and finding.state != "ruled_out"  # what was ruled out has no chance any more
    chance = f"  {percent(chances[cause_id])}" if weighed else ""
    if chance and finding.state == "found":  # it is no question of chance any more; the number says what led there
        chance = _("  found; by its signs alone {chance}").format(chance=percent(chances[cause_id]))
    mark = MARKS[finding.state]
    name = plain(walk.book.causes[cause_id].name)
    return Content.assemble(f" {mark} {name}", (chance, "bold"), (_("   by: {by}").format(by=plain(by)), MUTED))


def _work(walk: Walk) -> Iterator[Content]:
    """Yield what is to be repaired in the unit now, then what is to be put right where it is fitted and used."""
    book, result = walk.book, walk.conclusion
    done = {g.subject for g in walk.now.givens if g.check is None and g.answer in {"cured", "still", "not_tried"}}
    cured = {cause for fix in done if fix in book.fixes for cause in book.fixes[fix].cures}
    found = [c for c in (*result.roots, *result.consequences, *result.contributing) if c not in cured]
    for title, lives in ((_("Repair now"), {"unit"}), (_("Put right at the installation"), {"installation", "use"})):
        wanted = dict.fromkeys(f for c in found if book.causes[c].lives in lives for f in book.causes[c].fixes)
        fixes = [book.fixes[f] for f in wanted if f in book.fixes and f not in done]
        if fixes:
            yield say(title, "bold")
            yield from (_fix(fix) for fix in fixes)


def _fix(fix: Fix) -> Content:
    who = {"caller": _("the user may"), "technician": _("technician"), "licensed": _("licensed person")}[fix.who]
    parts = _("; parts: {listed}").format(listed=", ".join(fix.parts)) if fix.parts else ""
    return Content.assemble(
        f" □ {plain(fix.do)}",
        (_("   {minutes:g} min, {who}{parts}").format(minutes=fix.minutes, who=who, parts=plain(parts)), MUTED),
    )


def _stays_away(walk: Walk) -> Iterator[Content]:
    result, causes = walk.conclusion, walk.book.causes
    advice = [causes[c].prevent for c in (*result.roots, *result.contributing) if causes[c].prevent]
    if advice:
        yield say(_("So that it stays away"), "bold")
        yield from (say(f"   {line}") for line in dict.fromkeys(advice))


def _measured(walk: Walk, width: int) -> Iterator[Content]:
    rows = table(pairs_of_readings(walk), width)
    if rows:
        yield say(_("Before and after the repair"), "bold")
        yield from rows


def _rest(walk: Walk, chances: Mapping[str, float]) -> Iterator[Content]:
    told = walk.conclusion.contributing
    hinted = [c for c, f in walk.findings.items() if f.state == "hinted" and c not in told]
    excluded = [c for c, f in walk.findings.items() if f.state == "ruled_out"]
    for title, ids in ((_("Hinted at"), hinted), (_("Ruled out"), excluded)):
        if ids:
            yield say(title, "bold")
            yield from (_cause(walk, c, chances) for c in ids)
    for cause_id, finding in walk.findings.items():
        if finding.contradicted:
            by = "; ".join(f"{r.sentence} ({_STATES[r.state]})" for r in finding.reasons)
            yield say(
                _(" ! {name}: found and ruled out. Which was wrong? {by}").format(
                    name=walk.book.causes[cause_id].name, by=by
                ),
                "$warning",
            )


def weighed_text(walk: Walk) -> Content:
    """
    Return what acted together and what was not checked and would still change the result.

    Takes some tenths of a second; SuspectsError where the answers can't be weighed.
    """
    from graphviz_export.report_evidence import would_change

    rows: list[Content] = []
    names = {cause.id: cause.name for cause in walk.book.causes.values()}
    pairs = [pair for pair in pairs_of(walk) if pair.chance >= LIKELY_PAIR]
    if pairs:
        rows.append(say(_("Likely acted together"), "bold"))
        rows += [_pair(tuple(names[c] for c in pair.causes), pair.chance) for pair in pairs]
    suspects, trouble = rank(walk)
    rows.append(say(_("Not checked, and it would still change the result"), "bold"))
    open_lines = would_change(walk, suspects, weighed=not trouble)
    rows += [say(f"   {line}", MUTED) for line in open_lines[:TOLD]] or [say(_("   nothing"), MUTED)]
    return lines(rows)


def _pair(names: Sequence[str], chance: float) -> Content:
    return Content.assemble(f" ∧ {plain(_(' and ').join(names))}", (f"  {percent(chance)}", "bold"))
