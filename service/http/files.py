"""Files on their way out: their bytes as they are, tagged with a digest of them."""

import hashlib

from flask import Response, request

NEVER_CHANGES = "private, max-age=31536000, immutable"
MAY_CHANGE = "private, no-cache"


def hand_over(
    body: bytes,
    mimetype: str,
    *,
    filename: str | None = None,
    never_changes: bool = False,
    vary: str = "Authorization",
) -> Response:
    """The bytes, or 304 where the client has them already; with a ``filename``, to be saved.

    What ``never_changes`` may be kept without asking again.
    """
    tag = hashlib.sha256(body).hexdigest()[:32]
    if request.if_none_match.contains_weak(tag):
        response = Response(status=304)
    else:
        response = Response(body, mimetype=mimetype)
        if filename is not None:
            disposition = f'attachment; filename="{filename}"'
            response.headers["Content-Disposition"] = disposition
    response.set_etag(tag)
    response.headers["Cache-Control"] = NEVER_CHANGES if never_changes else MAY_CHANGE
    response.headers["Vary"] = vary
    return response
