"""Text goes out smaller to whoever takes gzip.

A compressed answer is another representation, so its strong tag is another: ``-gzip`` is added to
it, and taken off again when a client sends it back (RFC 9110, sections 8.8.3.3 and 12.5.3).
"""

import gzip

from flask import Response, g, request

LEAST_BYTES = 1024
"""Less is not worth the work."""

LEVEL = 6
MARK = "-gzip"
TEXTUAL = frozenset(
    {
        "application/json",
        "application/problem+json",
        "application/x-ndjson",
        "image/svg+xml",
        "text/csv",
        "text/html",
        "text/plain",
    }
)
_TAGS = ("HTTP_IF_NONE_MATCH", "HTTP_IF_MATCH")


def take_marks_off() -> None:
    """Read the tags of compressed answers as those of the answers themselves."""
    for name in _TAGS:
        sent = request.environ.get(name)
        if sent and f'{MARK}"' in sent:
            request.environ[name] = sent.replace(f'{MARK}"', '"')
            g.knows_compressed = True


def compress(response: Response) -> Response:
    """The answer compressed, where that is worth it and wanted."""
    if response.status_code == 304 and g.get("knows_compressed"):  # noqa: PLR2004 - not modified
        _mark(response)
    if response.mimetype not in TEXTUAL or response.is_streamed:
        return response
    response.vary.add("Accept-Encoding")
    if not _wanted(response):
        return response
    response.set_data(gzip.compress(response.get_data(), LEVEL, mtime=0))
    response.headers["Content-Encoding"] = "gzip"
    _mark(response)
    return response


def _wanted(response: Response) -> bool:
    return (
        request.accept_encodings.quality("gzip") > 0
        and "Accept-Encoding" in request.headers
        and "Content-Encoding" not in response.headers
        and (response.calculate_content_length() or 0) >= LEAST_BYTES
    )


def _mark(response: Response) -> None:
    tag, weak = response.get_etag()
    if tag is not None and not weak:
        response.set_etag(f"{tag}{MARK}")
