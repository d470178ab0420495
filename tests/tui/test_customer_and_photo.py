"""Who the customer is and which photos belong to a job: by keys alone, kept, shown, and told in the report."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from screen_jobs import past_gate
from small_jobs import coked

from graphviz_export.report import gather_report
from graphviz_export.report_file import report_bytes
from trees.casebook import Casebook
from trees.errors import SootlineError
from trees.language import speaking
from trees.walk import beside
from tui.customer import LABELS, WORDS, customer_line
from tui.plain_job import PlainJob
from tui.plain_talk import Talk
from tui.screens.form import FormCard
from tui.screens.report_card import report_text
from tui.typed_path import typed_path
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24), (120, 40)]
WARDEN = {"name": "Hut warden", "phone": "0 12 34", "address": "Hut above the lake"}


async def fill(screen: Any, *texts: str) -> None:
    """Type into the fields of a card, one after the other, each with Enter."""
    for text in texts:
        await screen.type(text)
        await screen.press("enter")


# ── customer ────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("size", SIZES)
async def test_the_customer_is_typed_once_and_stands_over_the_job(
    open_screen: Open, workshop: Workshop, casebook: Casebook, size: tuple[int, int]
) -> None:
    """@ asks for name, contact, boat or hut; they are in the casebook and over the job, now and when it is reopened."""
    async with open_screen(workshop, size=size) as screen:
        job = await past_gate(screen)
        assert "Customer" not in screen.text()
        entries = len(job.walk.entries)
        await screen.press("at")
        for label in LABELS.values():
            assert label in screen.text()
        assert "Enter goes on" in screen.text()
        await fill(screen, "Hut warden", "0 12 34", "Hut above the lake", "")
        await screen.until(lambda: "Hut warden  ·  0 12 34  ·  Hut above the lake" in screen.text())
        assert casebook.customer(job.job.record) == WARDEN
        assert len(job.walk.entries) == entries, "who the customer is can be erased, so it is no entry"
        await screen.press("escape", "enter")
        await screen.until(lambda: "Hut warden" in screen.text())


async def test_what_is_known_of_the_customer_is_changed_and_dropped(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """The fields hold what is known; Esc keeps it as it was, and emptied fields take the line away."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("at")
        await fill(screen, "Harbour office", "", "", "")
        await screen.until(lambda: "Harbour office" in screen.text())
        await screen.press("at")
        assert isinstance(screen.app.screen, FormCard)
        assert screen.app.screen.fields[0].value == "Harbour office"
        await screen.type("x")
        await screen.press("escape")
        assert casebook.customer(job.job.record) == {"name": "Harbour office"}
        await screen.press("at", *["backspace"] * 20, "down", "down", "down", "down", "enter")
        await screen.until(lambda: "Harbour office" not in screen.text())
        assert casebook.customer(job.job.record) == {}


async def test_arrows_go_from_field_to_field_and_stay_at_the_ends(open_screen: Open, workshop: Workshop) -> None:
    """Up in the first field and down in the last stay there."""
    async with open_screen(workshop) as screen:
        await past_gate(screen)
        await screen.press("at", "up")
        card = screen.app.screen
        assert card.fields[0].has_focus
        await screen.press("down", "down", "down", "down")
        assert card.fields[-1].has_focus


