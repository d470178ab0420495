"""A clock that a test moves."""


class HandClock:
    """Gives the seconds that a test sets."""

    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        return self.now_s
