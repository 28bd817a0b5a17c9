"""The calendar file, read back by another library (vobject) and by the standard."""

from dataclasses import replace
from datetime import date, timedelta

import vobject
from builders import make_season

from propsched.advice.job import Job
from propsched.report.calendar import calendar

TODAY = date(2027, 2, 5)
SOW = Job(
    date=date(2027, 2, 6),
    kind="sow",
    batch="leek",
    crop="leek",
    what="Sow leek; 2 × tray, “Musselburgh” → propagator\nat once, " + "x" * 90,
    space="propagator",
    containers=2,
    container="tray",
    minutes=10,
    caution="Wash hands; it stains, a little",
    stage="start",
)
LOOK = Job(
    date=date(2027, 2, 6),
    kind="look daily",
    what="Look daily for seedlings",
    space="propagator",
    until=date(2027, 2, 9),
)


def read(jobs: list[Job], today: date = TODAY) -> list[vobject.base.Component]:
    text = calendar(make_season(), jobs, today=today).decode()
    return list(vobject.readOne(text).contents["vevent"])


def test_lines_are_folded_and_ended_as_the_standard_asks() -> None:
    """RFC 5545, 3.1: lines end in CR LF and have 75 octets at most."""
    raw = calendar(make_season(), [SOW, LOOK], today=TODAY)
    lines = raw.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 for line in lines)
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert lines[0] == b"BEGIN:VCALENDAR"
    assert b"VERSION:2.0" in lines
    assert any(line.startswith(b"PRODID:") for line in lines)


def test_a_job_is_an_event_of_its_day() -> None:
    (event,) = read([SOW])
    assert event.dtstart.value == date(2027, 2, 6)
    assert event.dtend.value == date(2027, 2, 7), "the end is not part of it (3.6.1)"
    assert event.summary.value == SOW.what.replace("\n", " ")
    assert event.location.value == "propagator"
    assert "Take care: Wash hands; it stains, a little" in event.description.value


def test_a_duty_reaches_over_its_days() -> None:
    (event,) = read([LOOK])
    assert event.dtend.value - event.dtstart.value == timedelta(days=4)


def test_imported_again_an_event_moves() -> None:
    """Same identifier, later sequence and stamp, another day (RFC 5545, 3.8.4.7)."""
    (before,) = read([SOW])
    later = replace(SOW, date=date(2027, 2, 13), space="bench", what="Sow leek → bench")
    (after,) = read([later], today=date(2027, 2, 12))
    assert after.uid.value == before.uid.value
    assert int(after.sequence.value) > int(before.sequence.value)
    assert after.dtstamp.value > before.dtstamp.value
    assert after.dtstart.value > before.dtstart.value


def test_identifiers_tell_jobs_apart() -> None:
    jobs = [
        SOW,
        replace(SOW, batch="onion"),
        replace(SOW, kind="prick out", stage="prick-out"),
        LOOK,
        replace(LOOK, date=date(2027, 3, 6), until=None),
        replace(LOOK, space="bench"),
        replace(LOOK, what="Look daily for other seedlings"),
    ]
    found = [event.uid.value for event in read(jobs)]
    assert len(set(found)) == len(jobs)


def test_the_same_jobs_give_the_same_bytes() -> None:
    one = calendar(make_season(), [SOW, LOOK], today=TODAY)
    assert one == calendar(make_season(), [SOW, LOOK], today=TODAY)


def test_a_name_cannot_add_lines() -> None:
    nasty = "leek\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:mine"
    (event,) = read([replace(SOW, what=nasty, batch=nasty, space=nasty)])
    assert event.summary.value == " ".join(nasty.replace("\r\n", "  ").split(" "))
