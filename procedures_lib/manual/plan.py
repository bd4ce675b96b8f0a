"""A procedure planned: its page, car and kit found, its steps and the common ones in one row."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Content, Procedure, Step
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.manual.scope import Scope, called_by


@dataclass(frozen=True, slots=True)
class NumberedStep:
    """A step in its place in a procedure: ``number`` counts from 1, the same on every car.

    ``page`` is the page it is written on; ``through`` is the ``{common-steps}`` that calls for it.
    """

    number: int
    step: Step
    when: Condition
    page: str
    through: Step | None = None


@dataclass(frozen=True)
class Plan:
    """A procedure with all it needs: its page, kit and vehicle found, its steps in one row.

    ``kits`` are the kits as sold; ``kit`` is the one, or for a visit with several procedures what
    their boxes hold together.
    """

    head: Procedure | Common
    content: Content
    scope: Scope
    steps: tuple[NumberedStep, ...]
    vehicle: Vehicle | None
    kit: Kit | None
    kits: tuple[Kit, ...] = ()

    @property
    def title(self) -> str:
        """The procedure's title: the head's own, or the page's."""
        own = self.head.title if isinstance(self.head, Procedure) else self.head.name
        return own or self.content.page.title or self.head.id

    @property
    def begins_with(self) -> tuple[Scalar, ...]:
        """The states and procedures that it begins with; () for common steps."""
        return self.head.begins_with if isinstance(self.head, Procedure) else ()

    @property
    def ends_with(self) -> tuple[Scalar, ...]:
        """The states that it leaves behind, and the procedures that go on there."""
        return self.head.ends_with if isinstance(self.head, Procedure) else ()

    @property
    def common_heads(self) -> frozenset[str]:
        """The ids of the common heads that its own page calls for."""
        return frozenset(str(n.through.common) for n in self.steps if n.through)

    @cached_property
    def hazards_called(self) -> frozenset[str]:
        """The ids of all hazards that its steps call for or declare."""
        steps = [numbered.step for numbered in self.steps]
        declared = {str(name) for step in steps for name in step.hazards}
        actions = [action for step in steps for action in step.actions]
        return frozenset(declared.union(*(called_by(action, self.scope) for action in actions)))

    @cached_property
    def hazards_by_step(self) -> dict[int, list[str]]:
        """The hazards worked out so far, by the step's number: pages ask several times."""
        return {}

    def step_number(self, name: str) -> int | None:
        """The number of the step with this id."""
        return next((s.number for s in self.steps if s.step.id == name), None)


def numbered_steps(
    head: Procedure | Common,
    contents: Mapping[str, Content],
    common: Callable[[str], Common | None],
) -> tuple[NumberedStep, ...]:
    """Return the steps of a head and of the common steps it calls for, each where it is done.

    ``contents`` are the pages by name, ``common`` finds a common head by its id.
    """

    def in_a_row(
        head: Procedure | Common, when: Condition, through: Step | None, heads: tuple[str, ...]
    ) -> Iterator[tuple[Step, Condition, str, Step | None]]:
        """Yield steps; ``through`` is the outermost call for them.

        A head that is already among ``heads`` is not entered again: the call is a finding.
        """
        page = head.place.page
        for step in contents[page].steps_of(head.id):
            both = when & step.when
            if step.common is None:
                yield step, both, page, through
                continue
            called = common(str(step.common))
            if called is not None and called.id not in heads:
                yield from in_a_row(called, both, through or step, (*heads, called.id))

    row = enumerate(in_a_row(head, ALWAYS, None, (head.id,)), start=1)
    return tuple(NumberedStep(number, *placed) for number, placed in row)
