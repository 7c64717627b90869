"""The seam to the handwriting room: the model that stands on a sheet's writing lines."""

from __future__ import annotations


def handwriting_figure(letters: tuple[str, ...], words: tuple[str, ...]) -> str | None:  # noqa: ARG001 - filled when the strokes are there
    """An SVG of the letters and words as strokes on lines; None while no strokes are drawn for them."""
    return None
