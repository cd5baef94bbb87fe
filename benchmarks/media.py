"""Sound and notation: how much faster than it is heard, and than the way through a whole-score exporter.

1. Rendering thirty seconds of four parts in eighths (384 notes, levelled to BS.1770, as a finished WAV) against the
   thirty seconds that it takes to hear. A new excerpt is drawn for each pass, so that nothing can have been kept.
2. Engraving four measures of a four-part chorale to SVG against the same measures of the same chorale exported by
   music21 to MusicXML and engraved by the same verovio with the same page options.
3. Engraving two notes, as an interval exercise shows them, by the same two ways.
4. Measuring the loudness of those thirty seconds against pyloudnorm, on the same samples.

Ours and the peer take turns, pass by pass; the ratio is the median of the passes' ratios.
"""

import io
import random
import statistics
import time
import wave
from collections.abc import Callable
from fractions import Fraction
from typing import Any

from benchmarks.comparison import Comparison
from musictheory_nb.media.engraving import engrave, toolkit_options
from musictheory_nb.media.loudness import integrated_loudness_lufs
from musictheory_nb.media.sound import render_sound
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart

PASSES = 9


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _row(name: str, peer: str, passes: list[tuple[float, float]], target: str) -> dict[str, object]:
    row = Comparison(
        name=name,
        ours_s=statistics.median(ours for ours, _ in passes),
        peer=peer,
        peer_s=statistics.median(theirs for _, theirs in passes),
        target=target,
    )
    ratio = statistics.median(theirs / ours for ours, theirs in passes)
    return {**{key: getattr(row, key) for key in ("name", "ours_s", "peer", "peer_s", "target")}, "ratio": ratio}


def four_parts(seed: int) -> Excerpt:
    """Twelve measures of 4/4 at 96 quarters a minute: thirty seconds."""
    draw = random.Random(seed)
    parts = tuple(
        ExcerptPart(name, clef) for name, clef in zip("SATB", ("treble", "treble", "treble-8", "bass"), strict=True)
    )
    notes = tuple(
        ExcerptNote(part, measure, Fraction(eighth, 2), Fraction(1, 2), (f"{draw.choice('CDEFGAB')}{5 - part}",))
        for part in range(4)
        for measure in range(12)
        for eighth in range(8)
    )
    return Excerpt(parts, tuple(ExcerptMeasure(str(n), Fraction(4)) for n in range(1, 13)), notes, tempo=Fraction(96))


def sound() -> dict[str, object]:
    """Rendering against listening."""
    render_sound(four_parts(0))
    drawn = [four_parts(seed) for seed in range(1, PASSES + 1)]
    passes = [(_seconds(lambda one=one: render_sound(one)), 30.0) for one in drawn]  # type: ignore[misc]
    return _row("30 s of four parts to WAV", "real time", passes, "100 times faster than it is heard")


def _verovio(musicxml: str) -> str:
    import verovio

    toolkit = verovio.toolkit()
    toolkit.setOptions(toolkit_options(900, 1))
    toolkit.loadData(musicxml)
    return str(toolkit.renderToSVG(1))


def _exported(stream: Any) -> str:
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    return str(GeneralObjectExporter(stream).parse().decode("utf-8"))


def notation() -> list[dict[str, object]]:
    """Engraving against exporting and engraving."""
    import music21

    score = music21.corpus.parse("bach/bwv66.6").measures(1, 4)
    parts = tuple(
        ExcerptPart(part.partName, clef)
        for part, clef in zip(score.parts, ("treble", "treble", "treble", "bass"), strict=True)
    )
    notes = tuple(
        ExcerptNote(
            at,
            index,
            Fraction(note.offset),
            Fraction(note.quarterLength),
            (note.pitch.nameWithOctave.replace("-", "b"),),
        )
        for at, part in enumerate(score.parts)
        for index, measure in enumerate(part.getElementsByClass("Measure"))
        for note in measure.notes
    )
    chorale = Excerpt(parts, tuple(ExcerptMeasure(str(n), Fraction(4), "4/4", 3) for n in range(1, 5)), notes)
    two = Excerpt.melody(["B3", "F4"])
    peer_two = music21.converter.parse("tinynotation: 2/4 B4 f")
    rows = []
    for name, ours, theirs in (
        ("four measures of a chorale to SVG", chorale, score),
        ("two notes to SVG", two, peer_two),
    ):
        engrave(ours), _verovio(_exported(theirs))
        passes = [
            (
                _seconds(lambda one=ours: engrave(one)),  # type: ignore[misc]
                _seconds(lambda one=theirs: _verovio(_exported(one))),  # type: ignore[misc]
            )
            for _ in range(PASSES)
        ]
        rows.append(_row(name, "music21 to MusicXML, verovio", passes, "faster"))
    return rows


def loudness() -> dict[str, object]:
    """Measuring against pyloudnorm."""
    import numpy as np
    import pyloudnorm

    clip = render_sound(four_parts(0))
    with wave.open(io.BytesIO(clip.wav)) as file:
        samples = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2") / 32768
    meter = pyloudnorm.Meter(clip.sample_rate)
    passes = [
        (
            _seconds(lambda: integrated_loudness_lufs(samples, clip.sample_rate)),
            _seconds(lambda: meter.integrated_loudness(samples)),
        )
        for _ in range(PASSES + 1)
    ][1:]
    return _row("loudness of 30 s", "pyloudnorm", passes, "as fast")


def run() -> list[dict[str, object]]:
    """Measure all four."""
    return [sound(), *notation(), loudness()]


if __name__ == "__main__":
    for found in run():
        print(
            f"{found['name']}: {found['ours_s']:.4f} s; {found['peer']}: {found['peer_s']:.4f} s; {found['ratio']:.1f} times"
        )
