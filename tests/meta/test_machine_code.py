"""Machine code kept on disk must not outlive the source that was compiled into it."""

from __future__ import annotations

import hashlib
from pathlib import Path

from heatloss.balance import kernel

INTO_THE_KERNEL = ("compiling.py", "vapour.py")


def test_kernel_names_what_is_inlined_into_it() -> None:
    """The cache of compiled functions is renewed when their own file changes, not when an inlined one does."""
    folder = Path(kernel.__file__).parent
    content = b"".join((folder / name).read_bytes() for name in INTO_THE_KERNEL)
    found = hashlib.sha256(content).hexdigest()[:12]
    line = f'INLINED = "{found}"'
    assert found == kernel.INLINED, f"{' or '.join(INTO_THE_KERNEL)} changed: type {line} in heatloss/balance/kernel.py"


def test_nothing_else_is_inlined() -> None:
    folder = Path(kernel.__file__).parent
    users = {p.name for p in folder.parent.rglob("*.py") if "@inlined" in p.read_text(encoding="utf-8")}
    assert users <= {"kernel.py", *INTO_THE_KERNEL}
