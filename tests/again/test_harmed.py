"""What was kept of an athlete and is no longer as it was, or cannot be kept at all."""

from __future__ import annotations

import os
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import msgspec
import numpy as np
import pytest

from again.squads import Reviewed, squad_of, written
from taperback.cli.main import app
from taperback.common.limits import LIMITS
from taperback.evidence.points import Points
from taperback.importer.store.codec import NotOursError, framed, unframed
from taperback.importer.store.place import store_path, study_path
from taperback.report.own_reports import OwnReports
from taperback.squad import codec, kept
from taperback.squad.review import review_squad


def body(path: Path) -> list:
    """What was kept, in plain values."""
    data = path.read_bytes()[32:]
    plain: list = msgspec.msgpack.decode(zlib.decompress(unframed(data)))
    return plain


def poisoned(change: Callable[[list], object]) -> Callable[[Path], None]:
    """Somebody who changes a value in bytes that are otherwise whole."""

    def harm(path: Path) -> None:
        plain = body(path)
        change(plain)
        packed = framed(zlib.compress(msgspec.msgpack.encode(plain)))
        path.write_bytes(path.read_bytes()[:32] + packed)

    return harm


def wrote(data: bytes) -> Callable[[Path], None]:
    return lambda path: path.write_bytes(path.read_bytes()[:32] + data) and None


def flipped(place: int) -> Callable[[Path], None]:
    def harm(path: Path) -> None:
        data = bytearray(path.read_bytes())
        data[place] ^= 1
        path.write_bytes(data)

    return harm


def in_its_place(make: Callable[[Path], object]) -> Callable[[Path], None]:
    def harm(path: Path) -> None:
        path.unlink()
        make(path)

    return harm


def sparse(path: Path) -> None:
    with path.open("r+b") as file:
        file.truncate(LIMITS.store.most_bytes_a_study + 1)


NAME, WEEKS, RULE, POINT_RACES, EXPOSURES, VALUES, RACES, NEXT, GAPS, NOTICES, LAST, REPORT = range(
    12
)
TWO = np.array([1.0, 2.0]).tobytes()


def rule_of(plain: list) -> dict:
    assert plain[RULE], "ada has a rule"
    rule: dict = plain[RULE]
    return rule


def page_with(plain: list, old: bytes, new: bytes) -> None:
    head, tail = plain[REPORT]["report.html"]
    assert old in head
    plain[REPORT]["report.html"] = [head.replace(old, new, 1), tail]


HARMS: dict[str, Callable[[Path], object]] = {
    "cut off": lambda path: path.write_bytes(path.read_bytes()[:9000]),
    "cut to nothing": lambda path: path.write_bytes(b""),
    "garbage behind its head": wrote(os.urandom(5000)),
    "too large": sparse,
    "a bit of the sum": flipped(33),
    "a bit of the body": flipped(900),
    "its last bit": flipped(-1),
    "a bomb": wrote(framed(zlib.compress(bytes(400_000_000), 9))),
    "more behind its end": wrote(framed(zlib.compress(b"\x90") + b"more")),
    "nested without end": wrote(framed(zlib.compress(b"\x91" * 100_000))),
    "a pickle": wrote(framed(zlib.compress(b"cos\nsystem\n(S'true'\ntR."))),
    "a pipe": in_its_place(os.mkfifo),
    "a link": in_its_place(lambda path: path.symlink_to("/etc/hostname")),
    "a link to a device": in_its_place(lambda path: path.symlink_to("/dev/zero")),
    "a name that is a number": poisoned(lambda p: p.__setitem__(NAME, 7)),
    "a column that we do not give": poisoned(lambda p: p[WEEKS]["columns"][4].__setitem__(0, "x")),
    "a column twice": poisoned(lambda p: p[WEEKS]["columns"].append(p[WEEKS]["columns"][0])),
    "a column too short": poisoned(lambda p: p[WEEKS]["columns"][4].__setitem__(2, [])),
    "a column of a kind of pickles": poisoned(
        lambda p: p[WEEKS]["columns"][4].__setitem__(1, "category")
    ),
    "a number beyond all measure": poisoned(
        lambda p: p[WEEKS]["columns"][4].__setitem__(2, [1e300] * len(p[WEEKS]["columns"][4][2]))
    ),
    "a day beyond every calendar": poisoned(
        lambda p: p[RACES].append({"name": "", "day": "9999-01-01", "flags": [], "looked_at": True})
    ),
    "more results than races": poisoned(lambda p: p.__setitem__(VALUES, TWO * 9)),
    "half a number": poisoned(lambda p: p.__setitem__(VALUES, b"123")),
    "a result that is unknown": poisoned(
        lambda p: p.__setitem__(VALUES, np.full(len(p[POINT_RACES]), np.nan).tobytes() or b"1")
    ),
    "exposures of another shape": poisoned(lambda p: p.__setitem__(EXPOSURES, TWO[:8] * 3)),
    "a rule of other factors": poisoned(lambda p: rule_of(p)["parts"].pop(0)),
    "a strength that there is not": poisoned(
        lambda p: rule_of(p)["parts"][0].__setitem__("strength", "certain")
    ),
    "a cut of everything and more": poisoned(
        lambda p: rule_of(p)["parts"][0].__setitem__("high", 7.0)
    ),
    "a gap in another measure": poisoned(
        lambda p: p[GAPS].append(
            dict.fromkeys(("race_id", "race", "measure", "label", "reason", "remedy"), "x")
            | {"lost_to": []}
        )
    ),
    "a remark of another level": poisoned(
        lambda p: p[NOTICES].append(
            dict.fromkeys(("file", "column", "code", "found", "remedy", "level"), "x") | {"row": 1}
        )
    ),
    "a file that leads out": poisoned(lambda p: p[REPORT].__setitem__("../../../x", [b"x"])),
    "a file less": poisoned(lambda p: p[REPORT].pop("study.json")),
    "a script before the page": poisoned(
        lambda p: page_with(p, b"<!DOCTYPE html>", b"<!DOCTYPE html><script>alert(1)</script>")
    ),
    "a page that lets anything run": poisoned(
        lambda p: page_with(p, b"default-src &#39;none&#39;", b"default-src *")
    ),
}


