"""Signing a document beside it: a signed note whose text names its kind and its SHA-256.

The text has two lines, ``ringfold/KIND/v1`` and ``sha256 BASE64``, so that it can never be taken
for a checkpoint, which has three, although the same keys sign both.
"""

import re
from hashlib import sha256

from events.proof.refused import NoteRefused
from events.proof.text import to_base64

_KIND = re.compile(r"[a-z]+(-[a-z]+)*")


def document_text(kind: str, document: bytes) -> str:
    """The text that is signed for the exact bytes of ``document``.

    ``kind`` is lower-case words with hyphens, such as ``result``; raises ``NoteRefused`` with the
    code ``document_kind`` for anything else.
    """
    if not _KIND.fullmatch(kind):
        sentence = f"a document's kind is lower-case words with hyphens, not {kind!r}"
        raise NoteRefused("document_kind", sentence, kind=kind)
    return f"ringfold/{kind}/v1\nsha256 {to_base64(sha256(document).digest())}\n"


def require_document(text: str, kind: str, document: bytes) -> None:
    """Raise ``NoteRefused`` unless ``text`` was signed for this document of this kind.

    The code is ``another_kind`` or ``document_differs``.
    """
    expected = document_text(kind, document)
    if text.partition("\n")[0] != expected.partition("\n")[0]:
        raise NoteRefused("another_kind", f"the note does not sign a {kind}", kind=kind)
    if text != expected:
        raise NoteRefused("document_differs", f"the note signs another {kind}", kind=kind)
