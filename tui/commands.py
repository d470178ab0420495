"""Everything a person can do on a screen: one record per command, from which keys, footer and help are made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from textual.binding import Binding

from trees.language import _

SMALLEST = (60, 20)
"""Columns and lines that every screen needs."""


@dataclass(frozen=True, slots=True)
class Command:
    """One thing the user can do."""

    id: str
    """Stable; also the name of the action."""
    keys: str
    """Textual's key names, parted by commas; the first is the one shown."""
    label: str
    """One or two words for the footer."""
    help: str
    """One sentence for the help page."""
    footer: bool = True
    shown_as: str = ""
    """How the key is printed, where Textual's name is not how people call it."""
    sense: str = ""
    """What its keys mean on every screen, where that is wider than this one command; empty: its id."""

    number: int = 0
    """The answer that it chooses, where label and help name it as `{n}`."""

    @property
    def said_label(self) -> str:
        """The label in the language that is spoken."""
        return _(self.label).format(n=self.number)

    @property
    def said_help(self) -> str:
        """The help in the language that is spoken."""
        return _(self.help).format(n=self.number)

    @property
    def meaning(self) -> str:
        """What its keys mean; a test holds that a key means the same wherever it works."""
        return self.sense or self.id

    @property
    def key_name(self) -> str:
        """The key as it is printed."""
        return _(self.shown_as or self.keys.partition(",")[0])

    def binding(self) -> Binding:
        """Return the binding that Textual listens to."""
        return Binding(
            self.keys,
            self.id,
            self.label.format(n=self.number),
            show=self.footer,
            key_display=self.shown_as or None,
            id=self.id,
            tooltip=self.help.format(n=self.number),
        )


DIGITS = tuple(
    Command(f"answer({n})", str(n), "Answer {n}", "Choose answer {n}.", footer=False, number=n) for n in range(1, 10)
)

EMERGENCY = Command(
    "emergency", "f2", "Emergency", "Open the card for carbon monoxide, fire, fuel and burns.", shown_as="F2"
)
HELP = Command(
    "help", "f1,question_mark", "Keys", "List every key of this screen; ? does too, outside a field.", shown_as="F1"
)
LEAVE = Command(
    "leave", "ctrl+q", "Quit", "Leave Sootline; every answer is saved already.", footer=False, shown_as="Ctrl+Q"
)
SUSPEND = Command(
    "suspend", "ctrl+z", "Suspend", "Put Sootline into the background of the shell.", footer=False, shown_as="Ctrl+Z"
)
PALETTE = Command(
    "command_palette",
    "ctrl+p",
    "Commands",
    "Find any command of this screen by typing a part of its name.",
    footer=False,
    shown_as="Ctrl+P",
)
EVERYWHERE = (EMERGENCY, HELP, PALETTE, LEAVE, SUSPEND)

TAKE, LEAVE_HERE = "take what is marked, chosen or typed", "go back without taking anything"
"""Senses of Enter and Esc."""
TREE_MAP = "the map of the trees"
OTHER_PART = "go to another part of the screen"

SEE_FIGURES = Command(
    "figures", "v,f7", "Figures", "Work out a figure; F7 does it too while a field takes the letters.", footer=False
)

DAY_LIST = (
    Command("open", "enter", "Open", "Open the marked job where it stands.", shown_as="Enter", sense=TAKE),
    Command("new", "n", "New job", "Begin a job with the complaint in the customer's words."),
    Command("show_closed", "l", "All/open", "Show the closed jobs too, or only the open ones."),
    replace(SEE_FIGURES, footer=True),
    Command("book", "o", "Book", "Open the book as its author: problems, a map of each tree, a preview of each step."),
    Command("casebook", "slash", "Casebook", "Find any job, and see what the closed jobs teach.", shown_as="/"),
    Command("settings", "f9", "Settings", "Workshop, seat, tools, instruments, units, colours, store.", shown_as="F9"),
)

SETTINGS = (
    Command("change", "enter", "Change", "Change the marked setting; it holds at once.", shown_as="Enter", sense=TAKE),
    Command("default", "delete", "Default", "Put the marked setting back to its default.", shown_as="Del"),
    Command("to_day_list", "escape", "Back", "Go back to the day list.", shown_as="Esc", sense=LEAVE_HERE),
)

