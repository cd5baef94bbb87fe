"""How a return differs, in passages written for it: each kind of change by itself, named with its bars and parts.

What is expected follows from how the passages are written; the kinds are those that a teacher asks for: notes, register,
density, accompaniment, key, length, who plays, and the chords under it (common practice, no source).
"""

import pytest

from musictheory_nb.score.form_change import CHANGE_KINDS
from musictheory_nb.score.form_section import find_form
from musictheory_nb.score.load import load_score

TUNE = ["C2E2", "G2c2", "BAGF", "E2D2", "CDEF", "G2E2", "F2D2", "C4"]
OTHER = ["g2f2", "e3d", "cdef", "g2a2", "b2ag", "f2e2", "d3e", "G4"]
CHORDS = ["[E,G,]2[E,G,]2", "[E,G,]4", "[F,B,]4", "[G,C]4", "[E,G,]4", "[G,C]4", "[A,D]2[G,B,]2", "[E,G,]4"]
BROKEN = ["C,E,G,E,", "C,E,G,E,", "D,F,B,F,", "C,E,G,E,", "C,E,G,E,", "C,E,G,E,", "D,F,G,B,", "C,E,G,E,"]
REST = ["z4"] * 8


def duo(*sections, names=("Flute", "Guitar"), clefs=("treble", "bass"), keys=()):
    """A piece for two parts; each section is a pair of lists of bars, sections parted by double bars."""
    lines = []
    for voice, (name, clef) in enumerate(zip(names, clefs, strict=True), 1):
        music = "||".join("|".join(section[voice - 1]) for section in sections)
        lines.append(f'V:{voice} clef={clef} name="{name}"\n{music}|]')
    text = "X:1\nM:2/4\nL:1/8\nK:C\n" + "\n".join(lines) + "\n"
    return load_score(text.encode(), cache=False)


def returned(*sections, **more):
    form = find_form(duo(*sections, **more))
    assert form.plan[:2] == "AB"
    section = form.sections[-1]
    assert section.letter == "A"
    return section


BELOW = ["[A,C]4", "[G,C]2[F,C]2", "[D,A,]4", "[D,F,]2[E,G,]2", "[F,A,]4", "[E,G,]2[C,G,]2", "[B,,F,]4", "[G,,F,]4"]
LAST = ["[A,,E,]4", "[B,,D,]4", "[C,E,]2[D,^F,]2", "[G,,D,]4", "[A,,C,]2[F,,C,]2", "[E,,E,]4", "[D,,A,,]4", "[A,,E,]4"]
MIDDLE = (OTHER, BELOW)


def test_the_same_again_has_no_changes():
    section = returned((TUNE, CHORDS), MIDDLE, (TUNE, CHORDS))
    assert (section.label, section.differences) == ("A", ())


def test_notes():
    varied = [*TUNE[:3], "EDCD", *TUNE[4:]]
    (told,) = returned((TUNE, CHORDS), MIDDLE, (varied, CHORDS)).differences
    assert (told.kind, told.bars, told.parts) == ("density", ("20",), ("Flute",))
    varied = [*TUNE[:3], "E2F2", *TUNE[4:]]
    (told,) = returned((TUNE, CHORDS), MIDDLE, (varied, CHORDS)).differences
    assert (told.kind, told.bars, told.parts) == ("notes", ("20",), ("Flute",))
    assert told.sentence == "bar 20 (as against bar 4): Flute has other notes in the same rhythm"


def test_register():
    higher = ["c2e2", "g2c'2", "bagf", "e2d2", "cdef", "g2e2", "f2d2", "c4"]
    (told,) = returned((TUNE, CHORDS), MIDDLE, (higher, CHORDS)).differences
    assert (told.kind, told.parts) == ("register", ("Flute",))
    assert told.sentence == "bars 17-24 (as against bars 1-8): Flute plays the same 1 octave higher"


def test_density():
    busy = [bar if bar in ("BAGF", "CDEF") else bar.replace("2", "") + bar.replace("2", "") for bar in TUNE[:7]] + [
        "C4"
    ]
    told = returned((TUNE, CHORDS), MIDDLE, (busy, BROKEN)).differences
    assert told[0].kind == "density"
    assert told[0].sentence.startswith("bars 17-24 (as against bars 1-8): the texture is denser (")
    assert (
        told[1].sentence
        == "bars 17-18, 20 and 22-23 (as against bars 1-2, 4 and 6-7): Flute has more notes (20 for 10)"
    )


def test_accompaniment():
    told = returned((TUNE, CHORDS), MIDDLE, (TUNE, BROKEN)).differences
    assert {one.kind for one in told} <= {"accompaniment", "register", "density"}
    assert "accompaniment" in {one.kind for one in told}
    assert all(one.parts in ((), ("Guitar",)) for one in told)
    assert any("bars 17-24 (as against bars 1-8): the accompaniment in Guitar" in one.sentence for one in told)


