"""Writing what a command was asked for: all of it or nothing."""

import os
import tempfile
from collections.abc import Mapping
from errno import EISDIR
from pathlib import Path

from shop.rules.errors import Refused


def write_files(files: Mapping[Path, bytes]) -> None:
    """Write each file whole. Refused where a folder is missing or not writable; then none is written."""
    pending: list[tuple[str, Path]] = []
    path = Path()
    try:
        for path, content in files.items():
            if path.is_dir():
                raise IsADirectoryError(EISDIR, "is a folder")
            handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
            pending.append((name, path))
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            os.chmod(name, 0o644)
        for name, path in pending:
            os.replace(name, path)
    except OSError as error:
        raise Refused.single(
            str(path), error.strerror or "cannot be written", "name a file in a folder that exists"
        ) from None
    finally:
        for name, _ in pending:
            if os.path.exists(name):
                os.unlink(name)
