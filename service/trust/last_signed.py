"""The checkpoint that was signed last, where no restore of the database takes it back."""

from hashlib import sha256
from pathlib import Path

from service.trust.files import write_durably


class LastSigned:
    """The file beside the keys that holds a log's last checkpoint, as its signed note.

    It is written before the checkpoint goes anywhere else, so whatever anybody holds of the log is
    a beginning of what the file says. The file is the note itself: one that was lost is put back by
    copying in the newest checkpoint that anybody was given.
    """

    def __init__(self, folder: Path, origin: str) -> None:
        of_log = sha256(origin.encode()).hexdigest()[:8]  # origins hold slashes
        self.path = folder / f"last-checkpoint-{of_log}.txt"

    def read(self) -> bytes | None:
        """The note, or ``None`` where no checkpoint was ever signed."""
        return self.path.read_bytes() if self.path.exists() else None

    def write(self, note: bytes) -> None:
        """Keep the note in place of the one before, safe from a power cut when this returns."""
        write_durably(self.path, note)
