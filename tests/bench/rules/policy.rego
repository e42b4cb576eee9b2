# What can be said of a site's twin in a policy: names that exist, terminals used once, panic zones
# that are always armed, and the sum of the currents of a supply. Voltages along cables, readings of
# resistor networks, batteries and times of the year are arithmetic that it has no words for.
package site

import rego.v1

draws := {"horn-12v": 0.45, "sounder-12v": 0.12, "strobe-12v": 0.2}

panel_draws := 0.18

supply_gives := 10

deny contains {"rule": "unknown-area", "at": one.name} if {
	areas := {area | some area in input.areas}
	some list in ["zones", "outputs", "cameras"]
	some one in input[list]
	not one.area in areas
}

deny contains {"rule": "unknown-schedule", "at": zone.name} if {
	known := {one.name | some one in input.schedules} | {"always", "open", "shut"}
	some zone in input.zones
	not zone.armed in known
}

deny contains {"rule": "unknown-zone", "at": response.name} if {
	known := {one.name | some one in input.zones}
	some response in input.responses
	some name in response.to
	not name in known
}

deny contains {"rule": "unknown-output", "at": response.name} if {
	known := {one.name | some one in input.outputs}
	some response in input.responses
	some name in response.close
	not name in known
}

deny contains {"rule": "unknown-camera", "at": response.name} if {
	known := {one.name | some one in input.cameras}
	some response in input.responses
	some name in response.record
	not name in known
}

controller_of(terminal) := split(terminal, ".")[0]

deny contains {"rule": "unknown-controller", "at": zone.name} if {
	known := {one.name | some one in input.controllers}
	some zone in input.zones
	not controller_of(zone.input) in known
}

deny contains {"rule": "input-reused", "at": input.name} if {
	count({zone.input | some zone in input.zones}) < count(input.zones)
}

deny contains {"rule": "relay-reused", "at": input.name} if {
	count({output.relay | some output in input.outputs}) < count(input.outputs)
}

deny contains {"rule": "channel-reused", "at": input.name} if {
	count({camera.channel | some camera in input.cameras}) < count(input.cameras)
}

deny contains {"rule": "panic-not-always-armed", "at": zone.name} if {
	some zone in input.zones
	zone.purpose == "panic"
	zone.armed != "always"
}

deny contains {"rule": "supply-overload", "at": controller.name} if {
	some controller in input.controllers
	load := sum([current |
		some output in input.outputs
		controller_of(output.relay) == controller.name
		current := draws[output.part] * output.count
	])
	load + panel_draws > supply_gives
}
