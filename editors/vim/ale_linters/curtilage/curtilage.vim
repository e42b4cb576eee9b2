call ale#Set('curtilage_executable', 'curtilage')
call ale#Set('curtilage_config', {})

call ale#linter#Define('curtilage', {
\ 'name': 'curtilage',
\ 'lsp': 'stdio',
\ 'executable': function('curtilage#Executable'),
\ 'command': '%e serve',
\ 'language': 'curtilage',
\ 'project_root': function('curtilage#Root'),
\ 'completion_filter': 'curtilage#Completes',
\ 'lsp_config': {b -> {'curtilage': ale#Var(b, 'curtilage_config')}},
\})
