"""Reads calendars with a library that others wrote and says what is in them, as JSON."""

import json
import pathlib
import sys

import icalendar


def told(event):
    return {
        "uid": str(event["UID"]),
        "summary": str(event["SUMMARY"]),
        "description": str(event["DESCRIPTION"]),
        "start": event.decoded("DTSTART").isoformat(),
        "end": event.decoded("DTEND").isoformat(),
        "stamp": event.decoded("DTSTAMP").isoformat(),
        "sequence": int(event["SEQUENCE"]),
        "status": str(event["STATUS"]),
        "errors": [str(error) for error in event.errors],
    }


def main(folder):
    found = {}
    for file in sorted(pathlib.Path(folder).glob("*.ics")):
        raw = file.read_bytes()
        # RFC 5545, 3.1: lines end with CRLF and are no longer than 75 octets.
        assert raw.count(b"\n") == raw.count(b"\r\n"), "a line ends without CR"
        longest = max(len(line) for line in raw.split(b"\r\n"))
        assert longest <= 75, f"a line of {longest} octets"
        calendar = icalendar.Calendar.from_ical(raw)
        assert str(calendar["VERSION"]) == "2.0"
        assert calendar["PRODID"]
        assert not calendar.errors, calendar.errors
        found[file.stem] = [told(event) for event in calendar.walk("VEVENT")]
    print(json.dumps(found))


main(sys.argv[1])
