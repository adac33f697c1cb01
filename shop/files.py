"""Writing what a command was asked for: all of it or nothing."""

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
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


@contextmanager
def new_folder(path: Path, *, replaces: Callable[[str], bool] | None = None) -> Iterator[Path]:
    """A temporary folder that takes the place of `path` once the block has ended without an error.

    Refused where `path` holds anything; with `replaces`, where it holds anything but files of these names. So
    nobody ever finds half a folder, and nothing is deleted that was not to be replaced.
    """
    target = path.resolve()
    _refuse_strangers(path, target, replaces)
    try:
        made = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name}."))
    except OSError as error:
        raise Refused.single(
            str(path), error.strerror or "cannot be written", "name a folder in one that exists"
        ) from None
    try:
        yield made
        made.chmod(0o755)
        _refuse_strangers(path, target, replaces)
        _put_in_place(made, target)
    except OSError as error:
        raise Refused.single(
            str(path), error.strerror or "cannot be written", "look at the disk and the permissions"
        ) from error
    finally:
        shutil.rmtree(made, ignore_errors=True)


def _refuse_strangers(path: Path, target: Path, replaces: Callable[[str], bool] | None) -> None:
    if not os.path.lexists(target):
        return
    if not target.is_dir():
        raise Refused.single(str(path), "is a file", "name a folder")
    there = sorted(entry.name for entry in target.iterdir())
    strangers = [name for name in there if replaces is None or not replaces(name)]
    if not strangers:
        return
    listed = ", ".join(strangers[:3]) + (f" and {len(strangers) - 3} more" if len(strangers) > 3 else "")
    if replaces is None:
        right = "name an empty or a new folder, or replace what is there with --force"
        raise Refused.single(str(path), f"is not empty, it holds {listed}", right)
    raise Refused.single(
        str(path), f"holds {listed}, which would be lost", "move that away, or name another folder"
    )


def _put_in_place(made: Path, target: Path) -> None:
    if not target.exists():
        made.rename(target)
        return
    old = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name}."))
    target.rename(old)  # over the empty folder just made
    try:
        made.rename(target)
    except OSError:
        old.rename(target)
        raise
    shutil.rmtree(old, ignore_errors=True)
