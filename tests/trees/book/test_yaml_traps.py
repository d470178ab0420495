"""Each slip of YAML has its own message at the very place where it was made."""

from __future__ import annotations

from typing import Any

import pytest

BURNER, SMOKE, CAUSES = "checks/burner.yaml", "trees/smoke_on_start.yaml", "causes.yaml"

# code, file, what stands there, what is written instead (‹ › mark where the problem must be seen), words of the help
TRAPS = [
    ("duplicate-key", CAUSES, "  share: 6\n", "  share: 6\n  ‹share›: 7\n", "line 12"),
    ("duplicate-key", SMOKE, "{short: supply, stays: supply}", "{short: supply, ‹short›: supply}", "line 6"),
    ("tab", CAUSES, "  share: 6\n", "‹\t›share: 6\n", "spaces"),
    ("tab", CAUSES, "cable_thin:\n  name", "cable_thin:\n‹\t›name", "spaces"),
    ("anchor", CAUSES, "share: 6\n", "share: ‹&six› 6\n", "quotes"),
    ("anchor", CAUSES, "name: Supply cable too thin", "name: ‹&› Supply cable", "quotes"),
    ("alias", CAUSES, "share: 6\n", "share: ‹*six›\n", "quotes"),
    ("alias", CAUSES, "name: Supply cable too thin", "name: ‹*› Supply cable", "quotes"),
    ("tag", CAUSES, "share: 6\n", "share: ‹!›!float 6\n", "quotes"),
    ("tag", CAUSES, "shows: {volts_low: usually}", "shows: ‹!›!python/object:os.system {volts_low: usually}", "quotes"),
    ("missing-key", SMOKE, "bring: [the unit]", "‹:› [the unit]", "key: value"),
    ("missing-key", CAUSES, "  share: 6\n", "  ‹:› 6\n", "key: value"),
    ("merge-key", CAUSES, "  share: 6\n", "  share: 6\n  ‹<<›: {kind: root}\n", "write the keys out"),
    ("key-not-text", CAUSES, "  share: 6\n", "  share: 6\n  ? ‹[a, b]›\n  : c\n", "quotes"),
    ("second-document", CAUSES, "cable_thin:\n", "‹-›--\ncable_thin:\n", "one document"),
    ("unclosed-quote", CAUSES, "name: Supply cable too thin", 'name: ‹"›Supply cable too thin', "close it"),
    ("unclosed-quote", CAUSES, "name: Supply cable too thin\n", "name: ‹'›Supply\n  kind: 'root'\n", "close it"),
    ("text-after-quote", CAUSES, "name: Supply cable too thin", 'name: "Supply" ‹c›able', "whole text"),
    ("text-after-quote", CAUSES, "name: Supply cable too thin", "name: 'Skipper'‹s› cable'", "double quotes"),
    ("bad-escape", CAUSES, "name: Supply cable too thin", 'name: "Supply ‹\\›cable"', "single quotes"),
    ("colon-in-text", CAUSES, "name: Supply cable too thin", "name: ‹Supply cable: too thin›", "quotes"),
    ("colon-in-text", BURNER, "means: It never clears,", "means: Never‹:› it stays,", "quotes"),
    ("colon-in-text", SMOKE, "[white smoke, smokes on start]", "[‹white: smoke›, smokes on start]", "quotes"),
    ("missing-space", CAUSES, "  kind: root\n", "  kind‹:›root\n", "key: value"),
    ("missing-space", SMOKE, "{no: 209, end", "{‹no:209›, end", "no: 209"),
    ("missing-colon", CAUSES, "  kind: root\n", "  ‹kind root›\n", "key: value"),
    ("colon-in-text", SMOKE, "{no: 209, end:", "{no: 209 end‹:›", "comma"),
    ("missing-comma", SMOKE, "stays: supply}, unknown", "stays: supply} ‹u›nknown", ""),
    ("missing-comma", SMOKE, "bring: [the unit]}", "bring: [the unit]}‹,›", "leave it out"),
    ("missing-space", SMOKE, "bring: [the unit]}", "bring‹:›}", "key: value"),
    ("missing-comma", SMOKE, "bring: [the unit]", "bring: [the unit, ‹,› tubes]", "leave it out"),
    (
        "unclosed-bracket",
        SMOKE,
        "{no: 205, check: habits, then: look_in}",
        "‹{›no: 205, check: habits, then: look_in",
        "`}`",
    ),
    ("unclosed-bracket", CAUSES, "leads_to: [insert_coked]", "leads_to: ‹[›insert_coked", "`]`"),
    ("unclosed-bracket", CAUSES, "leads_to: [insert_coked]", "leads_to: [insert_coked‹}›", "`]`"),
    ("unclosed-bracket", CAUSES, "  share: 6\n", "  share: 6\n  ‹}›\n", "leave it out"),
    ("reserved-sign", CAUSES, "share: 6\n", "share: ‹}›6\n", "quotes"),
    ("indentation", CAUSES, "  share: 6\n", "   ‹share›: 6\n", "same column"),
    ("indentation", CAUSES, "  share: 6\n", " ‹s›hare: 6\n", "same column"),
    ("reserved-sign", CAUSES, "name: Supply cable too thin", "name: ‹[Supply] cable too thin›", "quotes"),
    ("reserved-sign", CAUSES, "name: Supply cable too thin", "name: ‹{Supply} cable too thin›", "quotes"),
    ("reserved-sign", CAUSES, "name: Supply cable too thin", "name: ‹@›Supply cable", "quotes"),
    ("reserved-sign", CAUSES, "name: Supply cable too thin", "name: ‹`›Supply` cable", "quotes"),
    ("reserved-sign", CAUSES, "name: Supply cable too thin", "name: ‹%›Supply cable", "quotes"),
    ("reserved-sign", CAUSES, "name: Supply cable too thin", "name: ‹>›3 V lost", "quotes"),
    ("reserved-sign", CAUSES, "name: Supply cable too thin", "name: ‹|› lost", "quotes"),
    ("reserved-sign", CAUSES, "name: Supply cable too thin", "name: ‹,›Supply", "quotes"),
    ("reserved-sign", CAUSES, "name: Supply cable too thin", "name: ‹-› Supply", "next line"),
    ("reserved-sign", CAUSES, "name: Supply cable too thin", "name: ‹?› Supply", "quotes"),
    ("text-cut-by-hash", CAUSES, "name: Supply cable too thin", "name: Supply pin ‹#3 too thin›", "quotes"),
    ("text-cut-by-comma", BURNER, "means: It never clears,", "means: Never, ‹it stays›,", '"Never, it stays"'),
    (
        "item-melted",
        CAUSES,
        "leads_to: [insert_coked]",
        "leads_to:\n  - insert_coked\n    ‹-› dosing_wrong",
        "indentation",
    ),
    ("control-character", CAUSES, "name: Supply cable too thin", "name: Supply‹\x1b›[31m cable", "delete it"),
    ("control-character", CAUSES, "name: Supply cable too thin", 'name: ‹"Supply \\e[31m cable"›', "backslash"),
    ("control-character", CAUSES, "name: Supply cable too thin", "name: Supply‹\u202e› cable", "delete it"),
    ("control-character", CAUSES, "name: Supply cable too thin", "name: Supply‹\u2028› cable", "delete it"),
    ("curly-quotes", CAUSES, "name: Supply cable too thin", "name: ‹\u201cSupply cable\u201d›", "straight quotes"),
    ("hidden-space", CAUSES, "name: Supply cable too thin", "name: ‹\xa0Supply cable›", "ordinary space"),
]


