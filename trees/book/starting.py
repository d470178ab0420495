"""Starting files for authors: a whole small book, a tree, a check or a family, commented and sound as they stand."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import PurePosixPath

from trees.book.json_schema import all_schemas, as_file, file_name
from trees.book.model import Book
from trees.book.values import NAME
from trees.errors import BookError
from trees.language import _

SCHEMA_FOLDER = ".schema"
"""Where a new book keeps its editors' schemas; the reader looks into no folder whose name begins with a point."""

_BOOK = {
    "book.yaml": """\
# What holds for the whole book: title, likelihood words, tools, what a caller may do, how many starts a job may use.
title: {title}
edition: "1"
language: en
reviewed: "{today}"

# The chance that goes with each word. Change a number here and it changes in every cause.
words: {{nearly_always: 0.95, usually: 0.80, often: 0.55, sometimes: 0.25, rarely: 0.08, hardly_ever: 0.02}}
tools: {{torch: Torch}}
caller_may: {{look_outside: "Look from outside, nothing taken off"}}
start_limit: {{bench: 6, site: 4, phone: 2}}

# What minutes, shares and likelihood words rest on: practice, memory, or {{published: name, clause: …, seen: opened}}.
source: memory
""",
    "families.yaml": """\
# Classes of unit with their rated data; the unit's own plate and manual always win. Outputs in kW.
# What the numbers here rest on, unless one says otherwise.
source: memory

air_2kw_12v:
  name: Air heater 2 kW, 12 V
  medium: air
  voltage: 12
  outputs: {{low: 0.8, high: 2.0}}
""",
    "signs.yaml": """\
# What can be observed: one physical thing is one sign. Levels run from normal to most striking (default: no, yes).
intake_shut: {{name: Air cannot get in}}
""",
    "causes.yaml": """\
# Why it fails: each cause, in how many of 100 jobs it acts, what it shows if it acts alone, and what cures it.
intake_blocked:
  name: Combustion air intake blocked
  kind: root
  lives: installation
  share: 5
  shows: {{intake_shut: nearly_always}}
  fixes: [clear_intake]
""",
    "cautions.yaml": """\
# What may hurt: shown before the act, DANGER is acknowledged.
# Local codes, the maker's manual and licensed practice come first.
carbon_monoxide:
  word: Carbon monoxide
  grade: DANGER
  text: Exhaust kills without smell. Run only in the open or with extraction, never in a closed room.
  stop_line: "STOP: CARBON MONOXIDE. Everybody out, into the air."
  then: ["Anyone unwell: call the emergency number.", Nobody goes back in.]
""",
    "fixes.yaml": """\
# What is done about a cause: minutes on a reachable unit, who may do it.
clear_intake: {{do: Clear the combustion air intake., minutes: 10, cures: [intake_blocked]}}
""",
    "gate.yaml": """\
# The safety questions, asked before anything else. `unknown` names the most dangerous answer.
alarm_now:
  no: 1
  ask: Does a carbon monoxide alarm sound, or is anybody unwell, right now?
  answers:
    - {{id: no, means: No}}
    - {{id: yes, means: "Yes, now", stop: carbon_monoxide}}
  unknown: yes
""",
    "checks/outside.yaml": """\
# What is looked at from outside.
intake_look:
  look: Is the combustion air intake free?
  acts: [look_outside]
  needs: [torch]
  answers:
    - {{id: free, means: Free, says: {{intake_shut: no}}, rules_out: [intake_blocked]}}
    - {{id: shut, means: Blocked, says: {{intake_shut: yes}}, finds: [intake_blocked]}}
""",
    "trees/will_not_start.yaml": """\
# What to check, in which order, when it does not start. Leave `no` out of a new step; `sootline number` gives it one.
title: Does not start
complaint: {{words: [does not start]}}
begin: intake
phone_exit: to_workshop
steps:
  intake: {{no: 101, check: intake_look, go: {{free: to_workshop, shut: clear}}, unknown: to_workshop}}
  clear: {{no: 102, do: clear_intake, go: {{cured: done, still: to_workshop, not_tried: to_workshop}}}}
  done: {{no: 103, end: released, text: Say what was blocked and how it stays free.}}
  to_workshop: {{no: 104, end: to_workshop, bring: [the unit]}}
""",
    "worked/first.yaml": """\
# Worked jobs: what is answered, and where it must end. `sootline replay` walks them all again.
leaves_in_the_intake:
  title: Leaves in the intake
  words: It does not start since the autumn.
  tree: will_not_start
  place: site
  family: air_2kw_12v
  answers: {{intake_look: shut, clear_intake: cured}}
  expect: {{found: [intake_blocked], end: released}}
""",
}


def new_book(name: str, today: str) -> dict[str, str]:
    """Return the files of a small sound book, with schemas for editors, by their place in its folder."""
    title = name.replace("_", " ").replace("-", " ").strip().capitalize() or "A new book"
    quoted = '"' + title.replace("\\", "\\\\").replace('"', '\\"') + '"'
    texts = {place: _headed(place, text.format(title=quoted, today=today)) for place, text in _BOOK.items()}
    return {**texts, **{f"{SCHEMA_FOLDER}/{file}": as_file(schema) for file, schema in all_schemas().items()}}


