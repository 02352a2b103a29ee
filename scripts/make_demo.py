#!/usr/bin/env python3
"""Write the example book: the tool's own advice on the invented sittings of Quarry Lane.

python3 scripts/make_demo.py            makes it afresh and writes it into the package
python3 scripts/make_demo.py --check    tells whether what is there is what would be made
python3 scripts/make_demo.py --choose   names the first seeds that tell the story, for SEED
"""

from __future__ import annotations

import json
import sys
from base64 import b64encode
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FROZEN = ROOT / "src" / "stillroom" / "services" / "data" / "demo.json"
BELIEFS = FROZEN.with_name("demo_beliefs.json")

sys.path.insert(0, str(ROOT / "src"))

from stillroom.errors import BadValue  # noqa: E402 - the path first
from stillroom.services.demo import demo_book  # noqa: E402
from stillroom.services.demo_build import build, tells_the_story  # noqa: E402
from stillroom.services.demo_truth import Truth  # noqa: E402
from stillroom.services.folding import fold_book  # noqa: E402
from stillroom.services.plan import taught  # noqa: E402
from stillroom.services.sittings import in_order_of_time  # noqa: E402

SEEDS = 200


def beliefs() -> str:
    """What is believed before and after the last sitting, and what its sheets taught.

    As a book that has been in use keeps it, keyed as the frozen book is.
    """
    book, kept = demo_book(), Kept()
    order = in_order_of_time(book)
    taught(book, order[-1].id, memo=kept)
    fold_book(book, order, kept)
    text = {key: b64encode(value).decode() for key, value in sorted(kept.items.items())}
    return json.dumps(text, indent=0)


class Kept:
    """A memo that can be written down."""

    def __init__(self) -> None:
        self.items: dict[str, bytes] = {}

    def get(self, key: str) -> bytes | None:
        """What was put there."""
        return self.items.get(key)

    def put(self, key: str, value: bytes) -> None:
        """Keep something."""
        self.items[key] = value


def told_by(seed: int) -> bool:
    """Whether a seed tells the story; a truth beyond the paper that was entered does not."""
    try:
        return tells_the_story(build(Truth(seed)))
    except BadValue:
        return False


def main() -> int:
    """Make or check the file; 1 when a check finds it out of date."""
    if "--choose" in sys.argv[1:]:
        for seed in range(1, SEEDS + 1):
            if told_by(seed):
                sys.stdout.write(f"{seed}\n")
                sys.stdout.flush()
        return 0
    text = build().model_dump_json(indent=1, exclude_unset=True) + "\n"
    if "--check" not in sys.argv[1:]:
        FROZEN.parent.mkdir(exist_ok=True)
        FROZEN.write_text(text, encoding="utf-8")
        BELIEFS.write_text(beliefs() + "\n", encoding="ascii")
        sys.stdout.write(f"{FROZEN.relative_to(ROOT)}: written, {len(text)} bytes\n")
        return 0
    same = FROZEN.read_text(encoding="utf-8") == text
    said = "The example book is as it would be made." if same else "It would be another now."
    sys.stdout.write(f"{said}\n")
    return 0 if same else 1


if __name__ == "__main__":
    sys.exit(main())
