"""`start`: a folder to begin from."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

from optimiser.present.answer_json import as_text
from optimiser.present.output import check_outputs, write_whole
from optimiser.provenance import InputError, Mistake, Origin

STARTERS = ("brief.toml", "prices.csv", "notes.md")


def run(folder: Path, as_json: bool, out: Sequence[Path]) -> tuple[str, int]:
    """Make the folder; nothing that is already there is changed.

    Raises:
        InputError: The folder cannot be made, or holds one of the files already.
    """
    endings = (".json", ".md")
    check_outputs(out, endings, [folder / name for name in STARTERS])
    if folder.exists() and not folder.is_dir():
        raise InputError([Mistake(Origin(str(folder)), "this is a file; name a folder")])
    there = [name for name in STARTERS if (folder / name).exists()]
    if there:
        problem = "is already there and is left as it is; name another folder"
        raise InputError([Mistake(Origin(str(folder / name)), problem) for name in there])
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as failure:
        reason = failure.strerror or str(failure)
        raise InputError([Mistake(Origin(str(folder)), f"cannot be made: {reason}")]) from None
    for name in STARTERS:
        content = files("optimiser.starter").joinpath(name).read_text(encoding="utf-8")
        write_whole(folder / name, content)
    written = [str(folder / name) for name in STARTERS]
    document = as_text({"folder": str(folder), "files": written})
    brief = folder / "brief.toml"
    text = (
        f"In {folder}: {', '.join(STARTERS)}. All prices in it are invented.\n"
        f"Change the price list and the brief, then run:\n\n    optimiser formulate {brief}\n"
    )
    for path in out:
        write_whole(path, document if path.suffix.lower() == ".json" else text)
    return (document if as_json else text), 0
