" The program: g:ale_curtilage_executable, or curtilage on the PATH.
function! curtilage#Executable(buffer) abort
  return ale#Var(a:buffer, 'curtilage_executable')
endfunction

" The folder that holds all files that use each other: the nearest one above with a file
" workspace.site, otherwise that of the repository, otherwise that of the file.
function! curtilage#Root(buffer) abort
  let l:file = ale#path#FindNearestFile(a:buffer, 'workspace.site')
  if empty(l:file)
    let l:git = ale#path#FindNearestDirectory(a:buffer, '.git')
    return empty(l:git) ? expand('#' . a:buffer . ':p:h') : fnamemodify(l:git, ':h:h')
  endif
  return fnamemodify(l:file, ':p:h')
endfunction

" A fixer for ALE.
function! curtilage#Format(buffer) abort
  return {'command': ale#Escape(curtilage#Executable(a:buffer)) . ' format -'}
endfunction

" ALE completes letters and digits alone and pays no heed to where an edit begins. A name here has
" hyphens and dots, so what of it stands before those letters is taken off the text.
function! curtilage#Completes(buffer, item) abort
  let l:edit = get(a:item, 'textEdit', v:null)
  if type(l:edit) is v:t_dict
    let l:line = getbufline(a:buffer, l:edit.range.start.line + 1)
    let l:start = byteidx(get(l:line, 0, ''), l:edit.range.start.character)
    let l:typed = strpart(get(l:line, 0, ''), l:start, ale#completion#GetCompletionPosition() - l:start)
    if !empty(l:typed) && stridx(l:edit.newText, l:typed) == 0
      let l:edit.newText = strpart(l:edit.newText, len(l:typed))
    endif
  endif
  return 1
endfunction
