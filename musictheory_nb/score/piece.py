"""A score that explains itself (`Piece`): its key, harmony, form, texture and devices.

Each is found when it is first asked for, and kept. The finders themselves take any `Score`: `key_finding.find_key`,
`harmony_finding.harmony`, `form_section.find_form`, `texture.find_texture` and `devices.find_devices`.
"""

from dataclasses import fields
from functools import cached_property
from typing import Self, cast

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.devices import find_devices
from musictheory_nb.score.finding import Finding
from musictheory_nb.score.form_section import Form, find_form
from musictheory_nb.score.harmony_finding import harmony
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.key_finding import KeyFinding, find_key
from musictheory_nb.score.score import Score
from musictheory_nb.score.sounded_chart import sounded_chart
from musictheory_nb.score.texture import find_texture
from musictheory_nb.score.texture_span import TextureSpan


class Piece(Score):
    r"""A score, and what happens in it; parameters as of `Score`.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> strain, other = "CEGE|FAcA|GBdB|c2c2|" * 2, "cAFA|BGEG|AFDF|EDC2|" * 2
    >>> piece = load_score(f"X:1\nM:2/4\nL:1/8\nK:C\n|:{strain[:-1]}:|:{other[:-1]}:|\n".encode(), cache=False)
    >>> piece.key().key, piece.form().plan, len(piece.played().measures)
    (Key('C major'), 'AABB', 32)
    >>> piece.harmony()[0].chord.symbol, len(piece.texture())
    ('C', 0)
    >>> [found.name for found in piece.devices()][:2]
    ['section', 'standard form']
    """

    @classmethod
    def of(cls, score: Score) -> Self:
        """Return the same score as a piece."""
        return cls(**{one.name: getattr(score, one.name) for one in fields(score)})

    def played(self) -> "Piece":
        """Return the piece as it is played, as `Score.played`.

        Raises
        ------
        ScoreError
            The repeats make it longer than `played_order.MAX_PLAYED` measures.
        """
        return cast("Piece", self._played)  # what Score makes there is of this class

    def key(self) -> KeyFinding:
        """Return the key with its confidence and the other keys that come into question (`find_key`).

        Raises
        ------
        ScoreError
            No key can be told from the notes.
        """
        return self._key

    def harmony(self) -> tuple[HarmonySpan, ...]:
        """Return the chords, written or implied, in order (`harmony_finding.harmony`).

        Raises
        ------
        ScoreError
            There are neither chord symbols nor pitched notes.
        """
        return self._harmony

    def form(self) -> Form:
        """Return the sections as they are played (`find_form`)."""
        return self._form

    def texture(self) -> tuple[TextureSpan, ...]:
        """Return who plays when, and how together, in order (`find_texture`)."""
        return self._texture

    def devices(self) -> tuple[Finding, ...]:
        """Return every finding, in the order of the measures (`find_devices`)."""
        return self._devices

    @cached_property
    def _key(self) -> KeyFinding:
        return find_key(sounded_chart(self))

    @cached_property
    def _harmony(self) -> tuple[HarmonySpan, ...]:
        return harmony(self)

    @cached_property
    def _chords(self) -> tuple[HarmonySpan, ...]:
        """The harmony, none where nothing can be told."""
        try:
            return self._harmony
        except ScoreError:
            return ()

    @cached_property
    def _form(self) -> Form:
        return find_form(sounded_chart(self))

    @cached_property
    def _texture(self) -> tuple[TextureSpan, ...]:
        return find_texture(self)

    @cached_property
    def _devices(self) -> tuple[Finding, ...]:
        return find_devices(self, spans=self._chords, form=self._form, texture=self._texture)
