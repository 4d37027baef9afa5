"""The picture of every work: finding the file inside the folder, and seeing that it is a whole picture."""

import os
from collections.abc import Iterator, Mapping
from fractions import Fraction
from pathlib import Path

from campaign.measures.lengths import format_size
from campaign.pictures import MAX_BYTES, PictureRefused, check_picture
from campaign.showfolder.entries import Entry
from campaign.showfolder.headings import nearest
from campaign.showfolder.rows import Outcome, Verdict
from campaign.showfolder.sources import MAX_FILES, PICTURE_ENDINGS

# A print trimmed or bordered a little differently from its picture is nobody's mistake; one on its side is.
_SAME_SHAPE = Fraction(4, 100)


def find_pictures(folder: Path) -> dict[str, Path]:
    """
    All picture files in the folder and in folders directly inside it.

    Returns: name in small letters → file; "pictures/w01.jpg" and, where only one file has it, "w01.jpg".
    Notes: links that lead out of the folder are left out.
    """
    root = folder.resolve()
    found: dict[str, Path] = {}
    short: dict[str, list[Path]] = {}
    for path in _files(root):
        if path.suffix.casefold() in PICTURE_ENDINGS and path.resolve().is_relative_to(root):
            found[path.relative_to(root).as_posix().casefold()] = path
            short.setdefault(path.name.casefold(), []).append(path)
    return {name: paths[0] for name, paths in short.items() if len(paths) == 1} | found


def _files(root: Path) -> Iterator[Path]:
    count = 0
    for place, folders, names in os.walk(root):
        if Path(place) != root:
            folders.clear()
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(names):
            count += 1
            if count > 2 * MAX_FILES:
                return
            yield Path(place) / name


def picture_of(entry: Entry, pictures: Mapping[str, Path]) -> Path | Verdict:
    """The file a work's row names, or the one named like its code where the cell is empty; else a refusal."""
    wanted = str(entry.values["picture"]).replace("\\", "/").removeprefix("./")
    if wanted:
        path = pictures.get(wanted.casefold())
        if path is not None:
            return path
        close = nearest(wanted, sorted({path.name for path in pictures.values()}))
        hint = f"did you mean “{close}”?" if close else "put the file into the folder."
        return entry.verdict(f"The folder has no picture of this name; {hint}", column="picture")
    code = str(entry.values["code"]).casefold()
    for ending in PICTURE_ENDINGS:
        if f"{code}{ending}" in pictures:
            return pictures[f"{code}{ending}"]
    return entry.verdict("The work has no picture; name its file, such as pictures/w01.jpg.", column="picture")


def picture_faults(entry: Entry, path: Path, *, unit: str) -> Iterator[Verdict]:
    """A refusal for a picture that cannot be taken, a note for one of another shape than the sizes on offer."""
    try:
        if path.stat().st_size > MAX_BYTES:
            raise PictureRefused("The file is larger than 60 MB; save it as a smaller JPEG.")
        width_px, height_px = check_picture(path.read_bytes())
    except OSError:
        yield entry.verdict("The file cannot be opened; see that it may be read.", column="picture")
        return
    except PictureRefused as fault:
        yield entry.verdict(str(fault), column="picture")
        return
    shape = Fraction(width_px, height_px)
    for width_mm, height_mm, _ in entry.values["sizes"]:
        size = Fraction(width_mm, height_mm)
        if abs(size / shape - 1) > _SAME_SHAPE:
            which = format_size(width_mm, height_mm, unit=unit)
            turned = abs(1 / size / shape - 1) <= _SAME_SHAPE
            why = "lies on its side; width comes first" if turned else "has another shape, so the print will be cropped"
            sentence = f"Beside its picture ({width_px} × {height_px} pixels) the size {which} {why}."
            yield entry.verdict(sentence, column="sizes", outcome=Outcome.NOTED)
