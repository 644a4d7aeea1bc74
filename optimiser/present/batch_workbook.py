"""The answer of `batch` as a workbook: the words, then a sheet for each table."""

from __future__ import annotations

from optimiser.present.batch_page import batches_page
from optimiser.present.workbook import workbook_bytes
from optimiser.tables.batch import batch_tables
from optimiser.tables.sheets import filled
from optimiser.workshop.batches import Batches


def batches_workbook(answer: Batches) -> bytes:
    """The workbook; sheets to weigh from have blanks for what is written by hand."""
    return workbook_bytes(batches_page(answer), filled(batch_tables(answer).values()))
