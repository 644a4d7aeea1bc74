"""What the words of `reprice` have in common."""

from __future__ import annotations

from optimiser.answers.repricing import Repricing


def per_kg(answer: Repricing) -> str:
    """The currency per kg, as tables name it."""
    return f"{answer.request.brief.currency} per kg".strip()


def in_use_words(answer: Repricing) -> str:
    """What the formula compared with is called."""
    return "the recipe in use" if answer.is_recipe else "today's formula"
