"""What the document tests need of the machine. In CI it has to be there; elsewhere its absence is named."""

import os
import re
import shutil
import subprocess
from collections.abc import Callable
from typing import NamedTuple

import pytest
from sample import SHA, estimate

from estimates.documents.pdf import render_pdf
from shop.pdf import PdfUnavailable, _weasyprint

WORD = re.compile(r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*?)</word>')


class Box(NamedTuple):
    left: float
    top: float
    right: float
    bottom: float
    word: str


def absent(message: str) -> None:
    pytest.fail(message) if os.environ.get("CI") else pytest.skip(message)


@pytest.fixture(scope="session")
def pango() -> None:
    try:
        _weasyprint()
    except PdfUnavailable as missing:
        absent(str(missing))


@pytest.fixture(scope="session")
def printed(pango: None) -> bytes:
    """An ordinary estimate on A4."""
    return render_pdf(estimate(), sha256=SHA)


@pytest.fixture(scope="session")
def pdftotext(pango: None, tmp_path_factory: pytest.TempPathFactory) -> Callable[..., str]:
    """What another program reads in a PDF."""
    program = shutil.which("pdftotext")
    if program is None:
        absent("pdftotext is missing; on Debian: apt-get install poppler-utils")
    file = tmp_path_factory.mktemp("text") / "document.pdf"

    def read(pdf: bytes, how: str) -> str:
        file.write_bytes(pdf)
        command = [str(program), how, "-enc", "UTF-8", str(file), "-"]
        done = subprocess.run(command, capture_output=True, check=True)
        return done.stdout.decode().replace("\u00a0", " ")

    return read


@pytest.fixture(scope="session")
def text_of(pdftotext: Callable[..., str]) -> Callable[[bytes], list[str]]:
    """The text of a PDF page by page."""
    return lambda pdf: pdftotext(pdf, "-layout").split("\f")[:-1]


@pytest.fixture(scope="session")
def boxes_of(pdftotext: Callable[..., str]) -> Callable[[bytes], list[list[Box]]]:
    """Every word of every page with its place, in points from the top left."""

    def read(pdf: bytes) -> list[list[Box]]:
        pages = pdftotext(pdf, "-bbox").split("<page ")[1:]
        return [[Box(*map(float, found[:4]), found[4]) for found in WORD.findall(page)] for page in pages]

    return read
