"""The log's proofs over HTTP, checked by what anybody has who never saw the database."""

import pytest

from events.bundle.check import check_bundle
from events.bundle.keys import Keys
from events.proof.keys import VerifierKey, parse_verifier_key
from events.proof.text import from_base64
from events.proof.verify import verify_consistency, verify_inclusion
from service.signing import holds, verify_checkpoint
from tests.http.agreeing import agree
from tests.http.house import ORIGIN, SHOW, House, done, refused

CHECKPOINT = "/v1/log/checkpoint"
INCLUSION = "/v1/log/proofs/inclusion"
CONSISTENCY = "/v1/log/proofs/consistency"
BUNDLE = "/v1/classes/horsemanship/bundle"


@pytest.fixture
def proved(house: House) -> House:
    """A class that was made official, published and covered by a checkpoint."""
    house.judge(house.schedule())
    house.make_official("horsemanship")
    house.work()
    house.trust.checkpoint_now()
    return house


def keys_of(house: House) -> tuple[VerifierKey, ...]:
    listed = agree(house.public.get("/v1/log/keys"), "/v1/log/keys")
    assert listed["origin"] == ORIGIN
    return tuple(parse_verifier_key(each["verifier"]) for each in listed["items"])


def decoded(path: list[str]) -> tuple[bytes, ...]:
    return tuple(from_base64(each, "a node") for each in path)


def test_the_checkpoint_is_a_note_that_the_published_keys_signed(proved: House) -> None:
    answer = proved.public.get(CHECKPOINT)
    assert answer.mimetype == "text/plain"
    checkpoint = verify_checkpoint(answer.data, keys_of(proved))
    assert checkpoint.size == proved.desk.log.head().position
    known = {"If-None-Match": answer.headers["ETag"]}
    assert proved.public.get(CHECKPOINT, known).status_code == 304


def test_every_event_is_proved_to_be_under_the_checkpoint(proved: House) -> None:
    checkpoint = verify_checkpoint(proved.public.get(CHECKPOINT).data, keys_of(proved))
    for position in (1, 2, 17, checkpoint.size):
        proof = agree(proved.public.get(f"{INCLUSION}?position={position}"), INCLUSION)
        leaf, path = from_base64(proof["leaf"], "a leaf"), decoded(proof["path"])
        assert proof["size"] == checkpoint.size
        verify_inclusion(leaf, path, index=position - 1, size=checkpoint.size, root=checkpoint.root)


def test_the_log_is_proved_to_have_only_grown(proved: House) -> None:
    earlier = verify_checkpoint(proved.public.get(CHECKPOINT).data, keys_of(proved))
    proved.correct("horsemanship")
    proved.trust.checkpoint_now()
    later = verify_checkpoint(proved.public.get(CHECKPOINT).data, keys_of(proved))
    query = f"{CONSISTENCY}?first={earlier.size}&second={later.size}"
    proof = agree(proved.public.get(query), CONSISTENCY)
    path = decoded(proof["path"])
    verify_consistency(
        path,
        first=earlier.size,
        second=later.size,
        first_root=earlier.root,
        second_root=later.root,
    )


def test_a_bundle_holds_without_the_server(proved: House) -> None:
    earlier = verify_checkpoint(proved.public.get(CHECKPOINT).data, keys_of(proved))
    answer = proved.federation.get(f"{BUNDLE}?since={earlier.size}")
    assert answer.mimetype == "application/x-ndjson"
    assert 'filename="horsemanship.bundle"' in answer.headers["Content-Disposition"]
    report = check_bundle(answer.data, Keys(keys_of(proved), holds), earlier)
    assert report.faults == ()
    swapped = answer.data.replace(b'"mark":1', b'"mark":2', 1)
    assert swapped != answer.data
    assert check_bundle(swapped, Keys(keys_of(proved), holds), earlier).faults != ()


def test_what_cannot_be_proved_is_refused_by_name(proved: House) -> None:
    size = proved.desk.log.head().position
    for query, code, field in (
        (f"{INCLUSION}?position={size + 1}", "position_beyond_size", "position"),
        (f"{INCLUSION}?position=1&size={size + 9}", "unknown_size", "size"),
        (f"{CONSISTENCY}?first={size + 9}", "unknown_size", "first"),
        (f"{CONSISTENCY}?first=9&second=4", "sizes_reversed", "first"),
        (f"{BUNDLE}?since={size + 9}", "since_beyond_log", "since"),
    ):
        assert refused(proved.office.get(query), 422, code)["field"] == field
    assert refused(proved.office.get(INCLUSION), 422, "invalid")["field"] == "position"
    refused(proved.office.get("/v1/classes/nothing/bundle"), 404, "unknown_class")


def test_before_the_first_checkpoint_there_is_nothing_to_prove_with(house: House) -> None:
    for path in (CHECKPOINT, f"{INCLUSION}?position=1", f"{CONSISTENCY}?first=1"):
        refused(house.public.get(path), 404, "no_checkpoint")
    assert done(house.public.get("/v1/log/keys"))["items"] == []


def test_without_a_signing_key_nothing_is_signed_and_nothing_is_told_of_why(house: House) -> None:
    house.schedule()
    body = refused(house.office.get(BUNDLE), 503, "log_not_provable")
    assert "ringfold signing-key" not in body["detail"]
    assert "keys" not in body.get("facts", {})


def test_a_bundle_is_for_those_who_may_have_all_of_it(proved: House) -> None:
    refused(proved.public.get(BUNDLE), 403, "role_not_allowed")
    refused(proved.scribe("A").get(BUNDLE), 403, "role_not_allowed")
    done(proved.office.post("/v1/shows", SHOW | {"id": "elsewhere"}))
    refused(proved.hand("federation", show="elsewhere").get(BUNDLE), 403, "other_show")
