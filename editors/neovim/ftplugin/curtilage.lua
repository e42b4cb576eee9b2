vim.bo.commentstring = '# %s'
vim.bo.comments = ':#'
-- A hyphen belongs to a name: `dock-door` is one word.
vim.opt_local.iskeyword:append('-')
vim.bo.shiftwidth = 4
vim.bo.expandtab = true

-- With a parser, tree-sitter colours and folds; without one, syntax/curtilage.vim colours.
if pcall(vim.treesitter.start) then
  vim.wo[0][0].foldmethod = 'expr'
  vim.wo[0][0].foldexpr = 'v:lua.vim.treesitter.foldexpr()'
  vim.wo[0][0].foldlevel = 99
end

vim.b.undo_ftplugin = 'setlocal commentstring< comments< iskeyword< shiftwidth< expandtab<'
