"""The shape of a site, as far as types can say it."""

from typing import Literal, TypedDict

Day = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
Schedule = TypedDict("Schedule", {"name": str, "days": list[Day], "from": str, "to": str})
Response = TypedDict(
    "Response",
    {"name": str, "to": list[str], "close": list[str], "for": int, "record": list[str]},
)


class Controller(TypedDict):
    name: str
    part: Literal["panel-16-in-6-out"]
    cable: Literal["pair-1.5", "pair-2.5"]
    length: float


class Zone(TypedDict):
    name: str
    title: str
    part: Literal["door-reed", "window-reed", "shock-sensor", "panic-button-latching", "tamper-loop"]
    purpose: Literal["intrusion", "panic", "tamper"]
    area: str
    input: str
    length: float
    ends: str
    armed: str
    lockout: int


class Output(TypedDict):
    name: str
    title: str
    part: Literal["horn-12v", "sounder-12v", "strobe-12v"]
    count: int
    area: str
    relay: str
    length: float


class Camera(TypedDict):
    name: str
    part: Literal["camera-fixed", "camera-turning"]
    area: str
    channel: str


class Site(TypedDict):
    name: str
    title: str
    timezone: str
    areas: list[str]
    schedules: list[Schedule]
    controllers: list[Controller]
    zones: list[Zone]
    outputs: list[Output]
    cameras: list[Camera]
    responses: list[Response]
    recorders: int
