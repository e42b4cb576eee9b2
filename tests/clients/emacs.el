;;; emacs.el --- Emacs with our mode and eglot  -*- lexical-binding: t; -*-

;; Run by `run': emacs -q --batch -L editors/emacs -l emacs.el

;;; Code:

(package-initialize)
(require 'json)
(require 'eglot)
(require 'curtilage-mode)

(defvar here (file-name-as-directory (getenv "CLIENT_HOME")))
(defvar folder (file-name-as-directory (getenv "CLIENT_SITE")))
(defvar expected
  (let ((json-object-type 'alist) (json-array-type 'list))
    (json-read-file (concat here "expected.json"))))
(defvar results nil)
(defvar failed nil)
(defvar patience 20.0)

(defun of (object &rest names)
  "The member of OBJECT at the end of NAMES."
  (dolist (name names object)
    (setq object (alist-get name object))))

(defmacro check (name &rest body)
  "Note under NAME whether BODY ends without an error."
  (declare (indent 1))
  `(condition-case trouble
       (progn ,@body (push (concat "ok    " ,name) results))
     (error (setq failed t)
            (push (format "FAILED %s: %s" ,name (error-message-string trouble)) results))))

(defmacro wait (what &rest condition)
  "Serve the server until CONDITION holds; WHAT is what was waited for."
  (declare (indent 1))
  `(let ((end (+ (float-time) patience)))
     (while (not (progn ,@condition))
       (when (> (float-time) end)
         (error "Waited in vain for %s" ,what))
       (accept-process-output nil 0.05))))

(defun go (at)
  "Put the cursor where the text of AT stands."
  (goto-char (point-min))
  (search-forward (car at))
  (goto-char (+ (match-beginning 0) (cadr at))))

(defun line-text (number)
  "The text of line NUMBER."
  (save-excursion
    (goto-char (point-min))
    (forward-line (1- number))
    (buffer-substring-no-properties (line-beginning-position) (line-end-position))))

(defun rules (buffer)
  "Line and rule of each diagnostic of BUFFER."
  (with-current-buffer buffer
    (sort (mapcar (lambda (diagnostic)
                    (let ((told (alist-get 'eglot-lsp-diag (flymake-diagnostic-data diagnostic))))
                      (format "%d %s" (line-number-at-pos (flymake-diagnostic-beg diagnostic))
                              (plist-get told :code))))
                  (flymake-diagnostics))
          #'string<)))

(defun has-rule (buffer rule)
  "Whether BUFFER has a diagnostic of RULE."
  (seq-some (lambda (found) (string-suffix-p rule found)) (rules buffer)))

(defun ask (method)
  "The server's answer to METHOD where the cursor stands."
  (jsonrpc-request (eglot-current-server) method (eglot--TextDocumentPositionParams)))

(defvar site (find-file (concat folder (of expected 'site))))
(set-buffer site)

(check "the file has its mode and a server"
  (unless (eq major-mode 'curtilage-mode) (error "Mode %s" major-mode))
  (let ((eglot-sync-connect 30) (eglot-confirm-server-initiated-edits nil))
    (apply #'eglot (eglot--guess-contact)))
  (wait "the server" (eglot-managed-p))
  (unless (equal (project-root (eglot--project (eglot-current-server))) folder)
    (error "The project is %s" (eglot--project (eglot-current-server)))))
(setq eglot-confirm-server-initiated-edits nil)

(check "diagnostics with rule and line"
  (let ((want (mapcar (lambda (diagnostic)
                        (format "%d %s" (of diagnostic 'line) (of diagnostic 'rule)))
                      (of expected 'diagnostics))))
    (wait "diagnostics"
      (flymake-start)
      (>= (length (rules site)) (length want)))
    (unless (equal (rules site) want) (error "%S" (rules site)))))

(check "colours and indentation"
  (font-lock-ensure)
  (dolist (want '(("site wraithmoor" font-lock-keyword-face)
                  ("wraithmoor" font-lock-function-name-face)
                  ("timezone" font-lock-variable-name-face)
                  ("degC" font-lock-type-face)
                  ("# A cider" font-lock-comment-delimiter-face)
                  ("closed\n    registers" font-lock-constant-face)))
    (go (list (car want) 0))
    (unless (eq (get-text-property (point) 'face) (cadr want))
      (error "`%s' is %s" (car want) (get-text-property (point) 'face))))
  (let ((text (buffer-string)))
    (indent-region (point-min) (point-max))
    (unless (equal text (buffer-string)) (error "Indentation changes the file"))
    (set-buffer-modified-p nil)))

