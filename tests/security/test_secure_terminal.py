"""Nothing that came in as data steers a terminal, hides or turns text round: every verb, results and complaints."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from security_support import EVIL, RunVerb, entry, export

from trees.text import json_text, unsafe
from tui.plain_talk import Talk

HOSTILE = export(
    entry("began", words=EVIL, tree=None, place="bench", family=EVIL, unit=EVIL),
    entry("unit", serial=EVIL, text=EVIL),
    entry("waiting", **{"for": EVIL, "due": EVIL, "text": EVIL}),
    entry("remark", text=EVIL, tree=EVIL, step=EVIL, no=EVIL),
    entry("photo", path=EVIL, sha256="a" * 64, text=EVIL),
    entry("answer", EVIL, check=EVIL, answer=EVIL),
    entry("figure", what=EVIL, value=1, unit=EVIL, inputs={EVIL: EVIL}),
    entry("work", text=EVIL, fix=EVIL, minutes=3, parts=[EVIL]),
    entry("follow_up_of", job=EVIL, reason=EVIL),
    entry("closed", end=EVIL, text=EVIL),
    seat=EVIL,
    edition=EVIL,
)
JOB = "J-0001"


def steering(text: str) -> set[str]:
    """Return the characters of an output that could do more than stand there."""
    return {char for char in text if char != "\n" and unsafe(char)}


@pytest.mark.parametrize(
    "verb",
    [
        ("jobs",),
        ("jobs", "--format", "json"),
        ("jobs", "show", JOB),
        ("jobs", "show", JOB, "--format", "json"),
        ("jobs", "export"),
        ("why", JOB),
        ("why", JOB, "--format", "json"),
        ("report", JOB),
        ("report", JOB, "--format", "html"),
        ("report", JOB, "--format", "json"),
        ("recount",),
        ("recount", "--format", "json"),
        ("recount", "--links"),
        ("jobs", "lessons"),
        ("jobs", "lessons", "--format", "json"),
        ("jobs", "erase", JOB),
    ],
)
def test_job_of_an_enemy_steers_no_terminal(
    imported: Callable[[str], Path], run: RunVerb, verb: tuple[str, ...]
) -> None:
    """Whatever an imported job holds in any field, no verb prints a character that steers, hides or turns text."""
    store = imported(HOSTILE)
    done = run("--store", store, *verb)
    assert "The program has a fault" not in done.errors
    assert done.status in {0, 1}, done
    assert steering(done.told.replace("\r\n", "\n") + done.errors) == set()


def test_spreadsheet_of_an_enemy_steers_no_terminal(imported: Callable[[str], Path], run: RunVerb) -> None:
    """The CSV of hostile jobs holds no such character either; its line ends are those of RFC 4180."""
    done = run("--store", imported(HOSTILE), "jobs", "export", "--format", "csv")
    assert done.told.startswith("number,")
    assert steering(done.told.replace("\r\n", "\n")) == set()


def test_json_loses_nothing_by_being_safe(imported: Callable[[str], Path], run: RunVerb) -> None:
    """In JSON what steers is escaped and not replaced: read back it is what was imported, letter for letter."""
    store = imported(HOSTILE)
    told = json.loads(run("--store", store, "jobs", "show", JOB, "--format", "json").told)
    assert told["entries"][0]["data"]["words"] == EVIL
    assert told["entries"][1]["data"]["serial"] == EVIL
    exported = [json.loads(line) for line in run("--store", store, "jobs", "export").told.splitlines()]
    assert exported == [json.loads(line) for line in HOSTILE.splitlines()]


@pytest.mark.parametrize("text", ["", "plain", EVIL, "Möwe 𝄞 \U000e0001 \x7f", 'quote " and \\ back\nline'])
def test_json_text_is_the_same_data(text: str) -> None:
    """Escaped JSON reads back as what went in, for every sign, also beyond the first 65,536."""
    for indent in (None, 1):
        made = json_text({"a": [text, 1, None]}, indent=indent)
        assert json.loads(made) == {"a": [text, 1, None]}
        assert steering(made) == set()


@pytest.mark.parametrize(
    "verb",
    [
        ("jobs", "show", EVIL),
        ("why", EVIL),
        ("report", EVIL),
        ("jobs", "erase", EVIL),
        ("jobs", "import", EVIL),
        ("jobs", "restore", EVIL),
        ("why", JOB, "--cause", EVIL),
        ("weigh", EVIL),
        ("chart", EVIL, "--out", "x.pdf"),
        ("chart", "--verify", EVIL),
        ("diff", EVIL, EVIL),
        ("figure", EVIL),
        ("figure", "supply_drop", EVIL),
        ("schema", EVIL),
        ("check", EVIL),
        ("number", EVIL),
        ("new", "tree", EVIL, "--in", EVIL),
        ("jobs", EVIL),
        (EVIL,),
    ],
)
def test_name_of_an_enemy_is_told_harmlessly(
    imported: Callable[[str], Path], run: RunVerb, verb: tuple[str, ...]
) -> None:
    """A name that can't be found, as a script may pass it on from a file's name, is complained of without its signs."""
    done = run("--store", imported(HOSTILE), *verb)
    assert done.status == 2
    assert done.errors.startswith(("sootline: ", "usage: "))
    assert "The program has a fault" not in done.errors
    assert steering(done.told + done.errors) == set()


def test_bad_line_of_an_import_is_told_harmlessly(tmp_path: Path, run: RunVerb) -> None:
    """What an import refuses is quoted without the signs in it."""
    book = {"line": "book", "fingerprint": EVIL, "kept_at": "2026-03-02T08:00:02.000Z", "files": {"book.yaml": EVIL}}
    (tmp_path / "export.jsonl").write_text(export(books=[book]), encoding="utf-8")
    done = run("--store", tmp_path / "new.db", "jobs", "import", tmp_path / "export.jsonl")
    assert "Nothing was imported" in done.sentence
    assert steering(done.errors) == set()


@pytest.mark.parametrize("form", ["text", "json", "github", "sarif"])
def test_file_names_of_a_book_steer_no_terminal(tmp_path: Path, run: RunVerb, form: str) -> None:
    """A book from elsewhere may have hostile names of files and folders; `check` prints none of their signs."""
    folder = tmp_path / "book\x1b[2J\u202e"
    assert run("new", "book", folder).status == 0
    (folder / "trees" / "a\x9b31m\u202e\u200b.yaml").write_text(f"title: x\nbegin: {'y' * 3}\nsteps: {{}}\n")
    (folder / "checks" / "new\nline.yaml").write_text("x: {ask: y}\n")
    done = run("check", folder, "--format", form)
    assert done.status == 1
    assert steering(done.told + done.errors) == set()


def test_plain_mode_steers_no_terminal() -> None:
    """The one place where plain mode writes lets nothing through but line ends."""
    told = io.StringIO()
    Talk(io.StringIO(), told).say([EVIL, f"Möwe {EVIL}"])
    assert "Möwe" in told.getvalue()
    assert steering(told.getvalue()) == set()
