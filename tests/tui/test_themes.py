"""Colours of the app can be told apart from what they lie on."""

import pytest
from textual.color import Color
from textual.theme import Theme

from propsched.tui.themes import DARK, LIGHT, THEMES, other_theme, usual_theme

TEXT = (
    "text", "text-muted", "text-disabled", "text-primary", "text-secondary",
    "text-accent", "text-success", "text-warning", "text-error", "foreground",
    "primary", "secondary", "accent", "success", "warning", "error",
)  # fmt: skip
GROUND = ("background", "surface", "panel", "boost")
PAIRS = [(text, ground) for text in TEXT for ground in GROUND] + [
    ("block-cursor-foreground", "block-cursor-background"),
    ("block-cursor-blurred-foreground", "block-cursor-blurred-background"),
    ("footer-foreground", "footer-background"),
    ("footer-key-foreground", "footer-background"),
    ("footer-description-foreground", "footer-background"),
]


def luminance(color: Color) -> float:
    """Relative luminance, W3C, Web Content Accessibility Guidelines 2.2."""

    def linear(part: int) -> float:
        share = part / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(part) for part in (color.r, color.g, color.b))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Color, other: Color) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_and_white() -> None:
    """21 to 1, as the guidelines have it."""
    assert contrast(Color(0, 0, 0), Color(255, 255, 255)) == pytest.approx(21.0)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize(("text", "ground"), PAIRS)
def test_text_can_be_read(theme: Theme, text: str, ground: str) -> None:
    """At least 4.5 to 1 (success criterion 1.4.3 for text of usual size)."""
    colors = theme.to_color_system().generate()
    one, other = Color.parse(colors[text]), Color.parse(colors[ground])
    assert one.a == other.a == 1
    assert contrast(one, other) >= 4.5


@pytest.mark.parametrize(
    ("told", "name"),
    [("15;0", DARK.name), ("0;15", LIGHT.name), ("0;default;7", LIGHT.name)],
)
def test_the_terminal_may_say_which(
    told: str, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """COLORFGBG, as rxvt set it first: foreground, background as colours 0 to 15."""
    monkeypatch.setenv("COLORFGBG", told)
    assert usual_theme() == name


def test_there_and_back() -> None:
    assert other_theme(other_theme(DARK.name)) == DARK.name
    assert other_theme(DARK.name) == LIGHT.name
