"""Where Sphinx stands on the page it reads: which block comes next, which anchors are used."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from procedures_lib.language.reading.page import Block
from procedures_lib.manual import Manual

if TYPE_CHECKING:
    from sphinx.environment import BuildEnvironment


T = TypeVar("T")

_KEY = "procedures_context"


class MismatchError(Exception):
    """Sphinx and the reader disagree; ``block`` is the one that was meant, if it was found."""

    def __init__(self, message: str, block: Block | None) -> None:
        super().__init__(message)
        self.block = block


class Run:
    """Blocks still to come, in the order of the page."""

    def __init__(self, blocks: Iterable[Block]) -> None:
        self._blocks = list(blocks)
        self._next = 0

    def take(self, name: str, argument: str) -> Block:
        """Return the next block, which must be the one named; raises :class:`MismatchError`.

        After a mismatch the run goes on behind the block that was meant, if there is one, so that
        one odd block is reported once and not with all that follow.
        """
        left = self._blocks[self._next :]
        for n, block in enumerate(left):
            if (block.name, str(block.argument)) == (name, argument):
                self._next += n + 1
                if n:
                    raise MismatchError(
                        f"Sphinx did not meet {{{left[0].name}}} on line {left[0].place.line}",
                        block,
                    )
                return block
        raise MismatchError(f"the reader did not find {{{name}}} here", None)

    def rest(self) -> list[Block]:
        """The blocks that have not been taken."""
        return self._blocks[self._next :]


@dataclass(slots=True)
class Context:
    """One page while Sphinx reads it.

    ``runs`` are the blocks still to come, innermost run last: common steps bring in a run of
    their own. ``anchors`` are those that the page has used; ``kept`` is what was made for one
    block and serves the next, by name.
    """

    runs: list[Run]
    anchors: set[str] = field(default_factory=set)
    kept: dict[tuple[str, ...], Any] = field(default_factory=dict)

    def once(self, key: tuple[str, ...], make: Callable[[], T]) -> T:
        """Return what is kept under a key, made the first time it is asked for."""
        if key not in self.kept:
            self.kept[key] = make()
        found: T = self.kept[key]
        return found


def context_of(env: BuildEnvironment, manual: Manual) -> Context:
    """Return the context of the page that is being read."""
    found = env.temp_data.get(_KEY)
    if isinstance(found, Context):
        return found
    content = manual.contents.get(f"{env.docname}.md")
    made = Context([Run(content.page.walk() if content else ())])
    env.temp_data[_KEY] = made
    return made
