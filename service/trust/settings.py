"""Under which name the log signs, and where its secrets lie."""

from pathlib import Path

import msgspec
from sqlalchemy import make_url

from service.config import Settings
from service.trust.errors import TrustError


class TrustSettings(msgspec.Struct, frozen=True, kw_only=True):
    """``origin`` is the log's name in checkpoints and keys.

    ``folder`` holds the private keys and the checkpoint that was signed last. It must not be part
    of a backup that the database is restored from, or a log that lost events could sign again.
    ``passphrase`` is what the keys are encrypted with, if they are.
    """

    origin: str
    folder: Path | None
    passphrase: bytes | None = None

    def __repr__(self) -> str:
        return f"TrustSettings(origin={self.origin!r}, folder={self.folder!r})"  # no passphrase

    def keys_folder(self) -> Path:
        """The folder; ``TrustError`` with the code ``keys_dir_unset`` where none was named."""
        if self.folder is None:
            sentence = "name a folder for the signing keys in RINGFOLD_KEYS_DIR"
            raise TrustError("keys_dir_unset", sentence)
        return self.folder


def trust_settings(settings: Settings) -> TrustSettings:
    """What the settings say of it; beside a SQLite file, its name with ``.keys`` is the folder."""
    passphrase = settings.keys_passphrase
    return TrustSettings(
        origin=settings.origin,
        folder=Path(settings.keys_dir) if settings.keys_dir else _beside(settings.database),
        passphrase=passphrase.encode() if passphrase else None,
    )


def _beside(database: str) -> Path | None:
    url = make_url(database)
    if url.get_backend_name() != "sqlite" or not url.database:
        return None
    return Path(f"{url.database}.keys")
