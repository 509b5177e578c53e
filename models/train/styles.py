"""Packs Kokoro's styles, one file a voice in the npm package kokoro-js, into one for voices.py.

    python -m models.train.styles package/voices styles.npz

Each voice is [510, 1, 256] floats: the style for a text of so many phonemes. Its name begins with
its language (a American, b British) and sex.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

LONGEST = 200
"""Phonemes; the longest training text has fewer."""


def main() -> None:
    folder, target = Path(sys.argv[1]), Path(sys.argv[2])
    styles = {
        path.stem: np.fromfile(path, np.float32).reshape(-1, 1, 256)[:LONGEST].astype(np.float16)
        for path in sorted(folder.glob("*.bin"))
    }
    np.savez_compressed(target, **styles)


if __name__ == "__main__":
    main()
