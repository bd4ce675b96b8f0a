"""A name with which a sentence begins has a capital, on the page as on paper."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.site.building import SmallManual

if TYPE_CHECKING:
    from pathlib import Path

SAID = """{part}`cover` off. {fastener}`cover-bolts` stay with **{part}`cover`**;
**{part}`cover` is hot.**
Then: {part}`cover`. {step}`back` follows.

- {tool}`trim lever` in
"""


def test_names_at_the_beginning_of_a_sentence(tmp_path: Path) -> None:
    small = SmallManual(tmp_path)
    small.change("lift-cover.md", ":time: 5 min\n", ":tools: trim lever\n")
    small.change("lift-cover.md", "Both {fastener}`cover-bolts` come out.\n", SAID)
    small.change(
        "lift-cover.md",
        ":::{step} Put the cover back\n---\n",
        ":::{step} Put the cover back\n---\nid: back\n",
    )
    built = small.build()
    assert built.warnings == ""
    text = " ".join(re.sub(r"<[^>]+>", "", built.page("lift-cover")).split())
    assert (
        "Engine cover off. Cover bolts stay with engine cover; engine cover is hot. "
        "Then: engine cover. Step 2 follows. Trim lever in"
    ) in text
