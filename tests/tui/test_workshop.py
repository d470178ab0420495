"""A job open at two seats: each sees the other and what it did, and no answer is lost between them."""

from __future__ import annotations

import asyncio
import hashlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from small_book import small_book

from trees.book.shares import CountedShare, Overlay, overlay_text
from trees.casebook import Casebook
from trees.errors import CasebookError, SootlineError, TakenElsewhereError
from tui.workshop import SharesInForce, Workshop


@pytest.fixture
def seats(tmp_path: Path) -> Iterator[tuple[Workshop, Workshop]]:
    """Return two seats on one casebook."""
    path = tmp_path / "casebook.db"
    with Casebook.open(path, seat="bench") as one, Casebook.open(path, seat="helpline") as other:
        yield Workshop(small_book(), one, "bench"), Workshop(small_book(), other, "helpline")


async def test_seats_see_each_other_and_the_newer_state(seats: tuple[Workshop, Workshop]) -> None:
    """A seat that looks is told who else has the job open and has what the other answered as its own walk."""
    bench, helpline = seats
    mine = await bench.new_job("smokes", "smoke_on_start", "bench")
    assert (await mine.look()).others == ()
    theirs = await helpline.open_job(mine.record.number)
    look = await mine.look()
    assert ([one.seat for one in look.others], look.changed) == (["helpline"], True)
    assert mine.walk.entries == theirs.walk.entries
    await theirs.keep(theirs.walk.answer("no"))
    look = await mine.look()
    assert [one.entry.kind for one in look.newer] == ["answer"]
    assert mine.walk.question.no == theirs.walk.question.no == 2
    assert not (await mine.look()).changed
    await theirs.leave()
    assert (await mine.look()).others == ()


async def test_answer_on_its_way_while_the_other_was_first(seats: tuple[Workshop, Workshop]) -> None:
    """An answer to a step that the other seat answered meanwhile is refused, also where a look had seen it."""
    bench, helpline = seats
    mine = await bench.new_job("smokes", "smoke_on_start", "bench")
    theirs = await helpline.open_job(mine.record.number)
    await mine.look()
    for seen in (False, True):
        on_its_way = mine.walk.answer("no")
        await theirs.keep(theirs.walk.answer("no"))
        if seen:
            assert (await mine.look()).changed
        with pytest.raises(TakenElsewhereError):
            await mine.keep(on_its_way)
        assert mine.walk.entries == theirs.walk.entries
    kept = bench.casebook.entries(mine.record)
    assert [one.seat for one in kept if one.entry.kind == "answer"] == ["helpline"] * 2


async def test_looks_and_answers_take_turns(seats: tuple[Workshop, Workshop]) -> None:
    """Looks that run beside answers neither lose one nor see a half-kept one as news."""
    bench, _ = seats
    job = await bench.new_job("smokes", "smoke_on_start", "bench")
    for _ in range(20):
        *looks, _kept = await asyncio.gather(job.look(), job.look(), job.keep(job.walk.note("x")))
        assert [look.changed for look in looks] == [False, False]
    assert len(bench.casebook.entries(job.record)) == len(job.walk.entries)


async def test_store_that_is_gone(seats: tuple[Workshop, Workshop]) -> None:
    """Where nothing can be seen a look says why in a sentence, and the walk stays."""
    bench, _ = seats
    job = await bench.new_job("smokes", "smoke_on_start", "bench")

    class Gone:
        def news(self, *_given: object) -> object:
            raise CasebookError("The server is away.")

        def leave(self, *_given: object) -> object:
            raise CasebookError("The server is away.")

    before, job.workshop.casebook = job.walk, Gone()  # type: ignore[assignment]
    look = await job.look()
    assert (look.trouble, look.changed, job.walk) == ("The server is away.", False, before)
    await job.leave()


async def test_closed_job_tells_the_shares_in_force(seats: tuple[Workshop, Workshop], tmp_path: Path) -> None:
    """A job that is closed under counted shares keeps their fingerprint; without such shares it keeps nothing."""
    bench, _ = seats
    overlay = tmp_path / "shares.yaml"
    cause = next(iter(bench.book.causes))
    counted = {cause: CountedShare(5.0, 12.0, (2.0, 9.0))}
    overlay.write_text(overlay_text(Overlay(bench.book.fingerprint, bench.book.edition, "2026-01-02", counted)))
    for shares in (None, SharesInForce.of(overlay, bench.book)):
        bench.shares = shares
        job = await bench.new_job("smokes", "smoke_on_start", "bench")
        await job.keep(job.walk.answer("no").answer("no").close("to_workshop"))
        kinds = [one.entry.kind for one in bench.casebook.entries(job.record)]
        assert kinds[-2:] == (["answer", "closed"] if shares is None else ["shares", "closed"])
        expected = "" if shares is None else hashlib.sha256(overlay.read_bytes()).hexdigest()[:12]
        assert job.walk.now.beside.shares == expected


async def test_photo_is_hashed(seats: tuple[Workshop, Workshop], tmp_path: Path) -> None:
    """A photo is kept by the hash of its bytes; one that can't be read is told."""
    bench, _ = seats
    job = await bench.new_job("smokes", "smoke_on_start", "bench")
    picture = tmp_path / "insert.jpg"
    picture.write_bytes(b"abc")
    await job.keep_photo(picture, "coked")
    (kept,) = job.walk.now.beside.photos
    # FIPS 180-4, appendix example: SHA-256 of "abc" (value remembered, checked against hashlib's own tests)
    assert kept.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    with pytest.raises(SootlineError, match="can't be read: No such file"):
        await job.keep_photo(tmp_path / "none.jpg")


async def test_tools_of_the_seat_are_kept_in_the_job(seats: tuple[Workshop, Workshop]) -> None:
    """A seat that lacks a tool says so once in a job that it takes up; the other seat, which has all, takes it back."""
    bench, helpline = seats
    for seat in seats:
        seat.book = replace(seat.book, tools={"torch": "Torch", "mirror": "Small mirror"})
    tool, *others = bench.book.tools
    bench.take_settings(replace(bench.settings, tools=tuple(others)))
    mine = await bench.new_job("smokes", "smoke_on_start", "bench")
    assert mine.walk.now.beside.tools_missing == {tool}
    assert sum(entry.kind == "tools" for entry in mine.walk.entries) == 1
    again = await bench.open_job(mine.record.number)
    assert sum(entry.kind == "tools" for entry in again.walk.entries) == 1
    theirs = await helpline.open_job(mine.record.number)
    assert theirs.walk.now.beside.tools_missing == frozenset()
