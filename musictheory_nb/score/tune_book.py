"""The tunes of an ABC file, and those of them that could not be read, each with the reason (`TuneBook`)."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, overload

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.abc_file import AbcTune
from musictheory_nb.score.abc_reader import read_abc
from musictheory_nb.score.abc_text import plain_text
from musictheory_nb.score.building import build_score
from musictheory_nb.score.piece import Piece

#: Most tunes left out that the short description of a book names.
_NAMED: Final = 5


@dataclass(frozen=True, slots=True)
class LeftOut:
    """One tune that could not be read.

    Parameters
    ----------
    place : int
        Which tune of the file it is, the first being 1.
    number, title : str
        What stands after its ``X:`` and ``T:``.
    reason : str
        What is wrong with it; names the number.
    """

    place: int
    number: str
    title: str
    reason: str

    def __str__(self) -> str:
        title = f" ({self.title})" if self.title else ""
        return f"tune {self.place} of the file{title}: {self.reason}"


@dataclass(frozen=True, eq=False)
class TuneBook(Sequence[Piece]):
    r"""The tunes of a file in order: a sequence of `Piece`.

    Parameters
    ----------
    tunes : tuple of Piece
        Those that were read.
    left_out : tuple of LeftOut
        Those that could not be read, and why; empty if all were.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_tunes
    >>> book = load_tunes(b"X:1\nT:One\nK:C\nC8|\n\nX:2\nT:Two\nK:Es\nG8|\n")
    >>> [tune.title for tune in book], [tune.title for tune in book.left_out]
    (['One'], ['Two'])
    >>> book
    <TuneBook: 1 tune; left out: tune 2 of the file (Two): tune X:2: key 'Es': ABC writes it 'Eb'>
    """

    tunes: tuple[Piece, ...]
    left_out: tuple[LeftOut, ...] = ()

    def __len__(self) -> int:
        return len(self.tunes)

    def __iter__(self) -> Iterator[Piece]:
        return iter(self.tunes)

    @overload
    def __getitem__(self, place: int) -> Piece: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[Piece, ...]: ...
    def __getitem__(self, place: int | slice) -> Piece | tuple[Piece, ...]:
        return self.tunes[place]

    def __repr__(self) -> str:
        tunes = f"{len(self)} tune{'s' * (len(self) != 1)}"
        more = len(self.left_out) - _NAMED
        named = [str(tune) for tune in self.left_out[:_NAMED]] + [f"{more} more"] * (more > 0)
        return f"<TuneBook: {tunes}" + (f"; left out: {'; '.join(named)}" if named else "") + ">"


def read_tune_book(tunes: Sequence[AbcTune], source: str = "", content_digest: str = "") -> TuneBook:
    """Return the pieces of `tunes`; one that cannot be read is left out, with the reason.

    Raises
    ------
    ScoreError
        None of them can be read.
    """
    read: list[Piece] = []
    left_out: list[LeftOut] = []
    for place, tune in enumerate(tunes, 1):
        try:
            read.append(Piece.of(build_score(read_abc(tune), source, content_digest)))
        except ScoreError as error:
            named = f"tune X:{tune.number[:20]}"
            reason = str(error) if str(error).startswith(named) else f"{named}: {error}"
            left_out.append(LeftOut(place, tune.number[:20], plain_text(tune.first("T"))[:300], reason))
    if not read:
        if len(left_out) == 1:
            raise ScoreError(left_out[0].reason)
        raise ScoreError(f"none of its {len(left_out)} tunes can be read; the first: {left_out[0].reason}")
    return TuneBook(tuple(read), tuple(left_out))
