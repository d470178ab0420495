"""Trying again while a server is away for a moment, without keeping anything twice."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

from trees.casebook.faults import LostServerError
from trees.language import _

_PAUSE_S = 0.1

T = TypeVar("T")


def until_back(act: Callable[[bool], T], patience_s: float) -> T:
    """
    Return what `act` returns, trying again until the server is back or the patience is over.

    Args:
        act: Is told whether it was tried before: then its change may have been kept although the server went away
            before it could say so, and `act` has to look first.
        patience_s: How long to try, in seconds.

    Raises LostServerError where the server stays away.
    """
    until = time.monotonic() + patience_s
    again = False
    while True:
        try:
            return act(again)
        except LostServerError as error:
            if time.monotonic() > until:
                raise LostServerError(
                    _("{error} Whether the last change was kept shows in the job once the server is back.").format(
                        error=error
                    )
                    if again
                    else str(error)
                ) from error
        again = True
        time.sleep(_PAUSE_S)
