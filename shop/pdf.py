"""Documents on paper: finished HTML laid out as a tagged, accessible PDF (PDF/UA-1, ISO 14289-1).

WeasyPrint is imported on first use, since that takes most of a second and most of the program never needs it.
It may read our own style sheets and fonts, which are parsed once in the process, and nothing else: no file,
no host. The same HTML gives the same bytes.
"""

from __future__ import annotations

import atexit
import io
import threading
from contextlib import redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher

PAPERS = ("A4", "Letter")
STATIC = Path(__file__).resolve().parent / "static" / "shop"
SHEETS = STATIC / "print"
PACKAGES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
# What no font draws and no reader wants; tabs and line ends stay.
CONTROLS = dict.fromkeys([*range(9), 11, 12, *range(14, 32), *range(127, 160)])
# Pango's font maps and the shared configuration are not made for two threads at once.
_one_at_a_time = threading.Lock()


class PdfUnavailable(RuntimeError):
    """This machine lacks the text layout libraries, or a font for a letter; everything else works."""


def known_paper(paper: str) -> str:
    """The paper itself; ValueError for a size that is not one of PAPERS."""
    if paper not in PAPERS:
        raise ValueError(f"paper: {paper!r} is no paper size known here; use 'A4' or 'Letter'")
    return paper


def write_pdf(html: str, sheet: str) -> bytes:
    """Finished HTML under print/paper.css and the named sheet beside it. PdfUnavailable without Pango.

    The same where no font of this machine has a letter: an empty box in its place would go out unseen.
    """
    weasyprint = _weasyprint()
    with _one_at_a_time:
        fonts, fetcher, sheets = _prepared(sheet)
        page = weasyprint.HTML(string=html.translate(CONTROLS), url_fetcher=fetcher)
        written: bytes = page.write_pdf(
            stylesheets=sheets, font_config=fonts, pdf_variant="pdf/ua-1", finisher=_refuse_empty_boxes
        )
    return written


def _refuse_empty_boxes(document: Any, _pdf: Any) -> None:
    """Our font has Latin, Greek and Cyrillic; what it lacks is taken from the machine, where that has it."""
    missing = sorted({code for font in document.fonts.values() for code in font.missing})
    if missing:
        letters = ", ".join(f"{chr(code)} (U+{code:04X})" for code in missing[:5])
        more = f" and {len(missing) - 5} more" if len(missing) > 5 else ""
        raise PdfUnavailable(
            f"PDF: no font on this machine has {letters}{more}; install a font for that script "
            "(Debian: fonts-noto-core, fonts-noto-cjk) or write it otherwise"
        )


@cache
def _weasyprint() -> Any:
    try:
        # Where Pango is missing it prints a page of advice before it raises; one line of ours is enough.
        with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
            import weasyprint
    except OSError as error:
        raise PdfUnavailable(
            f"PDF: the text layout library Pango is missing; on Debian: apt-get install {PACKAGES}"
        ) from error
    return weasyprint


@cache
def _prepared(sheet: str) -> tuple[FontConfiguration, URLFetcher, list[CSS]]:
    """Fonts, the only way to files, and the parsed style sheets; once in the process for each sheet."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OurFilesOnly(URLFetcher):
        def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
            path = Path(URLFetcherResponse(url).path or "/").resolve()
            if path.is_relative_to(STATIC) and path.is_file():
                return URLFetcherResponse(url, path.read_bytes())
            raise ValueError(f"{url} is not fetched: a document holds everything it prints")

    fonts, fetcher = FontConfiguration(), OurFilesOnly()
    # Let go while the interpreter still stands, so that its folder of unpacked fonts is removed.
    atexit.register(_prepared.cache_clear)
    return (
        fonts,
        fetcher,
        [
            CSS(filename=SHEETS / f"{name}.css", font_config=fonts, url_fetcher=fetcher)
            for name in ("paper", sheet)
        ],
    )
