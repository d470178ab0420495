"""Who the customer of a job is: what is asked once, and how it is told at the head of the job and in the report."""

from __future__ import annotations

from collections.abc import Mapping

from trees.language import N_, Said

LABELS: Mapping[str, str] = Said(
    {"name": N_("Name"), "phone": N_("Contact"), "address": N_("Boat or hut"), "text": N_("More")}
)
"""What the casebook keeps of a customer, in the order in which it is asked."""
WORDS: Mapping[str, str] = {"name": "name", "contact": "phone", "boat": "address", "more": "text"}
"""How plain mode calls them."""
HINTS: Mapping[str, str] = Said(
    {
        "name": N_("who is called back"),
        "phone": N_("telephone or mail"),
        "address": N_("name, and where it lies or stands"),
        "text": N_("what else the next hands should know"),
    }
)


def customer_line(customer: Mapping[str, str]) -> str:
    """Return a customer in one line; empty where nothing is known."""
    parts = (" ".join(customer.get(field, "").split()) for field in LABELS)
    return "  ·  ".join(part for part in parts if part)