NEW_JOB = (
    Command("start", "enter", "Begin", "Begin the job with the marked complaint.", shown_as="Enter", sense=TAKE),
    Command("other_place", "f4", "Place", "Change whose hands: bench, where it is fitted, or phone.", shown_as="F4"),
    Command("drop", "escape", "Drop", "Go back to the day list without a job.", shown_as="Esc", sense=LEAVE_HERE),
)

JOB = (
    *DIGITS,
    Command("cannot_tell", "0", "Can't tell", "Answer: cannot tell, not now. Changes no suspect.", footer=False),
    Command(
        "confirm",
        "enter",
        "Take",
        "Take the chosen, typed, ticked, worked-out or earlier answer.",
        shown_as="Enter",
        sense=TAKE,
    ),
    Command(
        "page",
        "space",
        "More",
        "Turn to the next page of answers, or confirm what asks for Space.",
        shown_as="Space",
    ),
    Command("read_caution", "r", "Read it", "Say that you have read the DANGER caution."),
    Command("return_to_tree", "g", "To tree", "Go back to the tree without making the check."),
    Command("back", "b,left", "Back", "Take the last answer back."),
    Command(
        "walk_trail",
        "t",
        "Trail",
        "Go to the trail: walk it with the arrows, Enter changes an answer, x takes it back.",
    ),
    Command("skip", "s", "Skip", "Pass this step over without looking.", footer=False),
    Command("note", "j", "Note", "Jot a note down in the job."),
    Command("proposed", "a", "Proposed", "Make the proposed next check; the tree waits.", footer=False),
    Command("aside", "m", "Check", "Leave the tree for another check; the tree waits.", footer=False),
    Command("why", "w", "Why", "See why a suspect stands where it stands, answer by answer.", footer=False),
    Command("family", "f", "Family", "Say what class of unit it is.", footer=False),
    Command("place", "p", "Place", "Hand the job over: bench, where it is fitted, phone.", footer=False),
    SEE_FIGURES,
    Command(
        "map",
        "f3",
        "Map",
        "See the map of the trees with the way through them.",
        footer=False,
        shown_as="F3",
        sense=TREE_MAP,
    ),
    Command(
        "timers",
        "y,f8",
        "Timers",
        "Start or stop a timer: smoke, after-run, ten minutes stable, cool-down.",
        footer=False,
    ),
    Command("hold", "h", "Hold", "Hold this call and go to another, or to a new one.", footer=False),
    Command("call_back", "q", "Call back", "Keep when to call back, or how the call-back went.", footer=False),
    Command(
        "intake",
        "plus",
        "Intake",
        "Tell what is known of a unit that came alone; all of it can be passed over.",
        footer=False,
        shown_as="+",
    ),
    Command(
        "instruments", "equals_sign", "Instruments", "Choose what is measured with today.", footer=False, shown_as="="
    ),
    Command(
        "remark",
        "exclamation_mark",
        "Remark",
        "Tell the book's author something about this step.",
        footer=False,
        shown_as="!",
    ),
    Command(
        "serial",
        "number_sign",
        "Serial",
        "Write down the serial number and see the unit's earlier jobs.",
        footer=False,
        shown_as="#",
    ),
    Command(
        "customer",
        "at",
        "Customer",
        "Write down who the customer is: name, contact, boat or hut; it stands over the job and in the report.",
        footer=False,
        shown_as="@",
    ),
    Command(
        "photo",
        "ampersand",
        "Photo",
        "Keep where a photo lies, with the hash by which it can be proven later; the file stays where it is.",
        footer=False,
        shown_as="&",
    ),
    Command(
        "conclude",
        "c",
        "Conclude",
        "See what was found, and close the job.",
    ),
    Command(
        "day_list", "escape,d", "List", "Go back to the day list; nothing is lost.", shown_as="Esc", sense=LEAVE_HERE
    ),
    Command("follow_up", "u", "Follow-up", "After a stop: begin a follow-up job that is linked to this one."),
)

CONCLUSION = (
    *DIGITS,
    Command("confirm", "enter", "Close it", "Close the job as chosen.", shown_as="Enter", sense=TAKE),
    Command("report", "e", "Report", "Write the report as PDF, HTML, Markdown or JSON, or the intake sheet."),
    Command("preview", "i", "Preview", "Read the report before it is written."),
    Command("work", "k", "Work", "Write down work that was done outside the tree."),
    Command("reopen", "z", "Reopen", "Open a closed job again."),
    Command("to_job", "escape", "Back", "Go back to the question.", shown_as="Esc", sense=LEAVE_HERE),
)


