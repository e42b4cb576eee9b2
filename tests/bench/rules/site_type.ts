// The shape of a site, as far as types can say it.
type Day = "Mon" | "Tue" | "Wed" | "Thu" | "Fri" | "Sat" | "Sun";
type Clock = `${number}:${number}`;
type Terminal = `${string}.${"in" | "relay" | "channel"}${number}`;
type Sensor = "door-reed" | "window-reed" | "shock-sensor" | "panic-button-latching" | "tamper-loop";
type Purpose =
  | { purpose: "panic"; armed: "always" }
  | { purpose: "intrusion" | "tamper"; armed: string };
export interface Site {
  name: string;
  title: string;
  timezone: string;
  areas: string[];
  schedules: { name: string; days: [Day, Day]; from: Clock; to: Clock }[];
  controllers: { name: string; part: "panel-16-in-6-out"; cable: "pair-1.5" | "pair-2.5"; length: number }[];
  zones: (Purpose & {
    name: string; title: string; part: Sensor; area: string; input: Terminal; length: number;
    ends: string; lockout: number;
  })[];
  outputs: {
    name: string; title: string; part: "horn-12v" | "sounder-12v" | "strobe-12v"; count: number;
    area: string; relay: Terminal; length: number;
  }[];
  cameras: { name: string; part: "camera-fixed" | "camera-turning"; area: string; channel: Terminal }[];
  responses: { name: string; to: string[]; close: string[]; for: number; record: string[] }[];
  recorders: number;
}
