"""Figures drawn from the record, for screen and print: pure functions from records to SVG."""

from exports.figures.hands import STRUCK
from exports.figures.technique import Words, draw_technique

__all__ = ["STRUCK", "Words", "draw_technique"]
