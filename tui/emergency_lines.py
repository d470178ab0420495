"""What to do when it can't wait: short numbered lines, the same on the card and in plain mode."""

from __future__ import annotations

from collections.abc import Sequence

CARD: Sequence[tuple[str, Sequence[str]]] = (
    (
        "Carbon monoxide: alarm, headache, sickness, sleepiness",
        (
            "Everybody out into fresh air now, animals too. Leave doors open.",
            "Heater off only if the switch is on the way out.",
            "Anyone unwell or not waking: emergency number, say “carbon monoxide”.",
            "Nobody goes back in. The heater stays off until a workshop has measured.",
        ),
    ),
    (
        "Fire, glowing parts, smoke from the unit",
        (
            "Everybody away. Call the fire service.",
            "Fuel feed or battery off only where it can be reached without danger.",
            "Do not open flap, hatch or lid.",
        ),
    ),
    (
        "Fuel spilt or dripping",
        (
            "No flame, no switch, no charger, no smoking near it. Open doors and hatches.",
            "Boat: everybody on deck or ashore; no bilge switch.",
            "Catch and soak up what can be reached safely; no start.",
        ),
    ),
    (
        "Burn or scald",
        (
            "Cool with lukewarm running water for about ten to twenty minutes.",
            "Rings and watch off. No ointment. Cover loosely and clean.",
            "Larger than the hand, face, hands or a child: emergency number.",
        ),
    ),
)
"""Hazard → what to do, in this order."""

LAST = "Local rules and the emergency services come first."
