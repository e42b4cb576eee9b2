-- Neovim 0.11 starts language servers by itself; older ones need their own start (see README.md).
if vim.lsp.enable and vim.g.curtilage_serve ~= false then
  vim.lsp.enable('curtilage')
end
