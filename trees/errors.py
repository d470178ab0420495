"""Every error that the core raises on purpose.

SootlineError                 never raised directly; its text is a sentence for a person
├── BookError                 a book can't be used: carries the list of problems
├── WalkError                 an answer that the present question does not take
├── ReadingError              a typed reading that is no number with a unit
│   └── ImplausibleError      one that is outside what is plausible, and was not confirmed
├── FigureError               a calculation that can't be made
│   └── OutOfRangeError       an input outside the range for which the formula holds
├── SuspectsError             the model can't be weighed (contradiction, too wide)
├── CasebookError             the store can't be opened, read or written
│   ├── NewerCasebookError    written by a later version of this program
│   └── TakenElsewhereError   another seat answered this step first
└── PaperError                a chart or a report can't be made
"""

from __future__ import annotations


class SootlineError(Exception):
    """Base of all errors with a sentence for a person; never raised directly."""


class BookError(SootlineError):
    """A book that can't be used; `problems` holds what is wrong and where."""

    def __init__(self, message: str, problems: tuple[object, ...] = ()) -> None:
        super().__init__(message)
        self.problems = problems


class WalkError(SootlineError):
    """An answer that the present question does not take."""


class ReadingError(SootlineError):
    """A typed reading that can't be understood as a number with a unit."""


class ImplausibleError(ReadingError):
    """A reading outside what is plausible that nobody confirmed."""


class FigureError(SootlineError):
    """A calculation that can't be made from what was given."""


class OutOfRangeError(FigureError):
    """An input outside the range in which the formula holds."""


class SuspectsError(SootlineError):
    """Answers that the model can't weigh."""


class CasebookError(SootlineError):
    """A store that can't be opened, read or written."""


class NewerCasebookError(CasebookError):
    """A store written by a later version of this program."""


class TakenElsewhereError(CasebookError):
    """Another seat has answered this step first."""


class PaperError(SootlineError):
    """A chart or a report that can't be made."""
