"""What is said when the server starts: where it is reached, by whom, and a code that phones scan."""

import io
from collections.abc import Sequence

import segno

__all__ = ["LINK_FOR_ALL", "code_for_terminal", "ways_in"]

LINK_FOR_ALL = "docs/how-to/encrypt.md"


def ways_in(reached: Sequence[str], *, https: bool, code: bool) -> list[str]:
    """Lines that tell at which addresses phones reach the pages, and what they can't do there; the first as a `code` too."""
    if not reached:
        more = "--host NAME tells under which name others ask for it" if https else "--listen 0.0.0.0 lets others in"
        return [f"only this machine reaches it; {more}"]
    lines = ["phones and others open " + " or ".join(f"{address}/" for address in reached)]
    if code:
        lines += ["the same to scan:", code_for_terminal(f"{reached[0]}/")]
    if not https:
        lines.append("whoever is on the network can read along, and phones use no camera and keep no pages there;")
        lines.append(f"how to encrypt it: {LINK_FOR_ALL}")
    return lines


def code_for_terminal(text: str) -> str:
    """A QR code (ISO/IEC 18004) in half blocks, dark on light whatever the terminal's own colours."""
    drawn = io.StringIO()
    segno.make(text, error="m", micro=False).terminal(out=drawn, border=2, compact=True)
    return "\n".join(f"\x1b[40;97m{line}\x1b[0m" for line in drawn.getvalue().splitlines())
