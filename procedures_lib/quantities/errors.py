"""What is wrong with a quantity, as an error that carries its hint."""

from __future__ import annotations


class QuantityError(ValueError):
    """A text that is no quantity, or not the quantity wanted.

    ``check`` is one of ``no-unit``, ``ambiguous-unit``, ``wrong-dimension``, ``bad-tolerance``,
    ``out-of-range``, ``not-a-number``. ``message`` says what is wrong, ``hint`` what to write
    instead.
    """

    check: str
    message: str
    hint: str

    def __init__(self, check: str, message: str, hint: str) -> None:
        super().__init__(check, message, hint)
        self.check = check
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        return self.message
