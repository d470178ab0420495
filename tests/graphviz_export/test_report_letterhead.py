"""The workshop's name, address and logo stand on its paper; a logo that is none is refused in a sentence."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from small_book import small_book

from graphviz_export.letterhead import LOGO_BYTES_AT_MOST, Letterhead, read_logo
from graphviz_export.report import gather_report
from graphviz_export.report_file import drawn
from graphviz_export.report_records import Report
from trees.errors import PaperError
from trees.walk import Walk

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><rect width="10" height="10" fill="red"/></svg>'


def png() -> bytes:
    """Return a PNG of one grey point."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0\x80")) + chunk(b"IEND", b"")


def report() -> Report:
    """Return the report of a job that was only begun."""
    walk = Walk.begin(small_book(), words="smokes", tree="smoke_on_start").taken_up("one", "2026-01-05")
    return gather_report(walk, "J-1")


@pytest.mark.parametrize(("name", "data"), [("logo.svg", SVG.encode()), ("logo.png", png())])
def test_logo_is_drawn_and_carried_inside(tmp_path: Path, name: str, data: bytes) -> None:
    """Both kinds of logo make another PDF than none does, and stand in the HTML as data."""
    (tmp_path / name).write_bytes(data)
    head = Letterhead("Harbour workshop", ("Pier 3",), tmp_path / name, "112")
    with_logo = drawn(report(), "pdf", head)
    assert with_logo != drawn(report(), "pdf", Letterhead("Harbour workshop", ("Pier 3",), None, "112"))
    first = pypdf.PdfReader(BytesIO(with_logo)).pages[0].extract_text()
    assert "Harbour workshop" in first
    assert "Pier 3" in first
    assert "112" in first
    assert b'src="data:image/' in drawn(report(), "html", head)


def test_without_letterhead_nothing_is_invented() -> None:
    """A workshop that set nothing has no name on its paper, and the number to call is the local one."""
    first = pypdf.PdfReader(BytesIO(drawn(report(), "pdf", Letterhead()))).pages[0].extract_text()
    assert first.lstrip().startswith("Report J-1")
    assert "your local emergency number" in " ".join(first.split())


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("logo.gif", b"GIF89a", "must be a .svg or .png"),
        ("logo.png", b"not a picture", "is not what its ending says"),
        ("logo.svg", b"<html>", "is not what its ending says"),
        ("logo.svg", b"<svg" + b" " * LOGO_BYTES_AT_MOST, "at most 300 kB"),
    ],
)
def test_a_logo_that_is_none_is_refused(tmp_path: Path, name: str, data: bytes, told: str) -> None:
    """Kind, content and size of the logo are looked at before anything is drawn."""
    (tmp_path / name).write_bytes(data)
    with pytest.raises(PaperError, match=told):
        read_logo(Letterhead(logo=tmp_path / name))


def test_a_broken_logo_is_one_sentence(tmp_path: Path) -> None:
    """A picture that can't be drawn, and a file that is not there, are told as what they are."""
    (tmp_path / "logo.svg").write_text("<svg broken")
    with pytest.raises(PaperError, match="could not be drawn"):
        drawn(report(), "pdf", Letterhead(logo=tmp_path / "logo.svg"))
    with pytest.raises(PaperError, match="can't be read"):
        read_logo(Letterhead(logo=tmp_path / "none.svg"))
