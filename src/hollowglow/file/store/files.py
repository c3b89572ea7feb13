"""The bytes of a display file as text, or the one reason why there is none."""

from __future__ import annotations

from pathlib import Path

from hollowglow.messages.errors import DisplayError, Problem
from hollowglow.quantity.shown import visible

MOST_BYTES = 8 * 2**20


def read_text(path: Path) -> str:
    """Return the text of a display file.

    Raises:
        DisplayError: when it is missing, a folder, unreadable, too large, binary, not UTF-8 or empty.
    """
    file = visible(str(path))

    def refuse(found: str, expected: str, mend: str = "", line: int | None = None) -> DisplayError:
        return DisplayError(file, [Problem("", found, expected, mend, line)])

    want = "a display file (YAML text)"
    try:
        if path.is_dir():
            raise refuse("a folder", want, "Name the file inside it.")
        if path.exists() and not path.is_file():
            raise refuse("something that is not a regular file", want)
        if path.stat().st_size > MOST_BYTES:
            raise refuse(f"a file of {path.stat().st_size / 2**20:.0f} MiB", f"at most {MOST_BYTES // 2**20} MiB")
        raw = path.read_bytes()
    except FileNotFoundError:
        mend = "Check the name, or start from the demo: hollowglow demo."
        raise refuse("no file of this name", want, mend) from None
    except PermissionError:
        raise refuse("a file that may not be read", "permission to read it", "Change its permissions.") from None
    except OSError as error:
        raise refuse(f"a file that cannot be read ({error.strerror})", want) from None
    except ValueError:
        raise refuse("a name that no file can have", want) from None
    if not raw.strip():
        raise refuse("an empty file", want, "Start from the demo: hollowglow demo.")
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refuse("UTF-16 text", "UTF-8 text", "Save it again as UTF-8.")
    zero = raw.find(b"\x00")
    if zero >= 0:
        line = raw.count(b"\n", 0, zero) + 1
        raise refuse("a binary file (it holds a zero byte)", want, line=line)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        byte = f"the byte 0x{raw[error.start]:02x}, which is not UTF-8"
        raise refuse(byte, "UTF-8 text", "Save it again as UTF-8.", line) from None
