"""A scale on a pitch class, its tonic spelled as the music spells it (`spelled_scale`)."""

from collections import Counter
from collections.abc import Iterable

from musictheory_nb.errors import ScaleError
from musictheory_nb.score.score import Score
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale


def spelled_scale(score: Score, rows: Iterable[int], tonic: int, kind: str) -> Scale:
    r"""Return the scale of `kind` on pitch class `tonic`, spelled as the notes of `rows` are most often.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\n_BCDE|^A_B2z|\n", cache=False)
    >>> spelled_scale(tune, range(4), 10, "Lydian").name
    'Bb Lydian'
    """
    names: Counter[str] = Counter()
    for row in rows:
        pitch = score.notes[row].sounding
        if pitch is not None and pitch.pitch_class == tonic:
            names[pitch.pitch_name.name] += 1
    plain = [PitchName.from_fifths((7 * tonic + 3) % 12 - 3).name, PitchName.from_fifths((7 * tonic + 5) % 12 - 5).name]
    for name in [*(name for name, _ in names.most_common()), *plain]:
        try:
            return Scale.of(name, kind)
        except ScaleError:
            continue
    raise ScaleError(f"scale {kind!r}: it cannot be spelled on pitch class {tonic}")
