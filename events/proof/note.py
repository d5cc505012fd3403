"""Signed notes as C2SP signed-note defines them: a text, a blank line, and who signed it."""

from collections.abc import Callable, Iterable, Sequence

import msgspec

from events.proof.keys import KEY_ID_BYTES, VerifierKey
from events.proof.refused import NoteRefused
from events.proof.text import from_base64, is_key_name, is_plain, to_base64

MOST_SIGNATURES = 100
"""What is read of one note; the standard asks for 16 at least."""

_DASH = "\N{EM DASH} "

CheckSignature = Callable[[bytes, bytes, bytes], bool]
"""Whether an Ed25519 public key, a message and a signature belong together."""


class Signature(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One signature line; ``value`` is the signature itself, after the key's id."""

    name: str
    key_id: bytes
    value: bytes

    def line(self) -> str:
        """The line as it stands under a note, without its newline."""
        return f"{_DASH}{self.name} {to_base64(self.key_id + self.value)}"


class Note(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A note whose signatures nobody has checked; ``text`` ends with a newline."""

    text: str
    signatures: tuple[Signature, ...]


class OpenedNote(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A note that known keys have signed; ``ignored`` are the lines of keys not known."""

    text: str
    signed_by: tuple[VerifierKey, ...]
    ignored: tuple[Signature, ...]


def note_bytes(text: str, signatures: Sequence[Signature]) -> bytes:
    """The note in UTF-8, as ``parse_note`` reads it.

    Raises ``NoteRefused`` with the code ``text_form`` or ``no_signature``.
    """
    if not signatures:
        raise NoteRefused("no_signature", "a note bears one signature at least")
    require_text(text)
    lines = "".join(f"{signature.line()}\n" for signature in signatures)
    return f"{text}\n{lines}".encode()


def require_text(text: str) -> None:
    """Raise ``NoteRefused`` with the code ``text_form`` unless ``text`` can be a note's text."""
    if not text.endswith("\n"):
        raise NoteRefused("text_form", "the text of a note ends with a newline")
    if not all(is_plain(line) for line in text.split("\n")):
        raise NoteRefused("text_form", "a note is UTF-8 without control characters but newline")


def parse_note(data: bytes) -> Note:
    """The text and the signature lines of a note, unchecked.

    Raises ``NoteRefused`` with the code ``not_utf8``, ``text_form``, ``no_signature``,
    ``too_many_signatures``, ``signature_form`` or ``not_base64``.
    """
    try:
        whole = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise NoteRefused("not_utf8", "a note is UTF-8") from error
    require_text(whole)
    text, blank, below = whole.rpartition("\n\n")
    lines = below.split("\n")[:-1]
    if not blank or not lines:
        raise NoteRefused("no_signature", "no signature lines follow a blank line")
    if len(lines) > MOST_SIGNATURES:
        sentence = f"a note has {MOST_SIGNATURES} signatures at most"
        raise NoteRefused("too_many_signatures", sentence, signatures=len(lines))
    signatures = tuple(_signature(number, line) for number, line in enumerate(lines, start=1))
    return Note(text=f"{text}\n", signatures=signatures)


def open_note(data: bytes, keys: Iterable[VerifierKey], check: CheckSignature) -> OpenedNote:
    """The note's text, once every signature of a known key holds and there is at least one.

    Lines of unknown keys are ignored, also where only the name or only the id is known. Raises
    ``NoteRefused`` with a code of ``parse_note``, or with ``signature_wrong``,
    ``not_signed_by_known_key`` or ``keys_collide`` (two of ``keys`` have one name and id).
    """
    known = _by_name_and_id(keys)
    note = parse_note(data)
    message = note.text.encode()
    signed_by: dict[VerifierKey, None] = {}
    ignored: list[Signature] = []
    for signature in note.signatures:
        key = known.get((signature.name, signature.key_id))
        if key is None:
            ignored.append(signature)
        elif check(key.public_key, message, signature.value):
            signed_by[key] = None
        else:
            raise _refused_for("signature_wrong", "the signature does not hold", key)
    if not signed_by:
        sentence = "none of the known keys has signed the note"
        raise NoteRefused("not_signed_by_known_key", sentence)
    return OpenedNote(text=note.text, signed_by=tuple(signed_by), ignored=tuple(ignored))


def _by_name_and_id(keys: Iterable[VerifierKey]) -> dict[tuple[str, bytes], VerifierKey]:
    known: dict[tuple[str, bytes], VerifierKey] = {}
    for key in keys:
        if known.setdefault((key.name, key.id), key) != key:
            raise _refused_for("keys_collide", "another known key has this name and id", key)
    return known


def _signature(number: int, line: str) -> Signature:
    name, space, encoded = line.removeprefix(_DASH).partition(" ")
    if not line.startswith(_DASH) or not space or not is_key_name(name):
        sentence = f"signature line {number} does not read `{_DASH}name base64`"
        raise NoteRefused("signature_form", sentence, line=number)
    value = from_base64(encoded, f"signature line {number}")
    if len(value) <= KEY_ID_BYTES:
        sentence = f"signature line {number} holds no signature"
        raise NoteRefused("signature_form", sentence, line=number)
    return Signature(name=name, key_id=value[:KEY_ID_BYTES], value=value[KEY_ID_BYTES:])


def _refused_for(code: str, sentence: str, key: VerifierKey) -> NoteRefused:
    named = f"{sentence}: {key.name}+{key.id.hex()}"
    return NoteRefused(code, named, name=key.name, key_id=key.id.hex())
