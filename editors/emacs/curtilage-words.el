;;; curtilage-words.el --- words of Curtilage sites  -*- lexical-binding: t; -*-

;; Made by: cargo test -p curtilage-grammar --test fresh

;;; Code:

(defconst curtilage-item-words
  '("allow" "cable" "camera" "controller" "measured" "output" "part"
    "policy" "recording" "rehearsal" "relay" "response" "schedule" "site"
    "supply" "use" "zone")
  "Words that begin an item.")

(defconst curtilage-statement-words
  '("active" "after" "ageing" "alarm-time" "also" "ambient" "area" "armed"
    "bare" "battery" "bit-rate" "carries" "channels" "charges" "close"
    "coil" "commons" "conductor" "confirmed" "contact" "contacts" "cores"
    "disturbed" "draws" "drops" "during" "empty" "ends" "entry" "except"
    "exit" "expect" "fed" "follows" "from" "fuse" "gives" "holds"
    "holidays" "idles" "inductive" "input" "inputs" "inrush" "inside"
    "joint" "keep" "lamp" "level" "lockout" "loudness" "mode" "motion"
    "move" "occupied" "on-time" "open" "outlets" "panic" "people"
    "peukert" "plain-sum" "preset" "pulls" "pulse" "purpose" "reaches"
    "recharge" "record" "registers" "relay" "relays" "repeats"
    "resistance" "resistive" "rests" "retention" "runs" "settle" "settles"
    "show" "sound" "sounder-run" "spare" "standby" "store" "suppressed"
    "tamper" "tap" "tell" "through" "timezone" "voltage" "waste" "wired")
  "Words that begin a statement.")

(defconst curtilage-choice-words
  '("AC-12" "AC-13" "AC-14" "AC-15" "DC-12" "DC-13" "DC-14" "Fri" "Mon"
    "Sat" "Sun" "Thu" "Tue" "Wed" "above" "ac" "across" "activation"
    "always" "an" "armed" "as" "automatic" "battery" "below" "break"
    "cable" "camera" "changeover" "closed" "closing" "command" "constant"
    "continuous" "controller" "current" "cut" "dc" "end" "error" "events"
    "floating" "forced" "heat" "hint" "hold" "inductive" "intrusion"
    "joint" "joints" "lamp" "light" "load" "lockout" "longer" "loss"
    "lost" "make" "minus" "motion" "on-battery" "open" "opening" "panic"
    "plus" "power" "recorded" "registers" "registration" "relay"
    "resistive" "resting" "retriggered" "returns" "running" "says"
    "sensor" "shorted" "sound" "store" "supervised" "tampered" "technical"
    "then" "told" "warning" "zone")
  "Words of which one is chosen.")

(defconst curtilage-small-words
  '("active" "after" "all" "and" "any" "arming" "at" "because" "before"
    "by" "class" "common" "cores" "drives" "during" "each" "every"
    "factor" "for" "from" "held" "holidays" "in" "is" "least" "most"
    "never" "none" "not" "of" "off" "on" "once" "out" "over" "per"
    "pull-up" "restored" "rests" "start" "supply" "suppressed" "tamper"
    "the" "time" "times" "to" "twice" "until" "way" "while" "within")
  "Words between values.")

(defconst curtilage-units
  '("%" "A" "AWG" "Ah" "B" "GB" "MB" "Mbit/s" "Mohm" "MΩ" "MΩ" "TB" "V"
    "VA" "W" "awg" "bit/s" "cm" "d" "dB" "day" "days" "degC" "ft" "h"
    "hour" "hours" "hoµr" "hoµrs" "hoμr" "hoμrs" "kB" "kV" "kW"
    "kbit/s" "km" "kohm" "kΩ" "kΩ" "m" "mA" "mAh" "mV" "mW" "min"
    "minute" "minutes" "minµte" "minµtes" "minμte" "minμtes" "mm"
    "mm2" "mm^2" "mm²" "mohm" "mohm/m" "ms" "mΩ" "mΩ/m" "mΩ" "mΩ/m"
    "ohm" "ohm/kft" "ohm/km" "ohm/m" "s" "second" "seconds" "sqmm" "uA"
    "uV" "°C" "µA" "µV" "Ω" "Ω/kft" "Ω/km" "Ω/m" "μA" "μV" "Ω"
    "Ω/kft" "Ω/km" "Ω/m")
  "Units.")

(provide 'curtilage-words)
;;; curtilage-words.el ends here
