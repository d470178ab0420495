"""What argparse says of itself, in the language that is spoken: headings, help, complaints about what was typed.

argparse looks its texts up in a catalogue of the operating system, by the environment alone; ours hold its German, and
the setting of the workshop counts.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterable
from functools import cache
from typing import Any, NoReturn

from trees.language import N_, OWN, _, spoken
from trees.text import printable

COMPLAINTS = (
    N_("the following arguments are required: {listed}"),
    N_("one of the arguments {listed} is required"),
    N_("unrecognized arguments: {listed}"),
    N_("argument {name}: {why}"),
    N_("invalid choice: {typed} (choose from {listed})"),
    N_("invalid {kind} value: {typed}"),
    N_("expected one argument"),
    N_("expected at least one argument"),
    N_("not allowed with argument {other}"),
    N_("ignored explicit argument {typed}"),
    N_("ambiguous option: {typed} could match {listed}"),
)
"""How argparse words what is wrong, what was typed in braces; what is not here is said in its own words."""


@cache
def _pattern(complaint: str) -> re.Pattern[str]:
    return re.compile(re.sub(r"\\\{(\w+)\\\}", r"(?P<\1>.+?)", re.escape(complaint)), re.DOTALL)


def said(message: str) -> str:
    """Return a complaint of argparse in the language that is spoken."""
    if spoken() == OWN:
        return message
    for complaint in COMPLAINTS:
        found = _pattern(complaint).fullmatch(message)
        if found is not None:
            parts = {name: said(text) if name == "why" else text for name, text in found.groupdict().items()}
            return _(complaint).format(**parts)
    return message


class HelpLines(argparse.HelpFormatter):
    """The help as argparse lays it out, with our word before the usage."""

    def add_usage(
        self,
        usage: str | None,
        actions: Iterable[argparse.Action],
        groups: Iterable[Any],
        prefix: str | None = None,
    ) -> None:
        """Add the usage."""
        super().add_usage(usage, actions, groups, _("usage: ") if prefix is None else prefix)


class Parser(argparse.ArgumentParser):
    """A parser whose complaints about what was typed steer no terminal; those of the verbs are of this kind too."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**{"formatter_class": HelpLines, **options, "add_help": False})
        self._positionals.title, self._optionals.title = _("arguments"), _("options")
        self.add_argument("-h", "--help", action="help", help=_("show this help and end"))

    def error(self, message: str) -> NoReturn:
        """Say how it is used and what is wrong, and end."""
        self.print_usage(sys.stderr)
        self.exit(2, _("{prog}: error: {message}\n").format(prog=self.prog, message=printable(said(message))))
