"""New steps get numbers that were never used; nothing else of the author's text changes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from trees.book import check_book
from trees.book.numbering import number_steps
from trees.errors import BookError

SMOKE, VOLTS, HALT = "trees/smoke_on_start.yaml", "trees/supply_voltage.yaml", "trees/gas_before.yaml"


def numbered(tiny: Any) -> dict[str, int]:
    """Write the numbers into the book on disk; return the new ones by step."""
    folder = tiny.save()
    found, texts = number_steps(folder)
    for name, text in texts.items():
        (folder / name).write_bytes(text.encode())
        tiny.files[name] = text
    return {one.step: one.no for one in found}


def test_new_steps_get_the_next_numbers_and_the_book_is_sound(tiny: Any) -> None:
    """Flow and block steps, by file and the author's order; a tree without any number begins a hundred of its own."""
    tiny.change(SMOKE, "{no: 208, over_to", "{over_to").change(SMOKE, "{no: 205, check", "{ check")
    tiny.change(HALT, "{no: 501, stop: exhaust_gas}", "\n    # gas first\n    stop: exhaust_gas  # at once")
    assert {problem.code for problem in tiny.check().problems} == {"missing-key"}
    assert numbered(tiny) == {"halt": 501, "use": 502, "over": 503}
    assert check_book(tiny.folder, tiny.figures).problems == ()


def test_nothing_else_of_the_text_changes(tiny: Any) -> None:
    """Comments, blank lines, quotes and order stay: taking the new pieces out gives the old text."""
    text = tiny.files[SMOKE].replace("{no: 208, over_to", "{over_to") + "\n# the end, really   \n"
    tiny.write(SMOKE, text)
    book = tiny.files["book.yaml"]
    numbered(tiny)
    assert tiny.files[SMOKE].replace("{no: 502, over_to", "{over_to") == text
    assert tiny.files["book.yaml"].startswith(book)
    assert tiny.files["book.yaml"].endswith("\nhighest_no: 502\n")


def test_number_of_a_step_that_is_gone_is_never_given_again(tiny: Any) -> None:
    """The mark in book.yaml outlives the step."""
    tiny.change(HALT, "{no: 501, stop", "{stop")
    assert numbered(tiny) == {"halt": 501}
    tiny.change(HALT, "{no: 501, stop", "{stop")
    assert numbered(tiny) == {"halt": 601}
    tiny.change(HALT, "{no: 601, stop", "{no: 900, stop")
    assert numbered(tiny) == {}
    tiny.change(HALT, "{no: 900, stop", "{stop")
    assert numbered(tiny) == {"halt": 1001}
    assert tiny.files["book.yaml"].count("highest_no") == 1


def test_book_with_all_numbers_only_gets_its_mark(tiny: Any) -> None:
    """Run twice, the second time changes nothing."""
    assert numbered(tiny) == {}
    assert number_steps(tiny.folder) == ((), {})


def test_gate_questions_are_numbered_too(tiny: Any) -> None:
    """A safety question has a number like a step."""
    tiny.change("gate.yaml", "alarm_before:\n  no: 2\n", "alarm_before:\n")
    assert numbered(tiny) == {"alarm_before": 502}
    assert check_book(tiny.folder, tiny.figures).problems == ()


def test_line_ends_of_windows_stay(tiny: Any) -> None:
    """A file with CRLF keeps it, in the new lines too."""
    tiny.change(HALT, "{no: 501, stop: exhaust_gas}", "\n    stop: exhaust_gas")
    tiny.write(HALT, tiny.files[HALT].replace("\n", "\r\n"))
    numbered(tiny)
    assert "\r\n    no: 501\r\n    stop: exhaust_gas\r\n" in tiny.files[HALT]


@pytest.mark.parametrize("spoil", ["steps: [\n", "\x00", "a: &x 1\nb: *x\n"])
def test_file_that_cannot_be_read_stops_it(tiny: Any, spoil: str) -> None:
    """Its numbers would not be known, so that one could be given twice: nothing is written."""
    tiny.change(HALT, "{no: 501, stop", "{stop").write(VOLTS, spoil)
    with pytest.raises(BookError, match=r"supply_voltage\.yaml:1"):
        number_steps(tiny.save())


def test_head_in_one_pair_of_braces_is_told(tiny: Any) -> None:
    """No line can be put behind `{…}`: told, nothing written."""
    tiny.write("book.yaml", "{title: A}\n")
    with pytest.raises(BookError, match="no number can be put"):
        number_steps(tiny.save())


def test_folder_without_a_book(tmp_path: Path) -> None:
    """One sentence."""
    with pytest.raises(BookError, match=r"no book\.yaml"):
        number_steps(tmp_path)