@pytest.mark.parametrize(("code", "file", "old", "new", "cure"), TRAPS)
def test_trap_is_told_where_it_lies(tiny: Any, code: str, file: str, old: str, new: str, cure: str) -> None:
    """One slip gives one problem, at the line and column of the slip, with a word on the cure."""
    checked = tiny.change(file, old, new).check()
    at_mark = [p for p in checked.problems if (p.spot.line, p.spot.column, p.spot.end_column) == tiny.marked[file]]
    assert [p.code for p in at_mark] == [code], [(p.code, p.spot, p.message) for p in checked.problems]
    assert cure in at_mark[0].help


def test_slip_in_one_file_hides_nothing_in_another(tiny: Any) -> None:
    """All problems of a book are told in one run, and a file that can't be read blames nobody for its names."""
    tiny.change(CAUSES, "share: 6", "share: @6").change(BURNER, "means: Clean,", "means: [], ")
    assert [(p.spot.file, p.code) for p in tiny.check().problems] == [
        (CAUSES, "reserved-sign"),
        (BURNER, "wrong-type"),
    ]


@pytest.mark.parametrize(
    ("data", "code", "place", "cure"),
    [
        (b"", "empty-file", (1, 1), "entries"),
        (b"# only a comment\n", "empty-file", (1, 1), "entries"),
        (b"a: {name: b, levels: [", "unclosed-bracket", (1, 22), "close what is open"),
        (b"- a\n- b\n", "wrong-type", (1, 3), "its name and a colon"),
        (b"just words\n", "wrong-type", (1, 1), "its name and a colon"),
        ("a: {name: Ruß}\nb: {name: Öl}\n".encode("latin-1"), "not-utf-8", (1, 13), "UTF-8"),
        ("ä: {name: a}\nb: {name: x".encode() + b"\xff}\n", "not-utf-8", (2, 12), "UTF-8"),
        ("a: {name: a}\n".encode("utf-16"), "not-utf-8", (1, 1), "UTF-8"),
        (b"a: " + b"[" * 80 + b"]" * 80 + b"\n", "too-deep", (1, 67), "brackets"),
        (b"a: " + b"[" * 5000 + b"\n", "too-deep", (1, 1003), "brackets"),
        (b"".join(b"  " * n + b"a:\n" for n in range(70)), "too-deep", (65, 129), "indentation"),
    ],
)
def test_file_that_is_no_file_of_a_book(tiny: Any, data: bytes, code: str, place: tuple[int, int], cure: str) -> None:
    """Whatever bytes a file holds, it is told what is wrong with them and where."""
    problem = next(p for p in tiny.check_with("signs.yaml", data).problems if p.spot.file == "signs.yaml")
    assert (problem.code, (problem.spot.line, problem.spot.column)) == (code, place)
    assert cure in problem.help


