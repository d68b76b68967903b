"""A name drawn on the glass, as a drawing of ours. Pure: lines of points in, SVG out."""

from remnants.model.agreement import GLASS, Strokes

__all__ = ["signature_svg"]


def signature_svg(strokes: Strokes) -> str:
    """An SVG element of the lines, in the colour of the text round it; a touch without a way is a dot. It holds numbers alone."""
    width, height = GLASS
    paths = "".join(
        "M" + "L".join(f"{x} {y}" for x, y in (line if len(line) > 1 else (*line, *line))) for line in strokes if line
    )
    return (
        f'<svg class="signature" viewBox="0 0 {width} {height}" role="img" aria-label="The name as it was drawn">'
        f'<path d="{paths}" fill="none" stroke="currentColor" stroke-width="4" stroke-linecap="round"/></svg>'
    )
