"""The colours of the app, one set for daylight and one for the evening."""

import os

from textual.theme import Theme

LIGHT = Theme(
    name="propsched-light",
    dark=False,
    primary="#2f6b3c",  # leaf
    secondary="#6b4a2b",  # turned soil
    accent="#7a4a12",  # bark
    success="#2a6a35",
    warning="#7d4b00",  # straw, darkened until it can be read
    error="#a02c20",  # clay pot
    foreground="#2b241c",
    background="#f6f1e7",  # paper label
    surface="#efe8da",
    panel="#e4dac7",
    variables={
        "boost": "#e9e0cf",  # Textual drops the field of that name beside a panel
        "text": "#2b241c",
        "text-muted": "#574b3d",
        "text-disabled": "#6b5e4e",
        "text-primary": "#265c33",
        "text-secondary": "#5e4026",
        "text-accent": "#6d410e",
        "text-success": "#245c2e",
        "text-warning": "#6d4100",
        "text-error": "#8f251b",
        "block-cursor-foreground": "#ffffff",
        "block-cursor-background": "#2f6b3c",
        "block-cursor-blurred-foreground": "#2b241c",
        "block-cursor-blurred-background": "#cbdcc4",
        "footer-background": "#e4dac7",
        "footer-foreground": "#2b241c",
        "footer-key-foreground": "#6d410e",
        "footer-description-foreground": "#2b241c",
    },
)
DARK = Theme(
    name="propsched-dark",
    dark=True,
    primary="#8fbf7f",  # young leaf
    secondary="#c8a577",  # dry soil
    accent="#e0b060",  # lamp light
    success="#8fcf8a",
    warning="#e8b85a",
    error="#f08a72",  # clay pot by lamp light
    foreground="#e9e2d3",
    background="#1b1814",  # peat
    surface="#232019",
    panel="#2e2a21",
    variables={
        "boost": "#353026",  # Textual drops the field of that name beside a panel
        "text": "#e9e2d3",
        "text-muted": "#b9ae9a",
        "text-disabled": "#a89c85",
        "text-primary": "#a5cf96",
        "text-secondary": "#d3b48a",
        "text-accent": "#e6bc74",
        "text-success": "#a0d89b",
        "text-warning": "#ecc26f",
        "text-error": "#f39c87",
        "block-cursor-foreground": "#1b1814",
        "block-cursor-background": "#8fbf7f",
        "block-cursor-blurred-foreground": "#e9e2d3",
        "block-cursor-blurred-background": "#3d4a34",
        "footer-background": "#2e2a21",
        "footer-foreground": "#e9e2d3",
        "footer-key-foreground": "#e6bc74",
        "footer-description-foreground": "#e9e2d3",
    },
)
THEMES = (LIGHT, DARK)


def usual_theme() -> str:
    """Light where the terminal says that its background is; else dark."""
    background = os.environ.get("COLORFGBG", "").rpartition(";")[2]
    light = background in ("7", "15")  # white and bright white of the 16 colours
    return LIGHT.name if light else DARK.name


def other_theme(name: str) -> str:
    return LIGHT.name if name == DARK.name else DARK.name
