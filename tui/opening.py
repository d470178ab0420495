"""How a workshop comes about while the first frame stands: a look at the jobs, then the casebook, then the book."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import TYPE_CHECKING

from tui.settings import Settings

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.casebook import Casebook, FirstLook
    from tui.workshop import Workshop


class Opening:
    """
    What it takes to open the program, each part once and off the event loop.

    The book is read after the list of jobs is shown, not beside it: two threads would share one interpreter.
    """

    def __init__(
        self,
        open_casebook: Callable[[], Casebook],
        load_book: Callable[[], Book],
        put_together: Callable[[Casebook, Book], Workshop],
        settings: Settings | None = None,
        notice: str = "",
        *,
        look: Callable[[], FirstLook | None] = lambda: None,
    ) -> None:
        self._look = look
        self._open_casebook = open_casebook
        self._load_book = load_book
        self._put_together = put_together
        self._casebook: asyncio.Task[Casebook] | None = None
        self._workshop: asyncio.Task[Workshop] | None = None
        self.settings = settings or Settings()
        """As they were read at the start; whoever changes them sets the new ones here."""
        self.notice = notice
        self.when_made: Callable[[], None] = lambda: None
        """Called once when everything is there."""
        self.at_rest: Callable[[], object] | None = None
        """Called in the pause that follows an answer."""

    @classmethod
    def of(cls, workshop: Workshop) -> Opening:
        """Return the opening of a workshop that is there already."""
        return cls(
            lambda: workshop.casebook,
            lambda: workshop.book,
            lambda _casebook, _book: workshop,
            workshop.settings,
            workshop.notice,
        )

    async def first_look(self) -> FirstLook | None:
        """Return what the casebook's file lists, to be shown until it is open; None where it has to be opened first."""
        return None if self._casebook is not None else await asyncio.to_thread(self._look)

    async def casebook(self) -> Casebook:
        """Return the casebook; CasebookError where it can't be opened."""
        if self._casebook is None:
            self._casebook = asyncio.create_task(asyncio.to_thread(self._open_casebook))
        return await asyncio.shield(self._casebook)

    async def workshop(self) -> Workshop:
        """Return the workshop with its book; SootlineError where a part of it can't be had."""
        if self._workshop is None:
            self._workshop = asyncio.create_task(self._make())
        return await asyncio.shield(self._workshop)

    async def _make(self) -> Workshop:
        casebook = await self.casebook()
        book = await asyncio.to_thread(self._load_book)
        workshop = self._put_together(casebook, book)
        self.when_made()
        return workshop

    def close(self) -> None:
        """Let go of the casebook, if it was opened."""
        task = self._casebook
        if task is not None and task.done() and not task.cancelled() and task.exception() is None:
            task.result().close()
