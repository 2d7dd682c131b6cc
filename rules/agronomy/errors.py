"""The errors that the agronomy functions raise; each names the value and what is allowed."""

from __future__ import annotations

from rules.model import EarleafError


class UnknownStage(EarleafError):
    """A growth stage that the calendar does not have."""

    def __init__(self, stage: object) -> None:
        super().__init__(
            f"no growth stage {stage!r}; allowed are VE, V1 to V20, VT, R1 to R6 and R5.25, R5.5, R5.75"
        )


class ImpossibleValue(EarleafError):
    """A value that cannot be: out of its natural range, or not a number at all."""

    def __init__(self, name: str, value: object, allowed: str) -> None:
        super().__init__(f"{name} = {value!r} cannot be; allowed is {allowed}")


class OutsideTable(EarleafError):
    """A question that the published table does not answer, and must not be stretched to."""

    def __init__(self, name: str, value: object, allowed: str) -> None:
        super().__init__(f"{name} = {value!r} lies outside what was published; the table covers {allowed}")


class SwitchedOff(EarleafError):
    """A relation whose coefficients were never checked against their source."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"{name} is switched off: its coefficients have not been checked against the publication"
        )


def check_range(name: str, value: float, low: float, high: float, unit: str = "") -> None:
    """Raise :class:`ImpossibleValue` unless ``low <= value <= high`` (not-a-number included)."""
    if not low <= value <= high:
        raise ImpossibleValue(name, value, f"{low:g} to {high:g} {unit}".rstrip())
