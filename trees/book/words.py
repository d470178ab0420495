"""Which words may stand where only a few fit: places, kinds of cause, proofs, grades, ends, forms, kinds of step."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from trees.language import N_, Said

Place = Literal["bench", "site", "phone"]
MEDIA = ("air", "coolant")
"""What units heat or work with, where a book names none."""
PLACES: tuple[Place, ...] = ("bench", "site", "phone")
PLACES_SHORT: Mapping[str, str] = Said({"bench": N_("bench"), "site": N_("site"), "phone": N_("phone")})
"""Each place in a word."""

Kind = Literal["root", "consequence", "both"]
Lives = Literal["unit", "installation", "use"]
Proof = Literal["words", "look", "reading", "cure"]
PROOFS: tuple[Proof, ...] = ("words", "look", "reading", "cure")  # weakest first
Who = Literal["caller", "technician", "licensed"]
Grade = Literal["DANGER", "WARNING", "CAUTION"]
GRADES: Mapping[str, str] = Said({"DANGER": N_("DANGER"), "WARNING": N_("WARNING"), "CAUTION": N_("CAUTION")})
EndKind = Literal[
    "released", "not_released", "settled_by_phone", "to_workshop", "to_licensed", "no_fault", "out_of_service"
]
END_NAMES: Mapping[EndKind, str] = Said(
    {
        "released": N_("Released"),
        "not_released": N_("Not released"),
        "settled_by_phone": N_("Settled by phone"),
        "to_workshop": N_("To the workshop"),
        "to_licensed": N_("To a licensed person"),
        "no_fault": N_("No fault"),
        "out_of_service": N_("Out of service"),
    }
)
UNKNOWN = "unknown"
"""The answer that every check takes: cannot tell, not now."""
WORK_ANSWERS: Mapping[str, str] = Said(
    {
        "cured": N_("Done, and the trouble is gone"),
        "still": N_("Done, the trouble is still there"),
        "not_tried": N_("Done, not tried out yet"),
    }
)
"""How a `do` step is left, in the words of screen and paper."""
NOT_DONE = N_("Not done now")
"""What cannot-tell means of work."""
RATED = Said(
    {
        "dose": N_("dose"),
        "lowest_output": N_("lowest output"),
        "full_output": N_("full output"),
        "voltage_cutout": N_("voltage at which it cuts out"),
        "voltage_min_glow": N_("lowest voltage while it glows"),
        "glow_current_min": N_("lowest glow current"),
        "glow_current_max": N_("highest glow current"),
        "glow_ohm_min": N_("lowest resistance of the glow element"),
        "glow_ohm_max": N_("highest resistance of the glow element"),
        "blower_current_max": N_("highest current of the fan"),
        "exhaust_length": N_("longest exhaust tube"),
        "exhaust_temp_max": N_("highest exhaust temperature"),
    }
)
"""Rated values of a family, as they stand on a plate; one that a book names itself is said by its own name."""

WAITS_FOR: Mapping[str, str] = Said(
    {"parts": N_("parts"), "questionnaire": N_("the questionnaire"), "call_back": N_("a call-back")}
)
"""For what a job can wait, and how it is said."""

Form = Literal["ask", "look", "measure", "tick", "figure"]
StepKind = Literal["check", "run", "over_to", "do", "return", "end", "stop"]


def going_on(text: str, language: str) -> str:
    """Return a text as it goes on behind a colon: English then begins small, German keeps the capitals of its nouns."""
    return f"{text[:1].lower()}{text[1:]}" if language.startswith("en") else text


def in_a_sentence(name: str, language: str) -> str:
    """Return the name of a thing as it stands inside a sentence: small in English, as written elsewhere."""
    return name.lower() if language.startswith("en") else name


def rated_name(name: str) -> str:
    """Return a rated value as it is asked for."""
    return RATED.get(name, name.replace("_", " "))
