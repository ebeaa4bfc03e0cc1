"""One visit with all that a report can hold, and pictures with a place in them."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from assistant.journal.records import Signed, Visit
from assistant.visiting.recorder import Recorder
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, OTHER, work_through

MAKER = 0x010F
TURN = 0x0112
PLACE = 0x8825
NORTH, LATITUDE = 1, 2
DEVICE = "Lens of somebody"


def photo(path: Path, size: tuple[int, int] = (1200, 900), *, turn: int = 1) -> Path:
    """Write a JPEG, its left half red and its right half blue, with a device, a place, a remark and a turn in it."""
    image = Image.new("RGB", size, "red")
    image.paste("blue", (size[0] // 2, 0, *size))
    told = Image.Exif()
    told[MAKER], told[TURN] = DEVICE, turn
    told.get_ifd(PLACE).update({NORTH: "N", LATITUDE: (52.0, 30.0, 11.0)})
    image.save(path, "JPEG", exif=told, comment=DEVICE.encode())
    return path


def whole_visit(recorder: Recorder, clock: Clock, *, signed: Signed = "", off_handed: bool = False) -> Visit:
    """Record five stations, one worked on and mended, one out of service, one handed over, and all else there is."""
    folder = recorder.journal.path.parent
    visit = recorder.open_visit("S-014", "Ina")
    recorder.arrive("Mr Adeyemi", "no work near the tills before ten")
    recorder.switched_off("A-0104", "the sound was too loud")
    clock.pass_(minutes=5)
    recorder.see("A-0101", "pass", model="disc")
    recorder.see("A-0102", "fault", model="pad", condition="stick drifts to the left")
    second = work_through(recorder, clock, DEMO, "A-0102", "mended", condition="stick drifts to the left", choice=0)
    recorder.part("wired pad", "used", quantity=2, work=second)
    recorder.see("A-0103", "fault", model="screen", condition="smoke from the plug")
    work_through(recorder, clock, OTHER, "A-0103", "withdrawn", condition="smoke from the plug", choice=0)
    if off_handed:
        recorder.hand_over("smoke", station="A-0103", number="J-80", taken_by="night desk", due="2026-03-03")
    recorder.incident("near_miss", "a guest reached for the warm plug", station="A-0103", told="Mr Adeyemi")
    recorder.incident("spill", "cola on the floor, wiped up")
    recorder.see("A-0104", "fault", model="screen", condition="no picture, code SC-01", plays="no")
    recorder.part("video lead", "wanted", station="A-0104")
    recorder.hand_over("no spare lead", station="A-0104", number="J-77", taken_by="early desk", due="2026-03-09")
    recorder.see("A-0105", "pass", model="vr")
    recorder.swap("A-0105", "headset", taken_out="H-1", put_in="H-2")
    recorder.photo(photo(folder / "plug.jpg"), station="A-0103", shows="the plug, unplugged")
    recorder.photo(photo(folder / "row.jpg", turn=6), shows="the row")
    recorder.remark("sign hung on the plug", station="A-0103")
    clock.pass_(minutes=3)
    recorder.close_visit("row is tidy", taken_by="Mr Adeyemi", signed=signed, next_visit="2026-03-16")
    return visit
