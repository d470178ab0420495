"""The book, for its author: what is wrong with it beside a map of a tree; Enter opens the file at the line."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Sequence
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult, SuspendNotSupported
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from trees.book import Checked, Problem, check_book
from trees.book.model import Book
from trees.book.problems import count
from trees.book.tree import Step, Tree
from trees.errors import SootlineError
from trees.language import N_, _, ngettext, reason_of
from tui.commands import BOOK
from tui.draw import MUTED, plain
from tui.editor import RunEditor, editor_command, in_the_foreground
from tui.panels.key_line import KeyLine
from tui.screens.base import WorkScreen, all_bindings
from tui.screens.choose import ChooseCard
from tui.screens.preview import PreviewCard
from tui.tree_map import tree_map

NO_FOLDER = N_("This book was not read from a folder, so there are no files to check or to open.")
MOST_SHOWN = 1_000
"""Problems in the list; a spoilt file has more than anybody reads, and the counts are of all of them."""
SEVERITY = {"error": ("✖ error", "bold $text on $error"), "warning": ("△ warning", "bold $warning")}


class ProblemList(OptionList):
    """The problems; the footer says what Enter does here."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("enter", "screen.open_file", "Open", key_display="Enter")]  # type: ignore[assignment]


class MapList(OptionList):
    """The steps of a tree; the footer says what Enter does here."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("enter", "screen.preview", "Preview", key_display="Enter")]  # type: ignore[assignment]


class BookScreen(WorkScreen):
    """Problems on the left, the map of a tree on the right."""

    KEYS = BOOK
    TITLE_LINE = N_("book")
    BINDINGS: ClassVar[list[Binding]] = all_bindings(BOOK)  # type: ignore[assignment]
    AUTO_FOCUS = "#problems"

    def __init__(self, run_editor: RunEditor = in_the_foreground) -> None:
        super().__init__()
        self.run_editor = run_editor
        self.checked: Checked | None = None
        """What the last check said; None before the first one and where there is no folder."""
        self.sound: Book | None = None
        """The last edition without an error: the one that the map shows."""
        self.tree_id = ""
        self.followed: Problem | None = None
        """The problem to whose tree the map last went by itself."""

    def compose(self) -> ComposeResult:
        """Lay out the head, the problems, the map and the footer."""
        yield Static(id="head")
        with Horizontal(id="book-work"):
            with Vertical(id="book-problems"):
                yield Static(id="problem-counts")
                yield ProblemList(id="problems", markup=False)
                yield Static(id="problem-help")
            with Vertical(id="book-map"):
                yield Static(id="map-title")
                yield MapList(id="map", markup=False)
        yield KeyLine()

    def begin(self) -> None:
        """Show the map of the book as it was loaded, and check the files."""
        self.sound = self.sootline.workshop.book
        self.tree_id = next(iter(self.sound.trees), "")
        self.call_after_refresh(self.show_map)
        self.action_recheck()

    # ── the check ───────────────────────────────────────────────────────────

    def action_recheck(self) -> None:
        """Check the files as they are now."""
        if self.sootline.workshop.book_folder is None:
            self.query_one("#problem-counts", Static).update(_(NO_FOLDER))
            self.show_head()
            return
        self.query_one("#problem-counts", Static).update(Content.styled(_("Checking …"), "bold $accent"))
        self.fill()

    @work(exclusive=True)
    async def fill(self) -> None:
        """Check off the event loop and show what was found."""
        folder = self.sootline.workshop.book_folder
        if folder is None:
            return
        try:
            checked = await asyncio.to_thread(check_book, folder)
        except (SootlineError, OSError) as error:
            self.query_one("#problem-counts", Static).update(Content.styled(plain(str(error)), "$warning"))
            return
        self.checked = checked
        if checked.book is not None:
            self.sound = checked.book
        self.show_problems(checked)
        self.show_head()
        self.show_map()

    def show_head(self) -> None:
        """Say which book it is, and whether the jobs use it as it now stands."""
        workshop, checked = self.sootline.workshop, self.checked
        changed = checked is not None and (
            checked.book is None or checked.book.fingerprint != workshop.book.fingerprint
        )
        self.query_one("#head", Static).update(
            Content.assemble(
                (_(" Book "), "bold reverse"),
                f" {plain(workshop.book.title)}",
                (_("  ·  changed: jobs use it after the next start"), "$warning") if changed else "",
                (f"  ·  {plain(str(workshop.book_folder))}", MUTED) if workshop.book_folder else "",
            )
        )

    def show_problems(self, checked: Checked) -> None:
        """List the problems; the mark stays on the same one, or on the one that took its place."""
        rows = self.query_one("#problems", OptionList)
        at = rows.highlighted or 0
        shown = checked.problems[:MOST_SHOWN]
        before = self.followed
        rows.set_options([Option(problem_text(problem)) for problem in shown])
        rows.highlighted = _same(shown, before, at)
        size = checked.counts
        more = (
            _(", the first {MOST_SHOWN} below").format(MOST_SHOWN=MOST_SHOWN)
            if len(checked.problems) > MOST_SHOWN
            else ""
        )
        style = "bold $danger" if checked.errors else "bold $warning" if checked.problems else "bold $success"
        self.query_one("#problem-counts", Static).update(
            Content.assemble(
                (counted(checked.problems) + more, style),
                (
                    _("\ntrees {trees} · steps {steps} · checks {checks}").format(
                        trees=size["trees"], steps=size["steps"], checks=size["checks"]
                    ),
                    MUTED,
                ),
            )
        )
        if not shown:
            self.followed = None
            self.query_one("#problem-help", Static).update("")

    @on(OptionList.OptionHighlighted, "#problems")
    def explain(self) -> None:
        """Say what to write instead, and turn the map to the step that it is about."""
        problem = self.marked_problem()
        if problem is None:
            return
        text = _("help: {help}").format(help=problem.help) if problem.help else ""
        self.query_one("#problem-help", Static).update(
            Content.assemble((plain(text), ""), (f" [{problem.code}]", MUTED))
        )
        if problem == self.followed:
            return
        self.followed = problem
        tree = self._tree_in(problem.spot.file)
        if tree is not None:
            self.tree_id = tree.id
            at = [step.no for step in tree.steps.values() if step.spot and step.spot.line <= problem.spot.line]
            self.show_map(mark=at[-1] if at else None)

    def marked_problem(self) -> Problem | None:
        """Return the problem under the mark."""
        at = self.query_one("#problems", OptionList).highlighted
        problems = self.checked.problems if self.checked else ()
        return problems[at] if at is not None and at < len(problems) else None

    # ── the map ─────────────────────────────────────────────────────────────

    def show_map(self, mark: int | None = None) -> None:
        """Draw the tree that is chosen; the mark goes to the step of that number, or stays."""
        from graphviz_export.boxes import chart_of

        tree, rows = self.chosen_tree(), self.query_one("#map", OptionList)
        if self.sound is None or tree is None or not self.is_attached:
            return
        wanted = mark if mark is not None else self.marked_no()
        steps = tree_map(chart_of(self.sound, tree.id), rows.size.width - 2)
        rows.set_options([Option(map_text(step.lines), id=str(step.no)) for step in steps])
        numbers = [step.no for step in steps]
        rows.highlighted = numbers.index(wanted) if wanted in numbers else 0
        old = self.checked is not None and self.checked.book is None
        self.query_one("#map-title", Static).update(
            Content.assemble(
                (plain(tree.title), "bold"),
                (_("\nas it was before the errors") if old else "", "$warning"),
                f"\n{plain(str(tree.slower))}" if tree.slower is not None else "",
            )
        )

    def on_resize(self) -> None:
        """Draw the map anew for the new width."""
        self.call_after_refresh(self.show_map)

    def chosen_tree(self) -> Tree | None:
        """Return the tree that is chosen; the first where an edit took it away."""
        trees = self.sound.trees if self.sound else {}
        return trees.get(self.tree_id) or next(iter(trees.values()), None)

    def marked_no(self) -> int | None:
        """Return the number of the step under the mark of the map."""
        rows = self.query_one("#map", OptionList)
        if rows.highlighted is None:
            return None
        return int(rows.get_option_at_index(rows.highlighted).id or 0)

    def marked_step(self) -> Step | None:
        """Return the step under the mark of the map."""
        tree, no = self.chosen_tree(), self.marked_no()
        return next((step for step in tree.steps.values() if step.no == no), None) if tree else None

    def _tree_in(self, file: str) -> Tree | None:
        trees = self.sound.trees.values() if self.sound else ()
        return next((tree for tree in trees if tree.spot and tree.spot.file == file), None)

    # ── keys ────────────────────────────────────────────────────────────────

    @on(OptionList.OptionSelected, "#problems")
    async def action_open_file(self) -> None:
        """Open the file of the marked problem at its line; afterwards check again."""
        folder, problem = self.sootline.workshop.book_folder, self.marked_problem()
        if folder is None:
            self.tell(_(NO_FOLDER), wrong=True)
            return
        if problem is None:
            self.tell(_("There is no problem to open."))
            return
        path = folder.resolve() / problem.spot.file
        try:
            command = editor_command(os.environ, path, problem.spot.line)
            status = self.run_editor(self.app, command)
        except SuspendNotSupported:
            self.tell(_("An editor can't have this terminal; open the file beside it, then press F5."), wrong=True)
            return
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        except OSError as error:
            self.tell(
                _("The editor “{command}” can't be started: {strerror}.").format(
                    command=command[0], strerror=reason_of(error)
                ),
                wrong=True,
            )
            return
        if status:
            self.tell(
                _("The editor “{command}” ended with status {status}.").format(command=command[0], status=status),
                wrong=True,
            )
        self.action_recheck()

    @on(OptionList.OptionSelected, "#map")
    def action_preview(self) -> None:
        """Show how the marked step looks at each place."""
        tree, step = self.chosen_tree(), self.marked_step()
        if self.sound is not None and tree is not None and step is not None:
            self.app.push_screen(PreviewCard(self.sound, tree, step))

    def action_other_side(self) -> None:
        """Go from the problems to the map, or back."""
        rows = self.query_one("#map", OptionList)
        self.set_focus(self.query_one("#problems", OptionList) if rows.has_focus else rows)

    def action_choose_tree(self) -> None:
        """Choose the tree that the map shows."""
        trees = self.sound.trees.values() if self.sound else ()
        lines = [(tree.id, f"{tree.title}{_('  (shared)') if tree.shared else ''}") for tree in trees]
        self.app.push_screen(ChooseCard(_("Which tree?"), lines), self.take_tree)

    def take_tree(self, tree_id: str | None) -> None:
        """Show the tree that was chosen, from its beginning, and give the map the keys."""
        tree = self.sound.trees.get(tree_id or "") if self.sound else None
        if tree is not None:
            self.tree_id = tree.id
            self.show_map(mark=tree.steps[tree.begin].no)
            self.set_focus(self.query_one("#map"))

    @work
    async def action_remark(self) -> None:
        """See what the workshop had to say about the steps; Enter goes to the step on the map."""
        from tui.remarks import remark_rows, step_of

        casebook = self.sootline.workshop.casebook
        try:
            kept = await asyncio.to_thread(casebook.remarks)
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        if not kept or self.sound is None:
            self.tell(_("Nobody has remarked anything yet; ! at a step of a job does."))
            return
        rows = remark_rows(kept, self.sound)
        chosen = await self.app.push_screen_wait(ChooseCard(_("Remarks from the jobs, the newest job first"), rows))
        step = step_of(kept, chosen, self.sound)
        if step is not None:
            self.tree_id = step[0].id
            self.show_map(mark=step[1].no)
            self.set_focus(self.query_one("#map"))

    def action_recount(self) -> None:
        """Count the shares and links of the book anew from the closed jobs."""
        from tui.screens.recount import RecountScreen

        self.app.push_screen(RecountScreen())

    def action_to_day_list(self) -> None:
        """Go back to the day list."""
        self.app.pop_screen()


def counted(problems: Sequence[Problem]) -> str:
    """Return how many errors and warnings there are, in the language that is spoken."""
    tally = count(problems)
    errors, warnings = tally["error"], tally["warning"]
    parts = (
        ngettext("{n} error", "{n} errors", errors).format(n=errors) if errors else "",
        ngettext("{n} warning", "{n} warnings", warnings).format(n=warnings) if warnings else "",
    )
    return ", ".join(part for part in parts if part) or _("No problems.")


def problem_text(problem: Problem) -> Content:
    """Return a problem as it stands in the list: severity in sign and word, place, and the fact below."""
    sign, style = SEVERITY[problem.severity]
    place = f" {plain(problem.spot.file)}:{problem.spot.line}"
    return Content.assemble((sign, style), (place, "bold"), f"\n  {plain(problem.message)}")


def map_text(lines: tuple[str, ...]) -> Content:
    """Return a step of the map: its own line stands out."""
    return Content("\n").join([Content.styled(plain(lines[0]), "bold"), *(Content(plain(line)) for line in lines[1:])])


def _same(problems: tuple[Problem, ...], before: Problem | None, at: int) -> int | None:
    """Return where the same problem stands now, or the place where the mark was; None where there is none."""
    if not problems:
        return None
    return problems.index(before) if before in problems else min(at, len(problems) - 1)