def _headed(place: str, text: str) -> str:
    """Put the line before a file by which an editor finds its schema."""
    parts = PurePosixPath(place).parts
    up = "../" * (len(parts) - 1)
    schema = file_name(parts[0] if len(parts) > 1 else place)
    return f"# yaml-language-server: $schema={up}{SCHEMA_FOLDER}/{schema}\n{text}"


def new_tree(book: Book, name: str) -> tuple[str, str]:
    """Return place and text of a new tree of a book. Raises BookError where the name is taken or is none."""
    _free(name, book.trees, "tree")
    place = f"trees/{name}.yaml"
    no = next_block(book)
    words = name.replace("_", " ")
    check = next((one for one in book.checks.values() if one.answers and len(one.place) == 3), None)
    rows = [
        f"# What to check, and in which order. Numbers {no} on are free; a number is never used again.",
        f"title: {words.capitalize()}",
        "# In the words of those who call; a tree that others run has `shared: true` instead, and returns.",
        f"complaint: {{words: [{words}]}}",
    ]
    if check is None:
        rows += ["begin: to_workshop", "steps:", f"  to_workshop: {{no: {no}, end: to_workshop}}"]
        return place, _headed(place, "\n".join([*rows, ""]))
    answers = ", ".join(answer.id for answer in check.answers)
    rows += [
        "begin: first",
        "# Where a caller goes who is led to a check that is not for the phone.",
        "phone_exit: to_workshop",
        "steps:",
        f"  # Each answer ({answers}) leads to a step; `then` takes those that `go` does not name.",
        f"  first: {{no: {no}, check: {check.id}, then: to_workshop, unknown: to_workshop}}",
        "  # An end says how the job closed; `bring` what the customer brings along.",
        f"  to_workshop: {{no: {no + 1}, end: to_workshop, bring: [the unit]}}",
    ]
    return place, _headed(place, "\n".join([*rows, ""]))


def next_block(book: Book) -> int:
    """Return the first number of a hundred in which no step has a number, behind every number ever given."""
    numbers = [step.no for tree in book.trees.values() for step in tree.steps.values()]
    highest = max([book.highest_no, *numbers, *(question.no for question in book.gate)], default=0)
    return (highest // 100 + 1) * 100 + 1


def new_check(book: Book, name: str) -> tuple[str, str]:
    """Return place and text of a new check, in a file of its own. Raises BookError for a bad or taken name."""
    _free(name, book.checks, "check")
    text = f"""\
# One thing to ask, look at (`look`), measure (`measure`), tick off (`tick`) or work out (`figure`).
# What band edges, plausible ranges and uncertainties rest on: practice, memory, or a published source.
source: memory

{name}:
  ask: Is it so?
  # What the operator reads aloud by phone; `how` says how it is done at the bench.
  phone: Is it so?
  minutes: 2
  # Asked at the intake as long as no tree asks it; take this line out then.
  intake: true
  answers:
    # The normal answer first. `says: {{sign: level}}`, `finds: [cause]`, `rules_out`, `hints` say what an answer means.
    - {{id: no, means: No}}
    - {{id: yes, means: Yes}}
"""
    return f"checks/{name}.yaml", _headed(f"checks/{name}.yaml", text)


def new_family(book: Book, name: str) -> tuple[str, str]:
    """Return place and text of a new family, to stand behind the others. Raises BookError for a bad or taken name."""
    _free(name, book.families, "family")
    like = next(iter(book.families.values()), None)
    voltage = like.voltage if like else 12
    medium = like.medium if like else "air"
    outputs = (
        ", ".join(f"{step}: {output:g}" for step, output in like.outputs.items()) if like else "low: 0.8, high: 2.0"
    )
    rows = [
        "",
        "# Values usual for the class; take them from plates and manuals of units on your bench. Outputs in kW.",
        f"{name}:",
        f"  name: {name.replace('_', ' ').capitalize()}",
        f"  medium: {medium}",
        f"  voltage: {voltage}",
        f"  outputs: {{{outputs}}}",
        "  source: memory",
    ]
    rated: Mapping[str, object] = like.rated if like else {}
    if like is not None and rated:
        rows.append("  # What is left out is asked for in each job, to be read off the plate.")
        rows.append("  # rated:")
        rows += [f"  #   {key}: {{value: {one.value:g}, unit: {one.unit}}}" for key, one in like.rated.items()]
    return "families.yaml", "\n".join([*rows, ""])


def _free(name: str, taken: Mapping[str, object], kind: str) -> None:
    if not NAME.match(name):
        told = _("`{name}` can't be the name of a {kind}: names are of a-z, 0-9 and _.")
        raise BookError(told.format(name=name, kind=_(kind)))
    if name in taken:
        raise BookError(_("This book already has a {kind} named {name}.").format(kind=_(kind), name=name))
