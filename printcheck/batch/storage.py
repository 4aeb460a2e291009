"""Where photos lie: local files, and whatever fsspec opens (http, s3, memory and others)."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Callable
from pathlib import Path, PurePosixPath
from typing import Any, TypeVar

from printcheck.core.errors import InputError

T = TypeVar("T")

READ_PAUSES_S = (0.5, 2.0, 8.0)  # before a store is asked again: one that is busy recovers in seconds
# what stores say of an object's version besides its size
VERSION_KEYS = ("etag", "content-md5", "digest", "last-modified", "lastmodified", "mtime", "created")
NOT_FOUND = 404  # HTTP's status
HASH_CHUNK = 1 << 20  # bytes read at a time


def is_address(path: str) -> bool:
    """Whether fsspec opens it."""
    return "://" in path


def file_system(address: str) -> tuple[Any, str]:
    """Return fsspec's file system of an address and the path in it, or say what to install.

    Raises
    ------
    InputError
        If fsspec or the part of it for this kind of address is missing, or there is no such kind.
    """
    scheme = address.split("://", 1)[0]
    try:
        import fsspec

        system, path = fsspec.core.url_to_fs(address)
    except ImportError:
        raise InputError(
            "fsspec-missing",
            f"{scheme}:// addresses need a part that is not installed.",
            f'Install it: pip install "printcheck[cluster]" "fsspec[{scheme}]".',
        ) from None
    except ValueError as error:
        raise InputError("bad-address", f"{address}: {error}.", "Check the address.") from None
    return system, path


def patiently(ask: Callable[[], T]) -> T:
    """What a store answers, asked again after growing pauses while it fails; not where nothing is there."""
    for pause in READ_PAUSES_S:
        try:
            return ask()
        except Exception as error:  # each store has errors of its own
            if _is_final(error):
                raise
            time.sleep(pause)
    return ask()


def _is_final(error: Exception) -> bool:
    """Whether asking again is of no use. HTTP's every failure comes as a missing file, with its cause."""
    status = getattr(error.__cause__, "status", NOT_FOUND)
    return isinstance(error, InputError) or (isinstance(error, FileNotFoundError) and status == NOT_FOUND)


def fetched(address: str, folder: Path) -> Path:
    """Copy of a photo in a local folder."""
    system, path = file_system(address)
    here = folder / (PurePosixPath(path.split("?", 1)[0]).name or "photo")
    here.write_bytes(patiently(lambda: system.cat_file(path)))
    return here


def fingerprint(path: str) -> str:
    """Digest of a local photo's content; of an object in a store its address, size and version.

    A store that tells no version has its objects read and hashed.
    """
    if not is_address(path):
        digest = hashlib.sha256()
        with Path(path).open("rb") as photo:
            while chunk := photo.read(HASH_CHUNK):
                digest.update(chunk)
        return digest.hexdigest()
    system, at = file_system(path)
    known = {key.lower(): str(value) for key, value in patiently(lambda: system.info(at)).items()}
    version = [known[key] for key in VERSION_KEYS if known.get(key) not in (None, "", "None")]
    if not version:
        version = [hashlib.sha256(patiently(lambda: system.cat_file(at))).hexdigest()]
    return str([path, known.get("size", ""), *version])