(check "hover"
  (dolist (hover (of expected 'hover))
    (go (of hover 'at))
    (let ((text (format "%S" (ask :textDocument/hover))))
      (unless (string-match-p (regexp-quote (of hover 'says)) text)
        (error "%s says %s" (car (of hover 'at)) text)))))

(check "completion"
  (dolist (complete (of expected 'complete))
    (go (of complete 'at))
    (let* ((answer (ask :textDocument/completion))
           (items (append (if (vectorp answer) answer (plist-get answer :items)) nil))
           (labels (mapcar (lambda (item) (plist-get item :label)) items))
           (offered (lambda (word)
                      (seq-some (lambda (label)
                                  (or (equal label word) (string-suffix-p (concat "." word) label)))
                                labels))))
      (unless (funcall offered (of complete 'offers)) (error "Not offered: %S" labels))
      (when (funcall offered (of complete 'hides)) (error "Offered: %S" labels)))))

(check "definition in another file"
  (go (of expected 'definition 'at))
  (let* ((found (car (xref-backend-definitions 'eglot (xref-backend-identifier-at-point 'eglot))))
         (place (and found (xref-item-location found))))
    (unless place (error "Nothing found"))
    (unless (string-suffix-p (of expected 'definition 'file) (xref-location-group place))
      (error "In %s" (xref-location-group place)))
    (unless (eql (xref-location-line place) (of expected 'definition 'line))
      (error "In line %s" (xref-location-line place)))))

(check "a fix is made"
  (let* ((fix (of expected 'fix)) (title (of fix 'title)))
    (go (of fix 'at))
    ;; The prompt that a person would answer.
    (cl-letf ((last-nonmenu-event ?x) ; not by the mouse
              ((symbol-function 'completing-read)
               (lambda (_prompt choices &rest _)
                 (or (seq-find (lambda (choice) (string-match-p (regexp-quote title) choice))
                               (mapcar (lambda (c) (if (consp c) (car c) c)) choices))
                     (error "Not among %S" choices)))))
      (eglot-code-actions (point) (point) nil t))
    (wait "the edit" (equal (line-text (of fix 'line)) (of fix 'becomes)))
    (wait "its finding to go"
      (eglot--signal-textDocument/didChange)
      (flymake-start)
      (not (has-rule site (of fix 'mends))))))

(check "the file is formatted"
  (eglot-format-buffer)
  (unless (equal (line-text (of expected 'format 'line)) (of expected 'format 'becomes))
    (error "%s" (line-text (of expected 'format 'line)))))

(check "unsaved text of another file wins"
  (let* ((unsaved (of expected 'unsaved))
         (replace (lambda (from to)
                    (goto-char (point-min))
                    (search-forward (of unsaved from))
                    (replace-match (of unsaved to) t t)
                    (eglot--signal-textDocument/didChange)))
         (parts (find-file-noselect (concat folder (of expected 'parts)))))
    (with-current-buffer parts
      (unless (eglot-managed-p) (eglot--maybe-activate-editing-mode))
      (wait "the server" (eglot-managed-p))
      (funcall replace 'from 'to)
      (unless (buffer-modified-p) (error "It was saved")))
    (wait "the finding to go"
      (with-current-buffer site (flymake-start))
      (not (has-rule site (of unsaved 'mends))))
    (with-current-buffer parts (funcall replace 'to 'from))
    (wait "the finding to return"
      (with-current-buffer site (flymake-start))
      (has-rule site (of unsaved 'mends)))))

(check "rename in both files"
  (let ((rename (of expected 'rename)))
    (set-buffer site)
    (go (of rename 'at))
    ;; Changes are sent when Emacs is idle, and here it never is.
    (eglot--signal-textDocument/didChange)
    (eglot-rename (of rename 'to))
    (dolist (place `((,site . ,(of rename 'site))
                     (,(find-file-noselect (concat folder (of expected 'parts)))
                      . ,(of rename 'parts))))
      (with-current-buffer (car place)
        (dolist (line (cdr place))
          (wait line (string-match-p (regexp-quote line) (buffer-string))))))))

(check "the server ends when it is told to"
  (set-buffer site)
  (eglot-shutdown (eglot-current-server) nil 20))

(with-temp-file (getenv "CLIENT_RESULTS")
  (insert (mapconcat #'identity (reverse results) "\n") "\n"))
(kill-emacs (if failed 1 0))
;;; emacs.el ends here