def test_byte_order_mark_is_told_and_shifts_nothing(tiny: Any) -> None:
    """A byte-order mark is a warning; the places of other problems stay right."""
    tiny.change(CAUSES, "share: 6", "share: six").write(CAUSES, "\ufeff" + tiny.files[CAUSES])
    problems = tiny.check().problems
    assert [(p.code, p.severity, p.spot.line, p.spot.column) for p in problems] == [
        ("byte-order-mark", "warning", 1, 1),
        ("wrong-type", "error", 12, 10),
    ]


def test_windows_line_ends_change_no_place(tiny: Any) -> None:
    """Lines and columns are the same with CRLF."""
    tiny.change(CAUSES, "share: 6\n", "share: ‹six›\n")
    tiny.write(CAUSES, tiny.files[CAUSES].replace("\n", "\r\n"))
    assert tiny.only_problem(CAUSES).code == "wrong-type"


def test_columns_count_characters_not_bytes(tiny: Any) -> None:
    """Signs beyond ASCII before the slip count one each."""
    tiny.change("fixes.yaml", "needs: [torch]", "parts: [Dichtung für Öl 🔥 漏れ, ‹[a]›]")
    assert tiny.only_problem("fixes.yaml").code == "wrong-type"


@pytest.mark.parametrize("plain", ["name: No # a comment", "name: It's 5 - 6 V", "name: pin#3", "name: 'a # b'"])
def test_ordinary_text_is_no_trap(tiny: Any, plain: str) -> None:
    """A comment set off by two spaces, an apostrophe, a dash or a hash inside a word are nothing to speak of."""
    tiny.change(CAUSES, "name: Supply cable too thin", plain.replace("No #", "No  #"))
    assert tiny.check().problems == ()


@pytest.mark.parametrize("word", ["yes", "no", "on", "12:30", "010", "2024-01-05", "null", "~", "1e3"])
def test_text_is_never_guessed_at(tiny: Any, word: str) -> None:
    """What YAML readers turn into truth, dates or numbers stays the text that the author wrote."""
    book = tiny.change(CAUSES, "name: Supply cable too thin", f"name: {word}").check().book
    assert book is not None
    assert book.causes["cable_thin"].name == word
