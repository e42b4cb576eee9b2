" Vim with ALE and our plug-in. Run by `run`: vim -u NONE -N -es -S vim.vim

set nocompatible nomore hidden noswapfile
let s:here = $CLIENT_HOME
let s:folder = $CLIENT_SITE
let s:expected = json_decode(join(readfile(s:here . '/expected.json'), "\n"))
let s:results = []
let s:failed = 0
let s:patience = 200

execute 'set runtimepath^=' . fnamemodify(s:here . '/../../editors/vim', ':p')
for s:ale in ['/usr/share/vim-ale', $CLIENT_ALE]
  if isdirectory(s:ale . '/ale_linters')
    execute 'set runtimepath+=' . s:ale
    break
  endif
endfor
let g:ale_lint_delay = 0
let g:ale_hover_to_preview = 1
let g:ale_set_highlights = 0
let g:ale_set_signs = 0
filetype plugin on
syntax on
runtime! plugin/ale.vim
runtime! ftdetect/curtilage.vim

function! s:Check(name, run) abort
  try
    call a:run()
    call add(s:results, 'ok    ' . a:name)
  catch
    let s:failed = 1
    call add(s:results, 'FAILED ' . a:name . ': ' . v:exception . ' at ' . v:throwpoint)
  endtry
endfunction

" Waits for a condition; jobs are served meanwhile.
function! s:Wait(what, condition) abort
  let l:left = s:patience
  while !a:condition()
    if l:left <= 0
      throw 'waited in vain for ' . a:what
    endif
    let l:left -= 1
    sleep 100m
  endwhile
endfunction

function! s:Open(file) abort
  execute 'edit ' . fnameescape(s:folder . '/' . a:file)
  return bufnr('')
endfunction

