"""The whole manual: pages read, ids resolved."""

from procedures_lib.manual.manual import Manual
from procedures_lib.manual.plan import NumberedStep, Plan
from procedures_lib.manual.scope import Scope

__all__ = ["Manual", "NumberedStep", "Plan", "Scope"]
