-- Neovim with our plug-in. Run by `run`; FOLDER has a copy of the site, RESULTS gets what was found.

local folder, here = vim.env.CLIENT_SITE, vim.env.CLIENT_HOME
local expected = vim.json.decode(table.concat(vim.fn.readfile(here .. '/expected.json'), '\n'))
local results, failed = {}, false
local patience = 20000

local function check(name, run)
  local fine, why = xpcall(run, function(message) return tostring(message) end)
  failed = failed or not fine
  table.insert(results, (fine and 'ok    ' or 'FAILED ') .. name .. (fine and '' or ': ' .. why))
end

local function wait(what, condition)
  if not vim.wait(patience, condition, 20) then
    error('waited in vain for ' .. what, 0)
  end
end

local function open(file)
  vim.cmd.edit(folder .. '/' .. file)
  return vim.api.nvim_get_current_buf()
end

-- Puts the cursor where a text stands.
local function go(buffer, at)
  for number, line in ipairs(vim.api.nvim_buf_get_lines(buffer, 0, -1, false)) do
    local column = line:find(at[1], 1, true)
    if column then
      vim.api.nvim_win_set_cursor(0, { number, column - 1 + at[2] })
      return
    end
  end
  error('`' .. at[1] .. '` is not in the file', 0)
end

local function rules(buffer)
  local found = {}
  for _, diagnostic in ipairs(vim.diagnostic.get(buffer)) do
    table.insert(found, (diagnostic.lnum + 1) .. ' ' .. tostring(diagnostic.code))
  end
  table.sort(found)
  return found
end

local function has_rule(buffer, rule)
  return vim.iter(rules(buffer)):any(function(found) return found:find(rule, 1, true) ~= nil end)
end

local function ask(buffer, method, more)
  local params = vim.lsp.util.make_position_params(0, 'utf-16')
  local answers = vim.lsp.buf_request_sync(buffer, method, vim.tbl_extend('force', params, more or {}), patience)
  for _, answer in pairs(answers or {}) do
    if answer.err then error(vim.inspect(answer.err), 0) end
    return answer.result
  end
  error('no answer to ' .. method, 0)
end

local function line(buffer, number)
  return vim.api.nvim_buf_get_lines(buffer, number - 1, number, false)[1]
end

local site = open(expected.site)

