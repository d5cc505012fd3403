"""Keys, notes and checkpoints against what others have published.

Sources, each read unless it says otherwise:

- golang.org/x/mod, ``sumdb/note/note_test.go`` and ``sumdb/tlog/note_test.go``;
- c2sp.org/signed-note and c2sp.org/tlog-checkpoint, their examples; the verifier key and the note
  of example.com/foo as other projects' tests quote them from the section "Verifier keys";
- sum.golang.org, the public log of Go modules: two of its checkpoints, one as quoted in
  github.com/google/trillian-examples, ``formats/log``, one in the README of a witness that signed
  it too, and the log's key as Go and many others print it. The signatures bear out all three.
"""

from base64 import b64decode

import pytest

from events.proof.checkpoint import Checkpoint, parse_checkpoint
from events.proof.hashing import leaf_hash
from events.proof.keys import parse_verifier_key
from events.proof.note import open_note, parse_note
from events.proof.refused import NoteRefused
from service.signing import SigningKey, holds, sign_note, verify_note

# golang.org/x/mod, sumdb/note/note_test.go.
PETER = "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW"
PETER_SECRET = "AYEKFALVFGyNhPJEMzD1QIDr+Y7hfZx09iUvxdXHKDFz"
ENOCH = "EnochRoot+af0cfe78+ATtqJ7zOtqQtYqOo0CpvDXNlMhV3HeJDpjrASKGLWdop"
TEXT = """\
If you think cryptography is the answer to your problem,
then you don't know what your problem is.
"""
PETER_LINE = (
    "— PeterNeumann "
    "x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqfqdngotpRZb6KE6RyyBwJnAM=\n"
)
ENOCH_LINE = (
    "— EnochRoot "
    "rwz+eBzmZa0SO3NbfRGzPCpDckykFXSdeX+MNtCOXm2/5n2tiOHp+vAF1aGrQ5ovTG01oOTGwnWLox33WWd1RvMc+QQ=\n"
)

# c2sp.org/signed-note and c2sp.org/tlog-checkpoint.
FOO = "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k"
FOO_NOTE = (
    "This is an example message.\n\n— example.com/foo "
    "Uw2QOkn8srV1yJGh2VYRlL1Tnagv1YEq6TfXppzi2ONncAlTgK7Ztg1ERYNZXsYjOBH3mFXmRKuwHjG1Yu72IneyaQM=\n"
)
POEM = """\
Ognuno sta solo sul cuor della terra
trafitto da un raggio di sole:

ed è subito sera.

— quasimodo.example/salvatore \
NnugSzTjtVAewIS+Z/iJhUPeFDkO/5QQ2i5ddnGITLlC+EhfLW9oJKONrMouFSQU0xMcXxj99ihAQwaqP3ZekRwNtIc=
"""
SOFA = """\
example.com/behind-the-sofa
20852163
CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=

— example.com/behind-the-sofa \
Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzGku9nTo+zyWE+xeMcTOAYQ8=
"""

SUMDB = "sum.golang.org+033de0ae+Ac4zctda0e5eza+HJyk9SxEdh+s3Ux18htTTAD8OuAn8"
SUMDB_CHECKPOINTS = {
    6_476_701: """\
go.sum database tree
6476701
mb8QLQIs0Z0yP5Cstq6guj87oXWeC9gEM8oVikmm9Wk=

— sum.golang.org \
Az3grsLX85Gz+s1SiTbgkuqxgItqFq7gsMUEyVnrsa9LM7Us9S+1xbFIGu95949rj4nPRYfvimWEPWL+o3GeoWwOoAw=
""",
    15_067_302: """\
go.sum database tree
15067302
gJyioq6dwR9n+NjEWORfYmH+ubeYm3kH42BBQ0bTpYI=

— sum.golang.org \
Az3grp1rvWOs5NKlr/xR4GLN/CDyzzakmt1o61uSxYKpK1SerqOP2ClbX/peKUZjYnyomH5Xz7GZG3TpB7OeKn4E2ww=
— test.example.com \
qTGhC/xIPQ0AXKHK6Y+9ypRfuvMZWPjRXM8NiOg5M1WREn07VQXyuIXM3NRNav3ieVFLUqDRK77PWDmL6w8w84UqeAw=
""",
}


@pytest.mark.parametrize("text", [PETER, ENOCH, FOO, SUMDB])
def test_published_verifier_keys_are_read_and_written(text: str) -> None:
    assert parse_verifier_key(text).text() == text