async def test_a_store_that_can_not_keep_the_customer_is_told(
    open_screen: Open, workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was typed is not shown as kept."""

    def refuse(*_given: object) -> None:
        raise SootlineError("The disk is full.")

    async with open_screen(workshop) as screen:
        await past_gate(screen)
        monkeypatch.setattr(workshop.casebook, "keep_customer", refuse)
        await screen.press("at")
        await fill(screen, "Hut warden", "", "", "")
        await screen.until(lambda: "The disk is full." in screen.text())
        assert "Customer" not in screen.text().splitlines()[1]


async def test_the_report_names_the_customer(workshop: Workshop) -> None:
    """The preview and every form say whom the job is for; without a customer there is no such line."""
    job = await workshop.new_job("smokes", "smoke_on_start", "bench")
    assert "Customer" not in report_text(job).plain
    await job.keep_customer(WARDEN)
    assert "Customer: Hut warden · 0 12 34 · Hut above the lake" in report_text(job).plain
    who = customer_line(job.customer)
    for form in ("md", "html", "json"):
        assert "Hut above the lake" in report_bytes(job.walk, "J-1", form, customer=who).decode()


def test_plain_mode_has_a_word_for_every_field() -> None:
    """Whatever the screen asks of a customer can be typed in plain mode too."""
    assert set(WORDS.values()) == set(LABELS)


# ── photos ──────────────────────────────────────────────────────────────────


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    """Return a file with three bytes."""
    file = tmp_path / "insert.jpg"
    file.write_bytes(b"abc")
    return file


@pytest.mark.parametrize("size", SIZES)
async def test_a_photo_is_kept_with_its_hash_and_stands_in_the_trail(
    open_screen: Open, workshop: Workshop, picture: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """& asks for the path and what it shows; the job keeps path, words and SHA-256, the file stays where it is."""
    monkeypatch.chdir(picture.parent)
    async with open_screen(workshop, size=size) as screen:
        job = await past_gate(screen)
        await screen.press("ampersand")
        await fill(screen, "insert.jpg", "hard coke")
        await screen.until(lambda: bool(job.walk.now.beside.photos))
        (photo,) = job.walk.now.beside.photos
        assert (photo.path, photo.text) == (str(picture), "hard coke")
        assert photo.sha256 == hashlib.sha256(b"abc").hexdigest()
        assert picture.read_bytes() == b"abc"
        assert any("Photo" in item.asked and "hard coke" in item.answered for item in job.walk.trail)
        assert job.walk.question.no == 201


async def test_a_path_that_can_not_be_read_stays_in_its_field(
    open_screen: Open, workshop: Workshop, picture: Path
) -> None:
    """The card says why, holds what was typed, and nothing is kept until the path is right."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("ampersand")
        await fill(screen, "nowhere.jp", "coke")
        await screen.until(lambda: "can't be read" in " ".join(screen.text().split()))
        card = screen.app.screen
        assert [field.value for field in card.fields] == ["nowhere.jp", "coke"]
        assert not job.walk.now.beside.photos
        card.fields[0].value = str(picture)
        await screen.press("enter", "enter")
        await screen.until(lambda: len(job.walk.now.beside.photos) == 1)


async def test_no_path_keeps_nothing(open_screen: Open, workshop: Workshop) -> None:
    """An empty path is as Esc."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        kept = len(job.walk.entries)
        await screen.press("ampersand", "enter", "enter")
        await screen.settle()
        assert screen.app.screen is job
        assert len(job.walk.entries) == kept


def test_a_dragged_file_is_found_whatever_the_terminal_puts_around_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Quotes, backslashes before spaces, file:// with %20, the home's sign, a folder-less name: one path."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    wanted = tmp_path / "my photo.jpg"
    wanted.write_bytes(b"x")
    for typed in (
        f"'{wanted}'",
        f'"{wanted}" ',
        str(wanted).replace(" ", "\\ "),
        f"file://{tmp_path}/my%20photo.jpg",
        "~/my photo.jpg",
        "my photo.jpg",
    ):
        assert typed_path(typed) == wanted, typed
    odd = tmp_path / "a\\b.jpg"
    odd.write_bytes(b"x")
    assert typed_path(str(odd)) == odd
    assert typed_path("~nobodyhere/x.jpg").name == "x.jpg"


def test_the_report_lists_photos_and_the_serial_number() -> None:
    """The record says what each photo shows, where it lay and its whole hash; the unit bears its serial number."""
    digest = hashlib.sha256(b"abc").hexdigest()
    walk = beside.photo(beside.unit(coked("smokes", "S-77").reopen("photo"), "S-77"), "/p/insert.jpg", digest, "coke")
    report = gather_report(walk, "J-1")
    assert report.photos == (f"coke: /p/insert.jpg (SHA-256 {digest})",)
    assert report.unit.endswith(", serial number S-77")
    assert digest in report_bytes(walk, "J-1", "md").decode()


# ── plain mode, German ──────────────────────────────────────────────────────


async def test_plain_mode_keeps_both(workshop: Workshop, picture: Path) -> None:
    """`customer name …` and `photo PATH` do the same, and say so."""
    job = await workshop.new_job("smokes", "smoke_on_start", "bench")
    out = StringIO()
    talk = PlainJob(Talk(StringIO(), out), job)
    words = talk.commands()
    await words["customer"]("")
    await words["customer"]("name Hut warden")
    await words["@"]("boat Hut above the lake")
    await words["customer"]("shoe 44")
    await words["photo"](str(picture))
    await words["&"]("")
    assert job.customer == {"name": "Hut warden", "address": "Hut above the lake"}
    assert [photo.path for photo in job.walk.now.beside.photos] == [str(picture)]
    told = out.getvalue()
    for sentence in (
        "Customer: not written down",
        "Customer: Hut warden  ·  Hut above the lake",
        "Type customer, one of name, contact, boat, more, and a text.",
        "Kept with its hash: insert.jpg",
        "Type photo and the path of its file.",
    ):
        assert sentence in told


async def test_the_cards_are_german(open_screen: Open, workshop: Workshop) -> None:
    """Both cards and the line over the job speak German."""
    with speaking("de"):
        async with open_screen(workshop) as screen:
            await past_gate(screen)
            await screen.press("at")
            for told in ("Wer ist die Kundschaft?", "Kontakt", "Boot oder Hütte", "Esc verwirft."):
                assert told in screen.text()
            await fill(screen, "Hafenamt", "", "", "")
            await screen.until(lambda: "Kundschaft Hafenamt" in screen.text())
            await screen.press("ampersand")
            for told in ("Welches Foto gehört zu diesem Auftrag?", "Datei", "Zu sehen"):
                assert told in screen.text()


async def test_what_is_typed_of_a_customer_is_shown_literally(open_screen: Open, workshop: Workshop) -> None:
    """Brackets are no markup; what steers a terminal or turns text never reaches it, over the job and in the fields."""
    job = await workshop.new_job("smokes", "smoke_on_start", "bench")
    await job.keep_customer({"name": "[bold]Hut[/bold] \x1b[31mred\u202e", "address": "x" * 10_000})
    async with open_screen(workshop) as screen:
        await screen.press("enter")
        await screen.until(lambda: "[bold]Hut[/bold]" in screen.text())
        await screen.press("at")
        assert "[bold]Hut[/bold]" in screen.text()
        for steering in ("\x1b", "\u202e"):
            assert steering not in screen.text()
        await screen.press("escape")
        await job.keep(beside.unit(job.walk, "S\u202e-1"))
        await screen.press("escape", "enter", "number_sign")
        await screen.until(lambda: "Serial number" in screen.text())
        assert "\u202e" not in screen.text()
