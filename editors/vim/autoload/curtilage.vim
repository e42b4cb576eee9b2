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
