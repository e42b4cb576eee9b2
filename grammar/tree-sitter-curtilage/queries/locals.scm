(source_file) @local.scope

; Items.
(supply name: (name) @local.definition.var)
(controller name: (name) @local.definition.var)
(relay name: (name) @local.definition.var)
(cable name: (name) @local.definition.var)
(zone name: (name) @local.definition.var)
(output name: (name) @local.definition.var)
(camera name: (name) @local.definition.var)
(schedule name: (name) @local.definition.var)
(part name: (name) @local.definition.type)
(site name: (name) @local.definition.namespace)
(policy name: (name) @local.definition.namespace)
(response name: (name) @local.definition.function)
(use_item file: (string) @local.definition.import)

; Areas, people, taps, presets, terminals.
(statement name: (name) @local.definition.field)

(reference) @local.reference
(path thing: (reference) @local.reference)
