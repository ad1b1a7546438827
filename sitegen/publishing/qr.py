"""QR codes that open a page from paper, or from a terminal."""

from __future__ import annotations

import io

import segno


def qr_svg(address: str) -> str:
    """The code for ``address`` as an SVG element without size, style or script (error correction M, ISO/IEC 18004)."""
    out = io.BytesIO()
    code = segno.make(address, error="m", micro=False)
    code.save(out, kind="svg", xmldecl=False, svgclass="qr", lineclass=None, omitsize=True, border=4)
    return out.getvalue().decode().strip()


def qr_signs(address: str) -> str:
    """The code for ``address`` in signs for a terminal, two rows of it in a line, with its quiet zone."""
    out = io.StringIO()
    segno.make(address, error="m", micro=False).terminal(out, border=2, compact=True)
    return out.getvalue()
