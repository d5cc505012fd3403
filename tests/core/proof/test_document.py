"""What is signed for a document stands for its exact bytes and its kind, and never for a tree."""

from base64 import b64encode
from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.proof.checkpoint import parse_checkpoint
from events.proof.document import document_text, require_document
from events.proof.note import require_text
from events.proof.refused import NoteRefused

DOCUMENT = b'{"class":"c-12","places":[1,2,2,4]}'
kinds = st.from_regex(r"[a-z]{1,9}(-[a-z]{1,9}){0,2}", fullmatch=True)


def _code(text: str, kind: str = "result", document: bytes = DOCUMENT) -> str:
    with pytest.raises(NoteRefused) as refused:
        require_document(text, kind, document)
    assert refused.value.facts == {"kind": kind}
    return refused.value.code


def test_the_text_names_the_kind_and_the_sha_256_of_the_bytes() -> None:
    digest = b64encode(sha256(DOCUMENT).digest()).decode()
    assert document_text("result", DOCUMENT) == f"ringfold/result/v1\nsha256 {digest}\n"


@given(kinds, st.binary())
def test_a_document_is_what_was_signed_for_it(kind: str, document: bytes) -> None:
    text = document_text(kind, document)
    require_document(text, kind, document)
    require_text(text)


@given(kinds, st.binary(), st.data())
def test_no_bit_of_a_document_can_change(kind: str, document: bytes, data: st.DataObject) -> None:
    altered = bytearray(document + b"\n")
    bit = data.draw(st.integers(0, len(altered) * 8 - 1))
    altered[bit // 8] ^= 1 << bit % 8
    text = document_text(kind, document + b"\n")
    assert _code(text, kind, bytes(altered)) == "document_differs"


@given(kinds, st.binary())
def test_a_signed_document_is_never_a_signed_checkpoint(kind: str, document: bytes) -> None:
    with pytest.raises(NoteRefused) as refused:
        parse_checkpoint(document_text(kind, document))
    assert refused.value.code == "checkpoint_form"


def test_a_document_signed_as_another_kind_is_refused() -> None:
    assert _code(document_text("standing", DOCUMENT)) == "another_kind"


@pytest.mark.parametrize("tail", ["\n", "more\n", "sha256 AAAA\n"])
def test_nothing_may_follow_the_digest(tail: str) -> None:
    assert _code(document_text("result", DOCUMENT) + tail) == "document_differs"


@pytest.mark.parametrize(
    "kind", ["", "Result", "result/v2", "re sult", "-result", "result-", "a--b", "12", "a\nb", "é"]
)
def test_a_kind_is_lower_case_words(kind: str) -> None:
    assert _code("", kind=kind) == "document_kind"