@pytest.mark.parametrize("harm", HARMS.values(), ids=HARMS)
def test_what_cannot_be_ours_is_dropped_with_one_remark_and_made_anew(
    athletes: Path, tmp_path: Path, harm: Callable[[Path], object], reviewed: Reviewed
) -> None:
    out = tmp_path / "out"
    review_squad(athletes, workers=1, reports=OwnReports(out))
    whole = written(out)
    path = study_path(athletes / "ada", "result")
    assert path is not None
    harm(path)
    reviewed.clear()
    squad = review_squad(athletes, workers=1, reports=OwnReports(out))
    assert reviewed == ["ada"]
    assert list(map(str, squad.remarks)) == [
        "cache of what was read: what was kept of an athlete could not be read, so the athlete was "
        "reviewed anew"
    ]
    assert written(out) == whole
    again = review_squad(athletes, workers=1, reports=OwnReports(out))
    assert (reviewed, again.remarks) == (["ada"], ())


def test_a_stale_one_is_no_fault(athletes: Path, tmp_path: Path, reviewed: Reviewed) -> None:
    squad_of(athletes, tmp_path / "out")
    path = study_path(athletes / "ada", "result")
    assert path is not None
    for harm in (flipped(3), lambda path: path.write_bytes(os.urandom(5000))):
        harm(path)
        reviewed.clear()
        squad = review_squad(athletes, workers=1)
        assert (reviewed, squad.remarks) == (["ada"], ())


def test_with_no_place_to_keep_anything_all_are_reviewed_as_ever(
    athletes: Path, tmp_path: Path, reviewed: Reviewed, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "in the way").write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "in the way"))
    reviewed.clear()
    told = [review_squad(athletes, workers=1).members[0].notices for _ in range(2)]
    assert reviewed == ["ada", "bo"] * 2
    assert told == [(), ()]


def test_a_kept_study_is_one_file_for_the_user_alone_beside_the_store(
    athletes: Path, tmp_path: Path
) -> None:
    squad_of(athletes, tmp_path / "out")
    study, store = study_path(athletes / "ada", "result"), store_path(athletes / "ada")
    assert study is not None and store is not None
    assert study.parent == store.parent
    assert study.stat().st_mode & 0o777 == 0o600
    assert study.parent.stat().st_mode & 0o777 == 0o700
    assert not list(study.parent.glob(".*")), "nothing is left half-written"


def test_whoever_is_called_with_every_study_is_called(athletes: Path, reviewed: Reviewed) -> None:
    review_squad(athletes, workers=1)
    reviewed.clear()
    seen: list[str] = []
    review_squad(athletes, workers=1, each=lambda key, _: seen.append(key))
    assert seen == reviewed == ["ada", "bo"]


def test_what_cannot_be_kept_is_of_use_once(
    athletes: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, reviewed: Reviewed
) -> None:
    for path in athletes.iterdir():
        kept.forget(path, "result")
    monkeypatch.setitem(vars(LIMITS.store), "most_bytes_a_study", 1000)
    first, second = (squad_of(athletes, tmp_path / "out") for _ in range(2))
    assert first == second
    assert reviewed == ["ada", "bo"] * 2


def test_a_member_with_a_result_beyond_all_measure_is_not_packed(athletes: Path) -> None:
    member = review_squad(athletes, workers=1).members[0]
    wild = Points((("a",),), np.zeros((1, 4)), np.array([np.inf]), np.zeros(1))
    with pytest.raises(NotOursError):
        codec.pack(replace(member, points=wild), {})


def test_the_command_says_the_remark_and_ends_as_ever(
    athletes: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    squad_of(athletes, tmp_path / "out")
    path = study_path(athletes / "ada", "result")
    assert path is not None
    path.write_bytes(b"x")
    words = ["squad", str(athletes), "--out", str(tmp_path / "out"), "--workers", "1"]
    app(words, standalone_mode=False)
    told = capsys.readouterr().err.splitlines()
    assert [line for line in told if "kept" in line] == [
        "cache of what was read: what was kept of an athlete could not be read, so the athlete was "
        "reviewed anew"
    ]
