"""A QR code whose content is exactly what it stands for, drawn as SVG inside the page.

The one module that needs the extra ``labels``.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import segno

QUIET = 4
"""Light modules around the code, which ISO/IEC 18004 asks for and scanners need."""


class NoLibrary(Exception):
    """The extra is not installed."""


def code(content: str) -> "segno.QRCode":
    """The code of a tag, at the strongest error correction that costs no larger code.

    Anything but ASCII is UTF-8, which is what scanners take bytes for today.

    Raises:
        NoLibrary: where the library that draws codes is not there.
    """
    try:
        import segno
    except ImportError as error:
        raise NoLibrary(
            "labels need one more library; install kitprep with it: pip install 'kitprep[labels]'"
        ) from error
    encoding = None if content.isascii() else "utf-8"
    return segno.make_qr(content, error="q", boost_error=True, encoding=encoding)


def code_svg(content: str) -> str:
    """The code as an SVG element that takes its size from the page's style."""
    drawing: str = code(content).svg_inline(
        border=QUIET, dark="#000", light="#fff", omitsize=True, svgclass="code", lineclass=None
    )
    return drawing
