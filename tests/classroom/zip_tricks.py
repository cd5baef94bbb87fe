"""Zips that try something, each with what the report says of it.

Forms of zips: PKWARE APPNOTE 6.3.10 (flags, external attributes, end of the table of contents), as Python's `zipfile` writes them.
"""

import io
import stat
import zipfile

LINK = (stat.S_IFLNK | 0o777) << 16


def zipped(*files, **more):
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files:
            archive.writestr(name, content)
    return data.getvalue()


def contents(folder):
    return [(path.name, path.read_bytes()) for path in sorted(folder.iterdir())]


def encrypted(home):
    data = bytearray(zipped(("a.ipynb", b"{}")))
    at = data.find(b"PK\x01\x02")
    data[at + 8] |= 1
    return bytes(data)


def with_link(home):
    info = zipfile.ZipInfo("a.ipynb")
    info.external_attr = LINK
    return zipped((info, "/etc/passwd"))


def bomb(home):
    return zipped(("a.ipynb", b" " * (65 * 1024 * 1024)))


def lying_bomb(home):
    data = bytearray(zipped(("a.ipynb", b" " * (66 * 1024 * 1024))))
    at = data.find(b"PK\x01\x02")
    data[at + 24 : at + 28] = (100).to_bytes(4, "little")
    return bytes(data)


def many(home):
    return zipped(*((f"{number}.ipynb", b"") for number in range(1001)))


def cut_off(home):
    return zipped(*contents(home))[:-40]


def deep(home):
    data = zipped(("a.ipynb", b"{}"))
    for _ in range(4):
        data = zipped(("inner.zip", data))
    return data


def damaged(home):
    data = bytearray(zipped(("a.ipynb", bytes(range(256)) * 8)))
    data[60:90] = b"\xff" * 30
    return bytes(data)


TRICKS = [
    (lambda home: zipped(("../evil.ipynb", b"{}")), "'../evil.ipynb' is a path that leads out of the zip"),
    (lambda home: zipped(("/etc/evil.ipynb", b"{}")), "leads out of the zip"),
    (lambda home: zipped(("C:\\evil.ipynb", b"{}")), "leads out of the zip"),
    (lambda home: zipped(("a/../../evil.ipynb", b"{}")), "leads out of the zip"),
    (with_link, "hw.zip/a.ipynb is a link; it was not followed"),
    (encrypted, "a.ipynb is encrypted; have it handed in without a password"),
    (bomb, "at most"),
    (lying_bomb, "hw.zip"),
    (many, "holds 1001 files; at most 1000 are looked at"),
    (cut_off, "hw.zip is no zip, or its end is missing"),
    (lambda home: b"", "hw.zip is no zip"),
    (deep, "is a zip in a zip; it was not opened"),
    (damaged, "cannot be unpacked"),
    (
        lambda home: zipped(("music21.py", "raise SystemExit")),
        "music21.py lies beside the notebook; it was neither run",
    ),
]
