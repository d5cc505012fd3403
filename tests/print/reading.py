"""Papers read back."""

import io

from pypdf import PdfReader


def read(body: bytes) -> PdfReader:
    """The file, which must be sound."""
    return PdfReader(io.BytesIO(body), strict=True)


def pages_of(body: bytes) -> list[str]:
    """The text of each page, with single spaces."""
    return [" ".join(page.extract_text().split()) for page in read(body).pages]


def text_of(body: bytes) -> str:
    """The text of all pages."""
    return " ".join(pages_of(body))
