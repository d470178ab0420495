"""An overlay of counted shares: written, read back, laid over; refused with its place where it does not fit."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from small_book import small_book

from trees.book.shares import HEAD, CountedShare, Overlay, lay_over, overlay_text, read_overlay
from trees.errors import BookError
from trees.suspects import Network, posterior

TEXT = """\
book: "0123456789ab"
edition: t1
date: "2026-11-25"
shares:
  battery_flat: {share: 60, jobs: 12, interval: [40.5, 75]}
  pump_weak: {share: 4.5, jobs: 12, interval: [1, 9]}
"""


def overlay(tmp_path: Path, text: str = TEXT) -> Path:
    """Write an overlay."""
    path = tmp_path / "counted.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def refused(tmp_path: Path, text: str) -> str:
    """Return the sentence by which an overlay is refused, without the folder of the test."""
    path = overlay(tmp_path, text)
    with pytest.raises(BookError) as caught:
        lay_over(small_book(), path)
    return str(caught.value).replace(str(path), "FILE")


def test_shares_are_laid_over_and_nothing_else_changes(tmp_path: Path) -> None:
    """Two causes have the counted shares, three keep their own; fingerprint, order and all else are the book's."""
    book = small_book()
    laid = lay_over(book, overlay(tmp_path))
    assert {c.id: c.share for c in laid.causes.values()} == {
        "battery_flat": 60, "cable_thin": 30, "pump_weak": 4.5, "low_by_habit": 30, "insert_coked": 20,
    }  # fmt: skip
    assert list(laid.causes) == list(book.causes)
    own = {c.id: replace(c, share=book.causes[c.id].share) for c in laid.causes.values()}
    assert replace(laid, causes=own) == book
    assert laid.fingerprint == "0123456789ab"


def test_the_suspects_start_from_the_counted_shares(tmp_path: Path) -> None:
    """Before any answer a cause is as likely as its share of 100 jobs: 60 % and 4.5 %."""
    chances = posterior(Network.of(lay_over(small_book(), overlay(tmp_path)), {})).marginals
    assert chances["battery_flat"] == pytest.approx(0.60, abs=1e-9)
    assert chances["pump_weak"] == pytest.approx(0.045, abs=1e-9)
    assert chances["cable_thin"] == pytest.approx(0.30, abs=1e-9)


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    """An overlay survives its file, with a fingerprint of digits alone and an edition full of signs."""
    book = replace(small_book(), fingerprint="123456789012", edition='it\'s: #2 "b"')
    kept = Overlay(
        "123456789012",
        book.edition,
        "2026-11-25",
        {
            "cable_thin": CountedShare(22.9, 30.0, (15.25, 31.0)),
            "pump_weak": CountedShare(0.0012, 1234567.5, (0.0, 100.0)),
        },
    )
    path = overlay(tmp_path, overlay_text(kept))
    assert path.read_text().startswith(HEAD)
    assert read_overlay(path, book) == kept


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("0123456789ab", "ba9876543210", "FILE:1:7: they were counted with another edition of the book (t1, "),
        ("  pump_weak", "  pump_weka", "FILE:6:3: this book has no cause named `pump_weka`; did you mean `pump_weak`?"),
        ("share: 4.5", "share: 104", "FILE:6:22: `104` does not fit here; write a number from 0 to 100"),
        ("share: 4.5", "share: 4,5", "FILE:6:"),
        ("jobs: 12, interval: [1, 9]", "interval: [1, 9]", "this counted share has no `jobs`"),
        ("[1, 9]", "[9, 1]", "FILE:6:14: the interval falls"),
        ("[1, 9]", "[9]", "1 given, exactly 2 needed"),
        ("2026-11-25", "25.11.2026", "FILE:3:7: `25.11.2026` is no date"),
        ("edition: t1", "edtion: t1", "FILE:2:1: a file of shares has no key `edtion`; did you mean `edition`?"),
        ("  pump_weak", "  battery_flat", "FILE:6:3: `battery_flat` is given twice"),
        ("  pump_weak", "\tpump_weak", "FILE:6:1:"),
        (TEXT, "", "FILE:1:1: the file is empty"),
        (TEXT, "- a\n", "FILE:1:"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused_with_its_place(tmp_path: Path, old: str, new: str, sentence: str) -> None:
    """File, line and column, what is wrong, and what to do; nothing is laid over."""
    assert old in TEXT
    told = refused(tmp_path, TEXT.replace(old, new)) if new else refused(tmp_path, "")
    assert told.startswith("The shares at FILE can't be used: FILE:")
    assert sentence in told
    assert "\n" not in told


def test_another_edition_is_told_before_its_unknown_causes(tmp_path: Path) -> None:
    """Both fingerprints stand in the sentence, and what to do."""
    told = refused(tmp_path, TEXT.replace("0123456789ab", "feedfeedfeed").replace("pump_weak", "not_here"))
    assert "feedfeedfeed" in told
    assert "0123456789ab" in told
    assert "not_here" not in told
    assert "sootline recount --write FILE" in told


def test_a_file_that_is_not_there_is_a_sentence(tmp_path: Path) -> None:
    """A missing file and a folder say what they are."""
    for path, reason in ((tmp_path / "none.yaml", "it does not exist"), (tmp_path, "no ordinary file")):
        with pytest.raises(BookError, match=reason):
            lay_over(small_book(), path)
