"""Bulk work holds millions of small values and no circles: looking for some costs a fifth of the time."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collecting_paused() -> Iterator[None]:
    """Circles of objects are left lying until the work is done."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()
