"""`start`: a folder to begin from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path

from optimiser.present.answer_json import as_text
from optimiser.present.earlier_answers import marked
from optimiser.present.output import check_outputs, write_files
from optimiser.provenance import InputError, Mistake, Origin

STARTERS = ("brief.toml", "prices.csv", "notes.md")


def run(folder: Path, as_json: bool, out: Sequence[Path]) -> tuple[str, int]:
    """Make the folder; nothing that is already there is changed.

    A folder that holds some of the files as they are made here, and no other of their names,
    was left by a run that was cut short; it is completed.

    Raises:
        InputError: The folder cannot be made, or holds one of the files already.
    """
    endings = (".json", ".md")
    check_outputs(out, endings, [folder / name for name in STARTERS])
    made = {
        folder / name: files("optimiser.starter").joinpath(name).read_text(encoding="utf-8")
        for name in STARTERS
    }
    missing = _missing(folder, made)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as failure:
        raise _cannot_be_made(folder, failure) from None
    written = [str(path) for path in made]
    document = as_text({"folder": str(folder), "files": written})
    brief = folder / "brief.toml"
    text = (
        f"In {folder}: {', '.join(STARTERS)}. All prices in it are invented.\n"
        f"Change the price list and the brief, then run:\n\n    optimiser formulate {brief}\n"
    )
    # The brief last: where it is, there is what it refers to.
    told = {".json": document, ".md": marked(text, ".md")}
    answers = [(path, told[path.suffix.lower()]) for path in out]
    write_files([*((path, made[path]) for path in reversed(missing)), *answers])
    return (document if as_json else text), 0


def _missing(folder: Path, made: Mapping[Path, str]) -> list[Path]:
    """The files that are still to be written.

    Raises:
        InputError: The folder is none, or what is there is to be left alone.
    """
    try:
        if folder.exists() and not folder.is_dir():
            raise InputError([Mistake(Origin(str(folder)), "this is a file; name a folder")])
        there = [path for path in made if path.exists() or path.is_symlink()]
        is_ours = all(path.read_bytes() == made[path].encode("utf-8") for path in there)
    except OSError as failure:
        raise _cannot_be_made(folder, failure) from None
    if there and (not is_ours or len(there) == len(made)):
        problem = "is already there and is left as it is; name another folder"
        raise InputError([Mistake(Origin(str(path)), problem) for path in there])
    return [path for path in made if path not in there]


def _cannot_be_made(folder: Path, failure: OSError) -> InputError:
    reason = failure.strerror or str(failure)
    return InputError([Mistake(Origin(str(folder)), f"cannot be made: {reason}")])
