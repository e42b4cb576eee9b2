-- How the checker is started; change it with `vim.lsp.config('curtilage', { ... })`.
return {
  cmd = { 'curtilage', 'serve' },
  filetypes = { 'curtilage' },
  root_markers = { 'workspace.site', '.git' },
  -- Figures at the ends of lines, each kind by itself.
  settings = {
    curtilage = {
      hints = { load = true, voltage = true, hours = true, reading = true, standby = true },
    },
  },
}
