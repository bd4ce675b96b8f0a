"""Words that are nearly a known one: what a slip may have meant, and "did you mean …?"."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from difflib import get_close_matches

ALIKE = 0.6
"""How like a known word another must be to be taken for a slip of it (difflib ratio)."""

_MOST_KNOWN = 2_000
"""Among more words than that no nearest one is looked for: it would take longer than all else."""


def nearest(word: str, known: Iterable[str], alike: float = ALIKE) -> str:
    """Return the known word nearest to ``word``, or "" when none is as ``alike`` as that."""
    near = get_close_matches(word, _few(known), n=1, cutoff=alike)
    return near[0] if near else ""


def suggestion(word: str, known: Iterable[str]) -> str:
    """Return a hint that names the nearest known word, or lists a few when none is near."""
    words = sorted(set(_few(known)))
    near = nearest(word, words)
    if near:
        return f"did you mean `{near}`?"
    if not words:
        return ""
    shown = ", ".join(f"`{name}`" for name in words[:12])
    return f"known here: {shown}{' …' if len(words) > 12 else ''}"


def _few(known: Iterable[str]) -> Collection[str]:
    """Return the known words; none of more than can be compared in a moment."""
    words = known if isinstance(known, Collection) else list(known)
    return () if len(words) > _MOST_KNOWN else words
