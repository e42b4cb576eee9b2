vim.filetype.add({ extension = { site = 'curtilage' } })
