"""Results on disk as they come: one line of JSON each, appended and flushed to the disk itself.

A line torn by a power cut or ``kill -9`` is passed over when the journal is opened again, and its photo
is done again. Only the place of each line is kept in memory, so that a run of any size stays flat.
"""

from __future__ import annotations

import errno
import json
import os
from dataclasses import asdict
from io import FileIO
from pathlib import Path
from types import TracebackType
from typing import BinaryIO

from printcheck.batch.jobs import Outcome
from printcheck.core.errors import InputError, PrintcheckError


class Journal:
    """Append-only store of outcomes by key.

    Parameters
    ----------
    path : Path
        File to keep the results in; made if it is not there.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._places: dict[str, int] = {}
        self._append: FileIO  # unbuffered: nothing is left to be flushed when the disk is full
        self._reader: BinaryIO

    def __enter__(self) -> Journal:
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            self._append = self._path.open("ab", buffering=0)
            self._reader = self._path.open("rb")
        except OSError as error:
            raise InputError(
                "journal-unwritable",
                f"{self._path}: results cannot be kept there: {error.strerror}.",
                "Choose another place with --out or --journal.",
            ) from None
        self._lock()
        self._read()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._append.close()
        self._reader.close()

    def __contains__(self, key: str) -> bool:
        return key in self._places

    def get(self, key: str) -> Outcome:
        """Outcome kept under this key."""
        self._reader.seek(self._places[key])
        return Outcome(**json.loads(self._reader.readline())["outcome"])

    def add(self, key: str, outcome: Outcome) -> None:
        """Keep an outcome; it is on the disk when this returns."""
        line = json.dumps({"key": key, "outcome": asdict(outcome)}, ensure_ascii=True).encode() + b"\n"
        place = self._append.seek(0, os.SEEK_END)
        try:
            if self._append.write(line) < len(line):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            os.fsync(self._append.fileno())
        except OSError as error:
            raise PrintcheckError(
                "journal-full",
                f"{self._path}: a result could not be kept: {error.strerror}.",
                "Make room on the disk and run the same command again: what is done is not done again.",
            ) from None
        self._places[key] = place

    def _lock(self) -> None:
        try:
            import fcntl
        except ImportError:  # no such lock on this system; two runs at once are then the user's care
            return
        try:
            fcntl.flock(self._append, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            self._append.close()
            self._reader.close()
            raise InputError(
                "journal-in-use",
                f"{self._path}: another run is using it.",
                "Wait for it to end, or choose another --out.",
            ) from None

    def _read(self) -> None:
        place = 0
        for line in self._reader:
            if not line.endswith(b"\n"):
                self._append.truncate(place)  # torn: cut it off, so that the next line starts clean
                break
            try:
                record = json.loads(line)
                if not Outcome(**record["outcome"]).passing:
                    self._places[record["key"]] = place
            except (ValueError, KeyError, TypeError):
                pass  # not ours or damaged: that photo is done again
            place += len(line)
