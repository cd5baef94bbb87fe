"""Ties: which note goes on in which, and notes with their ties joined.

Conventions: a tie joins notes of the same sounding pitch in the same part where one ends as the other begins, in the
same voice if it can, else in another (voices are often exchanged at a barline). A tie that leads to no such note is
none; after a repeat sign it is the note that is played next that counts.
"""

import numpy as np

from musictheory_nb.score.note_table import COLUMNS, KINDS, NoteTable, Ticks

_AT = {name: at for at, name in enumerate(COLUMNS)}


def tie_links(table: NoteTable) -> Ticks:
    """Return for each row the row that it is tied to, -1 for none."""
    links = np.full(len(table), -1, dtype=np.int64)
    ties = table.column("tie")
    if not ties.any():
        return links
    part, voice, staff = (table.column(name).tolist() for name in ("part", "voice", "staff"))
    start, duration = table.column("start").tolist(), table.column("duration").tolist()
    chromatic, kind = table.chromatic.tolist(), table.column("kind").tolist()
    waiting: dict[tuple[int, int, int], list[int]] = {}
    for row in np.nonzero(ties & 2)[0].tolist():
        if kind[row] == KINDS.index("note"):
            waiting.setdefault((part[row], chromatic[row], start[row]), []).append(row)
    for row in np.nonzero(ties & 1)[0].tolist():
        rows = waiting.get((part[row], chromatic[row], start[row] + duration[row]))
        if rows and kind[row] == KINDS.index("note"):
            near = [other for other in rows if other != row]
            if near:
                best = min(near, key=lambda other: (voice[other] != voice[row], staff[other] != staff[row], other))
                links[row] = best
                rows.remove(best)
    return links


def without_loose_ties(table: NoteTable) -> NoteTable:
    """Return the table with only those ties marked that join two of its notes."""
    links = tie_links(table)
    columns = table.columns.copy()
    starts = links >= 0
    stops = np.zeros(len(table), dtype=bool)
    stops[links[starts]] = True
    columns[_AT["tie"]] = starts * 1 + stops * 2
    return NoteTable(columns, table.ticks_per_quarter)


def struck_rows(table: NoteTable) -> Ticks:
    """Return the rows that are struck, not tied to from before: row by row those that `joined` keeps."""
    struck = np.ones(len(table), dtype=bool)
    links = tie_links(table)
    struck[links[links >= 0]] = False
    rows: Ticks = np.nonzero(struck)[0]
    return rows


def joined(table: NoteTable) -> NoteTable:
    """Return the table with each chain of tied notes as one note, as long as all together.

    It keeps place, voice and spelling of the first; none of the notes is marked as tied any more.
    """
    links = tie_links(table)
    columns = table.columns.copy()
    durations = columns[_AT["duration"]]
    keep = np.ones(len(table), dtype=bool)
    # From the last note backwards, so that each chain is summed up in its first note.
    for row in np.nonzero(links >= 0)[0][np.argsort(-table.column("start")[links >= 0], kind="stable")].tolist():
        durations[row] += durations[links[row]]
        keep[links[row]] = False
    columns[_AT["tie"]] = 0
    return NoteTable(np.ascontiguousarray(columns[:, keep]), table.ticks_per_quarter)
