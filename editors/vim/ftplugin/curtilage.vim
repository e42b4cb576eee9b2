if exists('b:did_ftplugin')
  finish
endif
let b:did_ftplugin = 1

setlocal commentstring=#\ %s comments=:#
" A hyphen belongs to a name: dock-door is one word.
setlocal iskeyword+=-
setlocal shiftwidth=4 expandtab

" With ALE, :ALEFix formats and ALE completes.
if !exists('b:ale_fixers')
  let b:ale_fixers = [function('curtilage#Format')]
endif
if exists(':ALELint') == 2
  setlocal omnifunc=ale#completion#OmniFunc
endif

let b:undo_ftplugin = 'setlocal commentstring< comments< iskeyword< shiftwidth< expandtab< omnifunc<'