def test_published_manglings_of_a_verifier_key_are_refused() -> None:
    parts = {PETER[i:j] for i in range(len(PETER)) for j in range(i, len(PETER) + 1)} - {PETER}
    raised = {PETER[:i] + chr(ord(PETER[i]) + 1) + PETER[i + 1 :] for i in range(len(PETER))}
    odd = {
        "PeterNeumann+cc469956+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TWBADKEY==",
        "PeterNeumann+173116ae+ZRpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW",
    }
    for text in parts | raised | odd:
        with pytest.raises(NoteRefused):
            parse_verifier_key(text)


def test_the_published_private_key_signs_the_published_note() -> None:
    key = SigningKey.from_raw("PeterNeumann", b64decode(PETER_SECRET)[1:])
    assert key.verifier.text() == PETER
    assert sign_note(TEXT, [key]).decode() == f"{TEXT}\n{PETER_LINE}"


def test_published_notes_are_opened_by_the_keys_that_signed_them() -> None:
    peter, enoch = parse_verifier_key(PETER), parse_verifier_key(ENOCH)
    note = f"{TEXT}\n{PETER_LINE}{ENOCH_LINE}".encode()
    for keys in ([peter], [enoch], [peter, enoch]):
        opened = open_note(note, keys, holds)
        assert (opened.text, opened.signed_by) == (TEXT, tuple(keys))
        assert len(opened.ignored) == 2 - len(keys)
    with pytest.raises(NoteRefused) as refused:
        open_note(note, [], holds)
    assert refused.value.code == "not_signed_by_known_key"


def test_the_example_of_signed_note_is_opened_by_its_key() -> None:
    opened = verify_note(FOO_NOTE.encode(), [parse_verifier_key(FOO)])
    assert opened.text == "This is an example message.\n"


def test_a_note_may_hold_blank_lines() -> None:
    note = parse_note(POEM.encode())
    assert note.text.endswith(":\n\ned è subito sera.\n")
    assert [signature.line() for signature in note.signatures] == POEM.splitlines()[-1:]


@pytest.mark.parametrize(
    "note",
    [
        TEXT,
        f"{TEXT}\n",
        f"{TEXT}\n{PETER_LINE[:-1]}",
        f"\x01{TEXT}\n{PETER_LINE}",
        f"{TEXT}\n{PETER_LINE.replace('PeterNeumann', 'Bad Name')}",
        f"{TEXT}\n{PETER_LINE}Unexpected line.\n",
        f"{TEXT}\n{PETER_LINE * 101}",
        f"{TEXT}\n{PETER_LINE[:60]}ABCD{PETER_LINE[60:]}",
    ],
)
def test_published_bad_notes_are_refused(note: str) -> None:
    with pytest.raises(NoteRefused):
        open_note(note.encode(), [parse_verifier_key(PETER)], holds)


def test_a_published_note_that_is_no_utf_8_is_refused() -> None:
    with pytest.raises(NoteRefused) as refused:
        parse_note(b"\xff" + f"{TEXT}\n{PETER_LINE}".encode())
    assert refused.value.code == "not_utf8"


@pytest.mark.parametrize("size", SUMDB_CHECKPOINTS)
def test_checkpoints_of_a_public_log_are_verified_and_read(size: int) -> None:
    text = SUMDB_CHECKPOINTS[size]
    opened = verify_note(text.encode(), [parse_verifier_key(SUMDB)])
    checkpoint = parse_checkpoint(opened.text)
    assert (checkpoint.origin, checkpoint.size) == ("go.sum database tree", size)
    assert text.startswith(checkpoint.text())
    assert [line.name for line in opened.ignored] == ["test.example.com"] * (size == 15_067_302)
    with pytest.raises(NoteRefused) as refused:
        verify_note(text.replace(str(size), str(size + 1)).encode(), [parse_verifier_key(SUMDB)])
    assert refused.value.code == "signature_wrong"


def test_the_example_of_tlog_checkpoint_is_read() -> None:
    checkpoint = parse_checkpoint(parse_note(SOFA.encode()).text)
    assert (checkpoint.origin, checkpoint.size) == ("example.com/behind-the-sofa", 20_852_163)
    assert SOFA.startswith(checkpoint.text())


def test_the_tree_text_of_the_go_tests_is_written_and_its_bad_ones_refused() -> None:
    golden = "go.sum database tree\n123456789012\nTszzRgjTG6xce+z2AG31kAXYKBgQVtCSCE40HmuwBb0=\n"
    root = leaf_hash(b"hello world")
    tree = Checkpoint(origin="go.sum database tree", size=123_456_789_012, root=root)
    assert tree.text() == golden
    for bad in (golden.replace("123456789012", "0xabcdef"), golden.replace("b0=", "TOOBIG=")):
        with pytest.raises(NoteRefused):
            parse_checkpoint(bad)
