(block) @indent.begin
(block "}" @indent.branch @indent.end)
(comment) @indent.ignore
(ERROR "{" @indent.begin)
