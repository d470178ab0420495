"""A new job: the complaint in the customer's words, and the tree whose words fit it best."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.events import Key, Paste
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from trees.book.words import PLACES, Place
from trees.errors import SootlineError
from trees.language import N_, _, quoted
from trees.walk.question import PLACE_NAMES
from tui.commands import NEW_JOB
from tui.draw import MUTED, plain
from tui.finding import Finder, Fit
from tui.panels.key_line import KeyLine
from tui.screens.base import WorkScreen, all_bindings
from tui.screens.parts import move_mark


def fit_line(fit: Fit) -> Content:
    """Return a complaint as a line: its title, and by which words of the book it fits."""
    title = f" {plain(fit.tree.title)}"
    if fit.by is None or fit.by.text == fit.tree.title:
        return Content(title)
    kind = f"{_(fit.by.where)} " if fit.by.where else ""
    return Content.assemble(title, (f"  · {kind}{quoted(plain(fit.by.text))}", MUTED))


class WordsField(Input):
    """A field that takes several pasted lines as one, so that none is lost."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("enter", "submit", "Begin", key_display="Enter")]  # type: ignore[assignment]

    def on_paste(self, event: Paste) -> None:
        """Put all pasted lines in, joined."""
        self.insert_text_at_cursor(" ".join(event.text.split()))
        event.prevent_default()
        event.stop()


class NewJob(WorkScreen):
    """Words, tree, place: two keys and the words themselves."""

    KEYS = NEW_JOB
    TITLE_LINE = N_("new job")
    BINDINGS: ClassVar[list[Binding]] = all_bindings(NEW_JOB)  # type: ignore[assignment]
    AUTO_FOCUS = "#words"

    def __init__(self, place: Place | None = None) -> None:
        super().__init__()
        self.place: Place = place or "bench"
        self.given_place = place

    def compose(self) -> ComposeResult:
        """Lay out the field, the trees that fit, and the place."""
        yield Static(Content.styled(_("What does the customer say?"), "bold"), id="title")
        yield WordsField(placeholder=_("smokes white when it starts, lights at the second go"), id="words")
        yield Static(id="place")
        yield Static(Content.styled(_("The tree that fits best is marked; arrows choose another."), MUTED), id="hint")
        yield OptionList(id="fits", markup=False)
        yield KeyLine()

    def begin(self) -> None:
        """Start with all trees in the author's order."""
        self.place = self.given_place or self.sootline.workshop.place
        self.finder = Finder(self.sootline.workshop.book)
        self.show_place()
        self.show_fits("")

    def show_place(self) -> None:
        """Say whose hands the job begins with."""
        self.query_one("#place", Static).update(
            Content.assemble(
                (_("Place: "), MUTED),
                (PLACE_NAMES[self.place], "bold"),
                (_("   F4 changes it"), MUTED),
            )
        )

    def show_fits(self, words: str) -> None:
        """List the trees, the best fit on top, each with the words of the book by which it fits."""
        fits = self.query_one("#fits", OptionList)
        found = self.finder.fits(words)
        fits.set_options([Option(fit_line(fit), id=fit.tree.id) for fit in found])
        fits.highlighted = 0 if found else None

    def on_input_changed(self, event: Input.Changed) -> None:
        """Sort the trees anew while the words are typed."""
        self.show_fits(event.value)

    def on_key(self, event: Key) -> None:
        """Let the arrows move the mark in the list while the field keeps the focus."""
        key = event.key
        fits = self.query_one("#fits", OptionList)
        if key in {"down", "up"} and self.focused is not fits:
            move_mark(fits, 1 if key == "down" else -1)
            event.prevent_default()
            event.stop()

    async def on_input_submitted(self, _event: Input.Submitted) -> None:
        """Begin with Enter from the field."""
        await self.action_start()

    async def on_option_list_option_selected(self, _event: OptionList.OptionSelected) -> None:
        """Begin with Enter or a click in the list."""
        await self.action_start()

    async def action_start(self) -> None:
        """Begin the job and show its first question."""
        from tui.screens.job import JobScreen

        words = self.query_one("#words", Input).value.strip()
        if not words:
            self.tell(_("Type the complaint in a few words first."), wrong=True)
            return
        fits = self.query_one("#fits", OptionList)
        tree = fits.get_option_at_index(fits.highlighted).id if fits.highlighted is not None else None
        try:
            job = await self.sootline.workshop.new_job(words, tree, self.place)
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        self.app.switch_screen(JobScreen(job))

    def action_other_place(self) -> None:
        """Change the place: bench, where it is fitted, phone."""
        self.place = PLACES[(PLACES.index(self.place) + 1) % len(PLACES)]
        self.show_place()

    def action_drop(self) -> None:
        """Go back without a job."""
        self.app.pop_screen()
