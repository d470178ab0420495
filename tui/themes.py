"""The colours: dark, light and high contrast. A test holds every text on every screen to its least contrast."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="dark",
    primary="#7cc4c9",
    secondary="#a9c77f",
    accent="#f2b950",
    warning="#f2b950",
    error="#b12a20",
    success="#8fd18a",
    foreground="#e8e6e0",
    background="#14181b",
    surface="#1b2125",
    panel="#242c31",
    dark=True,
    variables={
        "text": "auto 100%",
        "text-muted": "#b0b8ba",
        "text-disabled": "#b0b8ba",
        "foreground-muted": "#b0b8ba",
        "danger": "#ff9a8f",
        "marked": "#213f45",
        "block-cursor-foreground": "#ffffff",
        "block-cursor-background": "#213f45",
        "block-cursor-blurred-foreground": "#e8e6e0",
        "block-cursor-blurred-background": "#242c31",
        "input-selection-background": "#213f45",
    },
)

LIGHT = Theme(
    name="light",
    primary="#1d5f68",
    secondary="#3f5f17",
    accent="#7a3f00",
    warning="#7a3f00",
    error="#9c2018",
    success="#245a24",
    foreground="#1a1e20",
    background="#faf8f3",
    surface="#f0ede5",
    panel="#e4e0d6",
    dark=False,
    variables={
        "text": "auto 100%",
        "text-muted": "#4a5053",
        "text-disabled": "#4a5053",
        "foreground-muted": "#4a5053",
        "danger": "#9c2018",
        "marked": "#bcd9dc",
        "block-cursor-foreground": "#000000",
        "block-cursor-background": "#bcd9dc",
        "block-cursor-blurred-foreground": "#1a1e20",
        "block-cursor-blurred-background": "#e4e0d6",
        "input-selection-background": "#bcd9dc",
    },
)

CONTRAST = Theme(
    name="contrast",
    primary="#8ff5ff",
    secondary="#c8ff8f",
    accent="#ffe066",
    warning="#ffe066",
    error="#8b0000",
    success="#a6ffa6",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#1c1c1c",
    dark=True,
    variables={
        "text": "auto 100%",
        "text-muted": "#e0e0e0",
        "text-disabled": "#e0e0e0",
        "foreground-muted": "#e0e0e0",
        "danger": "#ffc4bd",
        "marked": "#003a44",
        "block-cursor-foreground": "#ffffff",
        "block-cursor-background": "#003a44",
        "block-cursor-blurred-foreground": "#ffffff",
        "block-cursor-blurred-background": "#1c1c1c",
        "input-selection-background": "#003a44",
    },
)

ALL = {theme.name: theme for theme in (DARK, LIGHT, CONTRAST)}
"""The name in the settings → the theme."""
LEAST_CONTRAST = {"dark": 4.5, "light": 4.5, "contrast": 7.0}
"""WCAG 2.2 contrast ratio (1.4.3 and 1.4.6) that every text keeps, whatever its size."""
