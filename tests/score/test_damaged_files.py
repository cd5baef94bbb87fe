"""Mutated score files: each gives a score that holds together or one clear error, never a crash, a hang or an empty score.

Sources of the files: the cases of this folder, pieces bundled with music21 in MusicXML, ABC and Humdrum, and MEI and MIDI
that verovio writes of them. A few hundred mutations by default; 2,000 with ``-m full``.
"""

import base64
import io
import random
import threading
import zipfile
from functools import cache, partial
from pathlib import Path

import pytest
import verovio
from music21 import corpus

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score
from musictheory_nb.score.time_limit import within_seconds

CASES = Path(__file__).parent / "cases"
#: After so many seconds a file hangs, the project says; none needs one.
HANG_S = 30
TOKENS = (
    b"-1", b"0", b"999999999999", b"1e308", b"NaN", b"\x00", b"\xff\xfe", b"<", b">", b"&", b"]]>", b'"', b"'",
    b"<note>", b"</note>", b"</measure>", b"<backup><duration>99999</duration></backup>", b"<grace/>", b"<chord/>",
    b"<duration>-4</duration>", b"<divisions>0</divisions>", b"<divisions>7919</divisions>", b"<beats>0</beats>",
    b"<beat-type>3</beat-type>", b"<repeat direction=\"backward\" times=\"99999\"/>", b"<ending number=\"9,8,7\" type=\"start\"/>",
    b"<sound dalsegno=\"x\"/>", b"<sound dacapo=\"yes\"/>", b"<staff>7</staff>", b"<octave>99</octave>", b"<alter>-0.5</alter>",
    b"<transpose><chromatic>99</chromatic></transpose>", b"::::", b"|:", b":|", b"(9:9:9", b"[", b"]", b"{", b"}", b"Z9999",
    b"K:Zz", b"M:0/0", b"\n*^\n", b"\n*-\n", b"\n=\n", b"*v\t*v", b"%", b"\t", b"\n", b"\r",
)  # fmt: skip


@cache
def originals():
    verovio.enableLog(verovio.LOG_OFF)
    names = ("bach/bwv269.mxl", "leadSheet/fosterBrownHair.mxl", "mozart/k80/movement3.mxl")
    found = [(path.name, path.read_bytes()) for path in sorted(CASES.iterdir())]
    for name in names:
        packed = Path(corpus.getWork(name)).read_bytes()
        found.append((name, packed))
        with zipfile.ZipFile(io.BytesIO(packed)) as archive:
            inner = next(member for member in archive.namelist() if not member.startswith("META-INF"))
            found.append((f"{name}, unpacked", archive.read(inner)))
        toolkit = verovio.toolkit()
        assert toolkit.loadFile(str(corpus.getWork(name)))
        found.append((f"{name} as MEI", toolkit.getMEI().encode()))
        found.append((f"{name} as MIDI", base64.b64decode(toolkit.renderToMIDI())))
    for name in ("ryansMammoth/GoldenTressesHornpipe.abc", "airdsAirs/book1.abc", "bach/bwv277.krn", "bach/bwv281.krn"):
        found.append((name, Path(corpus.getWork(name)).read_bytes()))
    assert len(found) == 30
    return found


def mutated(draw, data):
    """Data with one to six small damages: bytes changed, taken out, doubled, moved, tokens put in, an end cut off."""
    data = bytearray(data)
    for _ in range(draw.choice((1, 1, 2, 3, 6))):
        if not data:
            break
        at, how = draw.randrange(len(data)), draw.randrange(9)
        span = draw.choice((1, 2, 8, 60, 400))
        if how == 0:
            data[at] = draw.randrange(256)
        elif how == 1:
            del data[at : at + span]
        elif how == 2:
            data[at:at] = data[at : at + span] * draw.choice((1, 1, 3, 50))
        elif how == 3:
            data[at:at] = draw.choice(TOKENS)
        elif how == 4:
            piece = data[at : at + span]
            del data[at : at + span]
            place = draw.randrange(len(data) + 1)
            data[place:place] = piece
        elif how == 5:
            del data[at:]
        elif how == 6:
            digits = [place for place, byte in enumerate(data) if 48 <= byte <= 57]
            if digits:
                data[draw.choice(digits)] = draw.choice(b"0123456789-.")
        elif how == 7:
            data[at] ^= 1 << draw.randrange(8)
        else:
            ends = [place for place, byte in enumerate(data) if byte == 62]
            if ends:
                place = draw.choice(ends) + 1
                data[place:place] = draw.choice(TOKENS)
    return bytes(data)


def holds_together(score):
    """What every score must satisfy, whatever file it came from."""
    assert score.parts
    assert score.measures
    assert len(score.events) or score.chord_symbols, "an empty score"
    start = 0
    for index, measure in enumerate(score.measures):
        assert measure.index == index
        assert measure.length > 0
        assert measure.start == start
        start += measure.length
    for note in score.events:
        assert 0 <= note.part < len(score.parts)
        measure = score.measures[note.measure]
        assert 0 <= note.onset <= measure.length
        assert note.duration >= 0
        assert note.start == measure.start + note.onset
        assert (note.duration == 0) == note.grace or note.kind == "rest"
        assert note.sounding is None or -60 <= note.sounding.chromatic <= 250
    for chord in score.chord_symbols:
        assert chord.text
        assert 0 <= chord.measure < len(score.measures)
    try:
        played = score.played()
    except ScoreError:
        return
    assert len(played.measures) >= 1
    assert sum(measure.length for measure in played.measures) == played.length


def try_mutations(seeds):
    scores = errors = 0
    for seed in seeds:
        draw = random.Random(seed)
        name, data = originals()[seed % len(originals())]
        data = mutated(draw, data)
        try:
            score = within_seconds(HANG_S, "a mutated file", partial(load_score, data, cache=False))
        except ScoreError as error:
            errors += 1
            said = str(error)
            assert "a mutated file took" not in said, f"{name}, seed {seed} hangs"
            assert 10 < len(said) < 700, said
            assert "\n" not in said
        else:
            scores += 1
            holds_together(score)
    return scores, errors


def test_originals_are_read():
    good = [
        name
        for name, _ in originals()
        if name not in ("bomb.musicxml", "xxe.musicxml", "nopl.musicxml", "airdsAirs/book1.abc")
    ]
    for name, data in originals():
        if name in good:
            holds_together(load_score(data, cache=False))


@pytest.mark.parametrize("block", range(6))
def test_mutated_files(block):
    scores, errors = try_mutations(range(block * 60, block * 60 + 60))
    assert scores > 5
    assert errors > 5


@pytest.mark.full
@pytest.mark.parametrize("block", range(20))
def test_two_thousand_mutated_files(block):
    try_mutations(range(1000 + block * 100, 1100 + block * 100))


def test_call_that_never_comes_back_is_stopped():
    def forever():
        while True:
            try:
                sum(range(100))
            except Exception:
                pytest.fail("a library could swallow this")

    before = threading.active_count()
    with pytest.raises(ScoreError, match="spinning took longer than"):
        within_seconds(0.2, "spinning", forever)
    assert threading.active_count() <= before + 2
