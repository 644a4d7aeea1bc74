"""What reading found out beside the records: mistakes, and habits worth a remark."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from optimiser.provenance import LONGEST_SENTENCE, InputError, Mistake, Origin, printable
from optimiser.reading.caps import MOST_MISTAKES


class Problem(Exception):
    """Something could not be read; its text says what is wrong and what to write instead.

    It carries no place. Whoever knows the file, line and key turns it into a `Mistake`.
    """


@dataclass(slots=True)
class Findings:
    """The mistakes and remarks collected while the files of one request are read.

    Attributes:
        mistakes: What is wrong, in the order it was noticed.
        remarks: What was read in a way worth telling, such as `prices.csv: decimal commas`,
            each once, in the order it was noticed.
    """

    mistakes: list[Mistake] = field(default_factory=list)
    remarks: dict[str, None] = field(default_factory=dict)

    def wrong(self, origin: Origin, problem: str | Problem) -> None:
        """Note a mistake and go on reading."""
        self.mistakes.append(Mistake(origin, str(problem)))

    def remark(self, file: str, sentence: str) -> None:
        """Note, once, how a file was read."""
        self.remarks[printable(f"{file}: {sentence}", LONGEST_SENTENCE)] = None

    def stop_if_wrong(self, files: Sequence[str]) -> None:
        """End the reading where anything is wrong.

        Args:
            files: The files in the order in which their mistakes are told; within a file
                mistakes go by line.

        Raises:
            InputError: With every mistake found so far; of very many with how many more.
        """
        if not self.mistakes:
            return
        rank = {file: position for position, file in reversed(list(enumerate(files)))}
        ordered = sorted(
            dict.fromkeys(self.mistakes),
            key=lambda found: (
                rank.get(found.origin.file, len(rank)),
                found.origin.line or 0,
            ),
        )
        more = len(ordered) - MOST_MISTAKES
        if more > 0:
            at = Origin(ordered[MOST_MISTAKES].origin.file)
            sentence = f"and {more:,} more mistake{'s' if more > 1 else ''}; correct these first"
            ordered = [*ordered[:MOST_MISTAKES], Mistake(at, sentence)]
        raise InputError(ordered)
