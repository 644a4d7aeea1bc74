"""What a comparison counts and where it disagrees."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field


@dataclass
class Findings:
    """Counts of one brief or of many.

    Attributes:
        compared: How many comparisons of each kind.
        disagreements: Each one in words.
        outcomes: How many briefs ended how.
        unproven: What the tool said where it gave an answer up.
        unasked: What could not be told apart, and why.
    """

    compared: Counter[str] = field(default_factory=Counter)
    disagreements: list[str] = field(default_factory=list)
    outcomes: Counter[str] = field(default_factory=Counter)
    unproven: Counter[str] = field(default_factory=Counter)
    unasked: Counter[str] = field(default_factory=Counter)

    def hold(self, kind: str, is_right: bool, words: str = "") -> bool:
        """Count a comparison and keep it where it fails."""
        self.compared[kind] += 1
        if not is_right:
            self.disagreements.append(f"{kind}: {words}")
        return is_right

    def take(self, other: Findings) -> None:
        self.compared += other.compared
        self.disagreements += other.disagreements
        self.outcomes += other.outcomes
        self.unproven += other.unproven
        self.unasked += other.unasked