FIGURES = (
    Command(
        "pick",
        "enter",
        "Choose",
        "Choose the marked figure; in a field, go to the next.",
        shown_as="Enter",
        sense=TAKE,
    ),
    Command("move(1)", "down", "Down", "Mark the next figure, or go to the next field.", footer=False, shown_as="↓"),
    Command("move(-1)", "up", "Up", "Mark the figure before, or go to the field before.", footer=False, shown_as="↑"),
    Command("page(1)", "pagedown", "Page down", "Turn the list or the answer on.", footer=False, shown_as="PgDn"),
    Command("page(-1)", "pageup", "Page up", "Turn the list or the answer back.", footer=False, shown_as="PgUp"),
    Command(
        "into_job",
        "f6",
        "Into the job",
        "Put the result into the job: as the reading that is asked for, if it measures the same, or as a note.",
        shown_as="F6",
    ),
    Command(
        "to_list",
        "escape",
        "Back",
        "Go back to the list of figures, then to where you came from.",
        shown_as="Esc",
        sense=LEAVE_HERE,
    ),
)

BOOK = (
    Command(
        "open_file",
        "enter",
        "Open",
        "Open the file at the marked problem; on the map, the preview.",
        shown_as="Enter",
        sense=TAKE,
    ),
    Command(
        "other_side",
        "tab,shift+tab",
        "Side",
        "Go from the problems to the map, or back.",
        shown_as="Tab",
        sense=OTHER_PART,
    ),
    Command("recheck", "f5", "Check", "Check the files of the book again.", shown_as="F5"),
    Command("choose_tree", "f3", "Tree", "Choose the tree that the map shows.", shown_as="F3", sense=TREE_MAP),
    Command(
        "preview",
        "i",
        "Preview",
        "See the marked step as it looks at the bench, where it is fitted, by phone.",
        footer=False,
    ),
    Command("remark", "exclamation_mark", "Remarks", "See what was remarked on steps in the jobs.", shown_as="!"),
    Command("recount", "percent_sign", "Recount", "Count shares and links anew from the closed jobs.", shown_as="%"),
    Command("to_day_list", "escape", "Back", "Go back to the day list.", shown_as="Esc", sense=LEAVE_HERE),
)

SCROLL = (
    Command("move(1)", "down", "Down", "Mark the next line, or scroll the page.", footer=False, shown_as="↓"),
    Command("move(-1)", "up", "Up", "Mark the line before, or scroll the page back.", footer=False, shown_as="↑"),
    Command("page(1)", "pagedown", "Page down", "Turn the list or the page on.", footer=False, shown_as="PgDn"),
    Command("page(-1)", "pageup", "Page up", "Turn the list or the page back.", footer=False, shown_as="PgUp"),
)
TURN = (
    Command("part(1)", "tab", "Page", "Turn to the next page of this screen.", shown_as="Tab", sense=OTHER_PART),
    Command(
        "part(-1)",
        "shift+tab",
        "Page before",
        "Turn to the page before.",
        footer=False,
        shown_as="Shift+Tab",
        sense=OTHER_PART,
    ),
)
INVENTED = Command(
    "invented",
    "f12",
    "Invented",
    "Show the invented jobs of a demo instead of the real ones, or the real ones again; never both.",
    shown_as="F12",
)

CASEBOOK = (
    Command(
        "open_found",
        "enter",
        "Open",
        "Take the marked job up where it is open; read it where it is closed.",
        shown_as="Enter",
        sense=TAKE,
    ),
    *TURN,
    *SCROLL,
    Command("to_day_list", "escape", "Back", "Go back to the day list.", shown_as="Esc", sense=LEAVE_HERE),
    INVENTED,
)

RECOUNT = (
    Command(
        "take_share",
        "enter",
        "Take",
        "Take the marked share, or leave it again; on the last line, write those that are taken.",
        shown_as="Enter",
        sense=TAKE,
    ),
    *TURN,
    *SCROLL,
    Command("to_book", "escape", "Back", "Go back to the book.", shown_as="Esc", sense=LEAVE_HERE),
    INVENTED,
)


def bindings(commands: Sequence[Command]) -> list[Binding | tuple[str, str] | tuple[str, str, str]]:
    """Return the bindings of a screen, in footer order."""
    return [command.binding() for command in commands]