def test_another_key():
    up = ["D2^F2", "A2d2", "^cBAG", "^F2E2", "DE^FG", "A2^F2", "G2E2", "D4"]
    below = ["[^F,A,]2[^F,A,]2", "[^F,A,]4", "[G,^C]4", "[A,D]4", "[^F,A,]4", "[A,D]4", "[B,E]2[A,^C]2", "[^F,A,]4"]
    (told,) = returned((TUNE, CHORDS), MIDDLE, (up, below)).differences
    assert told.kind == "key"
    assert told.sentence == "bars 17-24 (as against bars 1-8): in another key, D major for C major, 2 semitones higher"


def test_another_key_lower():
    down = ["G,2B,2", "D2G2", "^FEDC", "B,2A,2", "G,A,B,C", "D2B,2", "C2A,2", "G,4"]
    below = [
        "[B,,D,]2[B,,D,]2",
        "[B,,D,]4",
        "[C,^F,]4",
        "[D,G,]4",
        "[B,,D,]4",
        "[D,G,]4",
        "[E,A,]2[D,^F,]2",
        "[B,,D,]4",
    ]
    (told,) = returned((TUNE, CHORDS), MIDDLE, (down, below)).differences
    assert "in another key, G major for C major, 5 semitones lower" in told.sentence


def test_another_mode():
    minor = ["C2_E2", "G2c2", "_B_AGF", "_E2D2", "CD_EF", "G2_E2", "F2D2", "C4"]
    below = ["[_E,G,]2[_E,G,]2", "[_E,G,]4", "[F,_B,]4", "[G,C]4", "[_E,G,]4", "[G,C]4", "[_A,D]2[G,B,]2", "[_E,G,]4"]
    told = returned((TUNE, CHORDS), MIDDLE, (minor, below)).differences
    assert told[0].kind == "key"
    assert "in another mode, C minor for C major" in told[0].sentence


def test_length():
    longer = [*TUNE[:4], "EFED", "E2D2", *TUNE[4:]]
    chords = [*CHORDS[:4], "[E,G,]4", "[G,C]4", *CHORDS[4:]]
    (told,) = returned((TUNE, CHORDS), MIDDLE, (longer, chords)).differences
    assert (told.kind, told.bars) == ("length", ("21", "22"))
    assert told.sentence == "2 bars longer: bars 21-22 are added"
    shorter = [*TUNE[:5], *TUNE[6:]]
    (told,) = returned((TUNE, CHORDS), MIDDLE, (shorter, [*CHORDS[:5], *CHORDS[6:]])).differences
    assert told.sentence == "1 bar shorter: bar 6 is left out"


def test_another_player_has_the_melody():
    low = ["C,2E,2", "G,2C2", "B,A,G,F,", "E,2D,2", "C,D,E,F,", "G,2E,2", "F,2D,2", "C,4"]
    told = returned((TUNE, REST), (OTHER, REST), (REST, low)).differences
    assert told[0].kind == "players"
    assert told[0].parts == ("Flute", "Guitar")
    assert told[0].sentence == "bars 17-24 (as against bars 1-8): the melody goes from Flute to Guitar, 1 octave lower"


def test_another_player_joins():
    low = ["C,2E,2", "G,2C2", "B,A,G,F,", "E,2D,2", "C,D,E,F,", "G,2E,2", "F,2D,2", "C,4"]
    denser, told = returned((TUNE, REST), (OTHER, REST), (TUNE, low)).differences
    assert denser.kind == "density"
    assert (told.kind, told.parts) == ("players", ("Guitar",))
    assert told.sentence.endswith(": Guitar doubles the melody, 1 octave lower")


# A song of four phrases with its changes, an introduction and a coda by name, as charts are written.
CHANGES = ("Dm7", "G7", "C", "Am7", "Dm7", "E7", "Am7", "G7")
BRIDGE = ("Fmaj7", "Fm6", "Em7", "A7", "D7", "D7", "Dm7", "G7")


def bars(melody, chords):
    return "|".join(f'"{chord}"{bar}' for bar, chord in zip(melody, chords, strict=True))


THIRD = ["e2c2", "B3A", "AGAB", "c2B2", "d2cB", "^G2B2", "A3G", "d4"]


def chart(*sections):
    music = "||\n".join(sections)
    return load_score(f"X:1\nM:2/4\nL:1/8\nK:C\n{music}|]\n".encode(), cache=False)


def test_other_melody_over_the_same_chords_is_a_varied_return():
    form = find_form(chart(bars(TUNE, CHANGES), bars(THIRD, CHANGES), bars(OTHER, BRIDGE), bars(TUNE, CHANGES)))
    assert form.labels == ("A", "A'", "B", "A")
    (told,) = form.sections[1].differences
    assert told.kind == "notes"
    assert told.sentence == "bars 9-16 (as against bars 1-8): another melody, in Part 1, over the same chords"


def test_other_chords_are_told_by_bar():
    new = (*CHANGES[:6], "Ab7", "G7")
    form = find_form(chart(bars(TUNE, CHANGES), bars(OTHER, BRIDGE), bars(TUNE, new)))
    (told,) = form.sections[2].differences
    assert (told.kind, told.bars) == ("chords", ("23",))
    assert told.sentence == "bar 23 (as against bar 7): other chords, Ab7 for Am7"


