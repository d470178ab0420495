"""What to do when it can't wait: short numbered lines, the same on the card and in plain mode."""

from __future__ import annotations

from collections.abc import Sequence

from trees.language import N_

CARD: Sequence[tuple[str, Sequence[str]]] = (
    (
        N_("Carbon monoxide: alarm, headache, sickness, sleepiness"),
        (
            N_("Everybody out into fresh air now, animals too. Leave doors open."),
            N_("Heater off only if the switch is on the way out."),
            N_("Anyone unwell or not waking: emergency number, say “carbon monoxide”."),
            N_("Nobody goes back in. The heater stays off until a workshop has measured."),
        ),
    ),
    (
        N_("Fire, glowing parts, smoke from the unit"),
        (
            N_("Everybody away. Call the fire service."),
            N_("Fuel feed or battery off only where it can be reached without danger."),
            N_("Do not open flap, hatch or lid."),
        ),
    ),
    (
        N_("Fuel spilt or dripping"),
        (
            N_("No flame, no switch, no charger, no smoking near it. Open doors and hatches."),
            N_("Boat: everybody on deck or ashore; no bilge switch."),
            N_("Catch and soak up what can be reached safely; no start."),
        ),
    ),
    (
        N_("Burn or scald"),
        (
            N_("Cool with lukewarm running water for about ten to twenty minutes."),
            N_("Rings and watch off. No ointment. Cover loosely and clean."),
            N_("Larger than the hand, face, hands or a child: emergency number."),
        ),
    ),
)
"""Hazard → what to do, in this order."""

LAST = N_("Local rules and the emergency services come first.")