function! s:Go(at) abort
  call cursor(1, 1)
  if search('\V' . escape(a:at[0], '\'), 'cW') == 0
    throw '`' . a:at[0] . '` is not in the file'
  endif
  call cursor(line('.'), col('.') + a:at[1])
endfunction

function! s:Rules(buffer) abort
  let l:list = get(get(g:ale_buffer_info, a:buffer, {}), 'loclist', [])
  return sort(map(copy(l:list), {_, found -> found.lnum . ' ' . get(found, 'code', '?')}))
endfunction

function! s:Has(buffer, rule) abort
  return join(s:Rules(a:buffer)) =~# a:rule
endfunction

function! s:Settle() abort
  " A line that was changed by a program starts no check by itself.
  call ale#Queue(0)
endfunction

let s:site = s:Open(s:expected.site)

function! s:Diagnostics() abort
  if &filetype !=# 'curtilage'
    throw 'file type ' . &filetype
  endif
  call s:Settle()
  let l:want = map(copy(s:expected.diagnostics), {_, d -> d.line . ' ' . d.rule})
  call s:Wait('diagnostics', {-> len(s:Rules(s:site)) >= len(l:want)})
  if s:Rules(s:site) != l:want
    throw string(s:Rules(s:site))
  endif
endfunction

function! s:Colours() abort
  for [l:line, l:column, l:want] in [[4, 1, 'Item'], [5, 5, 'Statement'], [6, 23, 'Unit'], [1, 1, 'Comment']]
    let l:group = synIDattr(synID(l:line, l:column, 1), 'name')
    if l:group !=# 'curtilage' . l:want
      throw l:line . ':' . l:column . ' is ' . l:group
    endif
  endfor
endfunction

function! s:PreviewText() abort
  for l:window in range(1, winnr('$'))
    if getwinvar(l:window, '&previewwindow')
      return join(getbufline(winbufnr(l:window), 1, '$'), "\n")
    endif
  endfor
  return ''
endfunction

function! s:Hover() abort
  for l:hover in s:expected.hover
    call s:Go(l:hover.at)
    ALEHover
    call s:Wait('hover with ' . l:hover.says, {-> stridx(s:PreviewText(), l:hover.says) >= 0})
    pclose
  endfor
endfunction

function! s:Complete() abort
  for l:complete in s:expected.complete
    call s:Go(l:complete.at)
    " What 'omnifunc' does, with an end to its patience.
    if &omnifunc !=# 'ale#completion#OmniFunc'
      throw 'omnifunc is ' . &omnifunc
    endif
    call ale#completion#GetCompletions('ale-omnifunc')
    call s:Wait('completions', {-> ale#completion#GetCompletionResult() isnot v:null})
    let l:words = map(ale#completion#GetCompletionResult(), {_, item -> item.word})
    let l:Offered = {word -> !empty(filter(copy(l:words), {_, w -> w ==# word || w =~# '\.' . word . '$'}))}
    if !l:Offered(l:complete.offers) || l:Offered(l:complete.hides)
      throw l:complete.offers . ', not ' . l:complete.hides . ': ' . join(l:words)
    endif
  endfor
endfunction

function! s:Definition() abort
  call s:Go(s:expected.definition.at)
  ALEGoToDefinition
  call s:Wait('the jump', {-> expand('%:p') =~# s:expected.definition.file . '$'})
  if line('.') != s:expected.definition.line
    throw 'line ' . line('.')
  endif
  execute 'buffer ' . s:site
endfunction

" Completions are taken in insert mode alone, in which no script can be. ALE asks for the mode here.
runtime autoload/ale/util.vim
function! ale#util#Mode(...) abort
  return 'i'
endfunction

" What a person would type at a prompt of ALE.
function! s:Answer(answer) abort
  let s:answer = a:answer
  function! ale#util#Input(message, value, ...) abort
    return s:answer(a:message)
  endfunction
endfunction

function! s:Fix() abort
  let l:fix = s:expected.fix
  call s:Go(l:fix.at)
  call s:Answer({message -> matchstr(message, '\d\+\ze) [^\n]*' . l:fix.title)})
  ALECodeAction
  call s:Wait('the edit', {-> getbufline(s:site, l:fix.line) == [l:fix.becomes]})
  call s:Settle()
  call s:Wait('its finding to go', {-> !s:Has(s:site, l:fix.mends)})
endfunction

function! s:Format() abort
  let l:format = s:expected.format
  ALEFix
  call s:Wait('the new text', {-> getbufline(s:site, l:format.line) == [l:format.becomes]})
endfunction

function! s:Unsaved() abort
  let l:unsaved = s:expected.unsaved
  call s:Open(s:expected.parts)
  execute '%s/\V' . l:unsaved.from . '/' . l:unsaved.to . '/'
  call s:Settle()
  call s:Wait('the finding to go', {-> !s:Has(s:site, l:unsaved.mends)})
  if !&modified
    throw 'it was saved'
  endif
  silent undo
  call s:Settle()
  call s:Wait('the finding to return', {-> s:Has(s:site, l:unsaved.mends)})
  execute 'buffer ' . s:site
endfunction

function! s:AllIn(buffer, lines) abort
  let l:text = join(getbufline(a:buffer, 1, '$'), "\n")
  return empty(filter(copy(a:lines), {_, wanted -> stridx(l:text, wanted) < 0}))
endfunction

function! s:Rename() abort
  let l:rename = s:expected.rename
  call s:Go(l:rename.at)
  call s:Answer({message -> l:rename.to})
  ALERename
  call s:Wait('the new name here', {-> s:AllIn(s:site, l:rename.site)})
  let l:parts = bufnr(s:folder . '/' . s:expected.parts)
  call s:Wait('the new name there', {-> s:AllIn(l:parts, l:rename.parts)})
endfunction

call s:Check('diagnostics with rule and line', function('s:Diagnostics'))
call s:Check('colours', function('s:Colours'))
call s:Check('hover', function('s:Hover'))
call s:Check('completion', function('s:Complete'))
call s:Check('definition in another file', function('s:Definition'))
call s:Check('a fix is made', function('s:Fix'))
call s:Check('the file is formatted', function('s:Format'))
call s:Check('unsaved text of another file wins', function('s:Unsaved'))
call s:Check('rename in both files', function('s:Rename'))
ALEStopAllLSPs
call writefile(s:results, $CLIENT_RESULTS)
execute s:failed ? 'cquit' : 'qall!'