def test_another_melody_over_the_same_bass_is_a_varied_return():
    """As in variations: the bass stays, the melody is another one."""
    low = ["C,4", "E,4", "F,4", "G,4", "C,4", "E,4", "G,4", "C,4"]
    form = find_form(duo((TUNE, low), (OTHER, CHORDS), (THIRD, low)))
    assert form.labels == ("A", "B", "A'")
    ground = ["C,4", "G,4", "A,4", "E,4"] * 2
    assert find_form(duo((TUNE, ground), (OTHER, ground), (THIRD, ground))).plan == "ABC"


def test_a_loop_of_chords_makes_no_return():
    loop = ("C", "Am", "F", "G") * 2
    form = find_form(chart(bars(TUNE, loop), bars(OTHER, loop), bars(THIRD, loop)))
    assert form.plan == "ABC"


def test_chords_do_not_count_by_notes_alone():
    score = chart(bars(TUNE, CHANGES), bars(THIRD, CHANGES))
    assert find_form(score, use_signs=False).plan != "AA"


@pytest.mark.parametrize("rounds", [2, 3])
def test_choruses_over_the_changes_of_a_section_are_parted(rounds):
    solo = [
        [f"{a}{b}{a}{b}" for a, b in zip("cdefgabc", line, strict=True)]
        for line in ("egbdfgac", "fgabcdef", "gabcdefg")
    ]
    choruses = "|".join(bars(line, CHANGES) for line in solo[:rounds])
    form = find_form(chart(bars(TUNE, CHANGES), bars(OTHER, BRIDGE), choruses))
    assert form.plan == "AB" + "A" * rounds
    assert [section.first_measure for section in form.sections[2:]] == ["17", "25", "33"][:rounds]


def test_introduction_and_coda_by_name_have_no_letter():
    lead = 'P:Intro\n"G7sus4"d2g2|"G7"d4|"G7sus4"d2g2|"G7"d4||\nP:A\n'
    last = 'P:Coda\n"C"c4|"F"A4|"Fm"_A4|"C"G4'
    form = find_form(
        chart(lead + bars(TUNE, CHANGES), "P:B\n" + bars(OTHER, BRIDGE), "P:A\n" + bars(TUNE, CHANGES), last)
    )
    assert form.labels == ("Intro", "A", "B", "A", "Coda")
    assert (form.sections[0].role, form.sections[-1].role) == ("introduction", "coda")
    assert form.plan == "ABA"


def test_a_chart_of_several_choruses_keeps_the_name_of_its_song():
    song = (bars(TUNE, CHANGES), bars(TUNE, CHANGES), bars(OTHER, BRIDGE), bars(TUNE, CHANGES))
    form = find_form(chart(*song, bars(THIRD, CHANGES), bars(TUNE, CHANGES)))
    assert form.plan == "AABAAA"
    assert form.name == "32-bar AABA"


def test_ritornello_of_all_between_passages_of_fewer():
    """The orchestra's passage opens, comes back in the dominant and closes; between, the soloist plays alone."""
    up = ["G2B2", "d2g2", "^fedc", "B2A2", "GABc", "d2B2", "c2A2", "G4"]
    above = ["[B,D]2[B,D]2", "[B,D]4", "[C^F]4", "[DG]4", "[B,D]4", "[DG]4", "[EA]2[D^F]2", "[B,D]4"]
    low = ["c2B2", "A2G2", "FEDE", "F2G2", "A2B2", "cBAG", "F2E2", "D4"]
    form = find_form(duo((TUNE, CHORDS), (OTHER, REST), (up, above), (low, REST), (TUNE, CHORDS)))
    assert form.plan == "ABACA"
    assert form.name == "ritornello form"
    assert [section.role for section in form.sections] == ["ritornello", "", "ritornello", "", "ritornello"]
    assert "G major for C major" in form.sections[2].changes[0]


def test_a_rondo_in_which_all_play_on_is_none():
    form = find_form(duo((TUNE, CHORDS), MIDDLE, (TUNE, CHORDS), (THIRD, LAST), (TUNE, CHORDS)))
    assert form.name == "rondo"


@pytest.mark.parametrize("bridge", [False, True])
def test_verse_and_chorus_by_name(bridge):
    """Headings name the sections; the same verse again is the same section (charts; common practice, no source)."""
    verse, chorus = "P:Verse\n" + bars(TUNE, CHANGES), "P:Chorus\n" + bars(OTHER, BRIDGE)
    middle = ["P:Bridge\n" + bars(THIRD, ("F", "G", "Em", "Am", "F", "Fm", "G", "G"))] if bridge else []
    form = find_form(chart(verse, chorus, verse, chorus, *middle, chorus))
    assert form.name == "verse and chorus"
    assert form.plan == "ABAB" + "C" * bridge + "B"
    roles = ["verse", "chorus"] * 2 + ["bridge"] * bridge + ["chorus"]
    assert [section.role for section in form.sections] == roles


def test_every_kind_of_change_is_defined():
    assert set(CHANGE_KINDS) >= {"notes", "register", "density", "accompaniment", "key", "length"}
