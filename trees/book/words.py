"""Which words may stand where only a few fit: places, kinds of cause, proofs, grades, ends, forms, kinds of step."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

Place = Literal["bench", "site", "phone"]
PLACES: tuple[Place, ...] = ("bench", "site", "phone")

Kind = Literal["root", "consequence", "both"]
Lives = Literal["unit", "installation", "use"]
Proof = Literal["words", "look", "reading", "cure"]
PROOFS: tuple[Proof, ...] = ("words", "look", "reading", "cure")  # weakest first
Who = Literal["caller", "technician", "licensed"]
Grade = Literal["DANGER", "WARNING", "CAUTION"]
EndKind = Literal[
    "released", "not_released", "settled_by_phone", "to_workshop", "to_licensed", "no_fault", "out_of_service"
]
END_NAMES: Mapping[EndKind, str] = {
    "released": "Released",
    "not_released": "Not released",
    "settled_by_phone": "Settled by phone",
    "to_workshop": "To the workshop",
    "to_licensed": "To a licensed person",
    "no_fault": "No fault",
    "out_of_service": "Out of service",
}
UNKNOWN = "unknown"
"""The answer that every check takes: cannot tell, not now."""
WORK_ANSWERS: Mapping[str, str] = {
    "cured": "Done, and the trouble is gone",
    "still": "Done, the trouble is still there",
    "not_tried": "Done, not tried out yet",
}
"""How a `do` step is left, in the words of screen and paper."""
NOT_DONE = "Not done now"
"""What cannot-tell means of work."""

Form = Literal["ask", "look", "measure", "tick", "figure"]
StepKind = Literal["check", "run", "over_to", "do", "return", "end", "stop"]