check('the file has its type and a client', function()
  assert(vim.bo.filetype == 'curtilage', 'file type ' .. vim.bo.filetype)
  wait('a client', function() return #vim.lsp.get_clients({ bufnr = site }) == 1 end)
end)

check('diagnostics with rule and line', function()
  local want = vim.tbl_map(function(d) return d.line .. ' ' .. d.rule end, expected.diagnostics)
  wait('diagnostics', function() return #vim.diagnostic.get(site) >= #want end)
  assert(vim.deep_equal(rules(site), want), vim.inspect(rules(site)))
end)

check('colours', function()
  if vim.env.CURTILAGE_PARSER then
    local parser = assert(vim.treesitter.get_parser(site, 'curtilage'))
    assert(not parser:parse()[1]:root():has_error(), 'the tree has an error')
    for _, query in ipairs({ 'highlights', 'folds', 'indents', 'locals', 'injections' }) do
      assert(vim.treesitter.query.get('curtilage', query), 'no ' .. query)
    end
    wait('highlights', function()
      local captures = vim.treesitter.get_captures_at_pos(site, 3, 0)
      return vim.iter(captures):any(function(c) return c.capture == 'keyword' end)
    end)
    assert(vim.fn.foldlevel(5) == 1, 'line 5 is in no fold')
  end
  -- The fallback.
  vim.cmd('syntax on')
  vim.bo[site].syntax = 'curtilage'
  local group = vim.fn.synIDattr(vim.fn.synID(4, 1, 1), 'name')
  assert(group == 'curtilageItem', 'line 4 begins with ' .. group)
end)

check('hover', function()
  for _, hover in ipairs(expected.hover) do
    go(site, hover.at)
    local answer = ask(site, 'textDocument/hover')
    local text = answer and vim.inspect(answer.contents) or 'nothing'
    assert(text:find(hover.says, 1, true), hover.at[1] .. ' says ' .. text)
  end
end)

check('completion', function()
  for _, complete in ipairs(expected.complete) do
    go(site, complete.at)
    local answer = ask(site, 'textDocument/completion', { context = { triggerKind = 1 } })
    local labels = vim.tbl_map(function(item) return item.label end, answer.items or answer)
    local all = table.concat(labels, ' ')
    local function offered(word)
      return vim.iter(labels):any(function(label) return label == word or vim.endswith(label, '.' .. word) end)
    end
    assert(offered(complete.offers), complete.offers .. ' is not in ' .. all)
    assert(not offered(complete.hides), complete.hides .. ' is in ' .. all)
  end
end)

check('figures at the ends of lines', function()
  vim.lsp.inlay_hint.enable(true, { bufnr = site })
  wait('hints', function() return #vim.lsp.inlay_hint.get({ bufnr = site }) > 0 end)
end)

check('definition in another file', function()
  go(site, expected.definition.at)
  vim.lsp.buf.definition()
  wait('the jump', function()
    return vim.endswith(vim.api.nvim_buf_get_name(0), expected.definition.file)
  end)
  local row = vim.api.nvim_win_get_cursor(0)[1]
  assert(row == expected.definition.line, 'line ' .. row)
  vim.api.nvim_set_current_buf(site)
end)

check('a fix is made', function()
  local fix = expected.fix
  go(site, fix.at)
  vim.lsp.buf.code_action({
    apply = true,
    filter = function(action) return action.title:find(fix.title, 1, true) ~= nil end,
  })
  wait('the edit', function() return line(site, fix.line) == fix.becomes end)
  wait('its finding to go', function() return not has_rule(site, fix.mends) end)
end)

check('the file is formatted', function()
  vim.lsp.buf.format({ timeout_ms = patience })
  local format = expected.format
  assert(line(site, format.line) == format.becomes, line(site, format.line))
end)

check('unsaved text of another file wins', function()
  local parts = open(expected.parts)
  local text = table.concat(vim.api.nvim_buf_get_lines(parts, 0, -1, false), '\n')
  local at = assert(text:find(expected.unsaved.from, 1, true))
  local changed = text:sub(1, at - 1) .. expected.unsaved.to .. text:sub(at + #expected.unsaved.from)
  vim.api.nvim_buf_set_lines(parts, 0, -1, false, vim.split(changed, '\n'))
  wait('the finding to go', function() return not has_rule(site, expected.unsaved.mends) end)
  assert(vim.bo[parts].modified, 'it was saved')
  vim.cmd('silent undo')
  wait('the finding to return', function() return has_rule(site, expected.unsaved.mends) end)
  vim.api.nvim_set_current_buf(site)
end)

check('rename in both files', function()
  local rename = expected.rename
  go(site, rename.at)
  vim.lsp.buf.rename(rename.to)
  local function all_in(buffer, lines)
    local text = table.concat(vim.api.nvim_buf_get_lines(buffer, 0, -1, false), '\n')
    return vim.iter(lines):all(function(wanted) return text:find(wanted, 1, true) ~= nil end)
  end
  wait('the new name here', function() return all_in(site, rename.site) end)
  local parts = vim.fn.bufnr(folder .. '/' .. expected.parts)
  wait('the new name there', function() return all_in(parts, rename.parts) end)
end)

check('the server ends when it is told to', function()
  local client = vim.lsp.get_clients({ bufnr = site })[1]
  client:stop()
  wait('its end', function() return client:is_stopped() end)
end)

vim.fn.writefile(results, vim.env.CLIENT_RESULTS)
vim.cmd(failed and 'cquit 1' or 'qall!')
