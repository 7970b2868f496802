"""Fetch what the page ships of others: ``python -m tests.regenerate_vendored`` (needs npm and its registry).

The file is taken as it was published, checked against the registry's digest, and written beside its licence.
"""

from __future__ import annotations

import base64
import hashlib
import subprocess
import tarfile
import tempfile
from pathlib import Path

VENDOR = Path(__file__).parent.parent / "listen" / "web" / "static" / "vendor"
PACKAGE, VERSION, MEMBER = "signalsmith-stretch", "1.3.2", "package/SignalsmithStretch.mjs"
SHA512 = "tJqRbwPCoWLSHXwO29UQ75u72IwPsHns3RG+TKzuOAp7OduJiJMzEtz32JEFbPFQcTR7aiKCIVc+/Kzw8bMZUw=="


def main() -> None:
    """Fetch, check and write."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["npm", "pack", "--silent", f"{PACKAGE}@{VERSION}"], cwd=folder, check=True)
        archive = Path(folder) / f"{PACKAGE}-{VERSION}.tgz"
        digest = base64.b64encode(hashlib.sha512(archive.read_bytes()).digest()).decode()
        if digest != SHA512:
            raise SystemExit(f"{archive.name} is not what was reviewed: its SHA-512 is {digest}")
        with tarfile.open(archive) as opened:
            member = opened.extractfile(MEMBER)
            assert member is not None
            (VENDOR / "signalsmith-stretch.mjs").write_bytes(member.read())


if __name__ == "__main__":
    main()
