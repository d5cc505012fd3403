"""Where the keys lie, and under which name the log signs."""

from pathlib import Path

import pytest

from service.config import read_settings
from service.trust.errors import TrustError
from service.trust.settings import trust_settings


def test_beside_a_sqlite_file_its_keys_have_a_folder() -> None:
    found = trust_settings(read_settings({"RINGFOLD_DATABASE": "sqlite:////srv/show/ringfold.db"}))
    assert found.keys_folder() == Path("/srv/show/ringfold.db.keys")
    assert found.origin == "localhost/ringfold"
    assert found.passphrase is None
    assert trust_settings(read_settings({})).keys_folder() == Path("ringfold.db.keys")


def test_what_the_environment_names_comes_first() -> None:
    given = {
        "RINGFOLD_ORIGIN": "results.example/spring",
        "RINGFOLD_KEYS_DIR": "/srv/keys",
        "RINGFOLD_KEYS_PASSPHRASE": "barrel racing",
    }
    found = trust_settings(read_settings(given))
    assert (found.origin, found.keys_folder()) == ("results.example/spring", Path("/srv/keys"))
    assert found.passphrase == b"barrel racing"
    assert "barrel racing" not in repr(found)


def test_beside_postgresql_a_folder_has_to_be_named() -> None:
    url = "postgresql://ringfold@127.0.0.1/ringfold"
    found = trust_settings(read_settings({"RINGFOLD_DATABASE": url}))
    with pytest.raises(TrustError, match="RINGFOLD_KEYS_DIR"):
        found.keys_folder()
