"""Every text colour has enough contrast on every background, in light and dark mode.

Contrast as WCAG 2.2 defines it (relative luminance, success criteria 1.4.3 and 1.4.11).
"""

import re

import pytest

from app.web.assets import static_folder

TEXT = 4.5
SHAPES = 3.0
GROUNDS = ("paper", "tint")


def palettes() -> dict[str, dict[str, str]]:
    text = (static_folder() / "css" / "palette.css").read_text(encoding="utf-8")
    light, dark = text.split("@media (prefers-color-scheme: dark)")
    return {name: dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", part)) for name, part in
            (("light", light), ("dark", dark))}  # fmt: skip


def luminance(colour: str) -> float:
    parts = (int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_is_as_published() -> None:
    # WCAG 2.2, definition of contrast ratio: 1 to 21
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize(
    ("ink", "least"),
    [("ink", TEXT), ("voice", TEXT), ("accent", TEXT), ("mark", SHAPES), ("rule-strong", SHAPES)],
)
def test_text_colours_are_legible(scheme: str, ground: str, ink: str, least: float) -> None:
    palette = palettes()[scheme]

    assert contrast(palette[ink], palette[ground]) >= least


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_on_the_main_button_are_legible(scheme: str) -> None:
    palette = palettes()[scheme]

    assert contrast(palette["paper"], palette["accent"]) >= TEXT


def test_both_schemes_name_the_same_colours() -> None:
    assert palettes()["light"].keys() == palettes()["dark"].keys()
