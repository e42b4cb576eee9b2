autocmd BufRead,BufNewFile *.site setfiletype curtilage
