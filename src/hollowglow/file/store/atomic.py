"""Files written whole or not at all: a temporary file beside it, synced, then renamed into its place."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, Any

from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.shown import visible


@contextmanager
def whole(path: Path, mend: str = "Choose another place.") -> Iterator[IO[bytes]]:
    """Open a file for writing that appears under its name only when everything is written.

    A file that is replaced keeps its mode, a link stays a link to what is replaced, and a device or a pipe is written into.

    Args:
        path: of the file.
        mend: the way out that a message names.

    Raises:
        Refusal: when the folder is missing, may not be written, or the disk is full; what was there is as it was.
    """
    temporary: Path | None = None
    try:
        if path.exists() and not path.is_file() and not path.is_dir():
            # Renaming a file onto a device would take its place.
            with path.open("wb") as stream:
                yield stream
            return
        real = Path(os.path.realpath(path))
        mode = real.stat().st_mode & 0o777 if real.is_file() else 0o666 & ~_umask()
        how: dict[str, Any] = {"dir": real.parent, "prefix": f".{real.name}.", "delete": False}
        with tempfile.NamedTemporaryFile("wb", **how) as made:
            temporary = Path(made.name)
            yield made
            made.flush()
            os.fsync(made.fileno())
        os.chmod(temporary, mode)
        os.replace(temporary, real)
        temporary = None
    except OSError as error:
        raise Refusal(f"{visible(str(path))} cannot be written ({error.strerror or error}). {mend}") from None
    finally:
        if temporary is not None:
            with suppress(OSError):
                temporary.unlink()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
