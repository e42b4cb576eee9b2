;;; curtilage-mode.el --- Sites of Curtilage  -*- lexical-binding: t; -*-

;; Package-Requires: ((emacs "27.1"))

;;; Commentary:

;; Colours and indentation for site files, and their checker by way of eglot:
;;
;;   (add-to-list 'load-path "/path/to/editors/emacs")
;;   (require 'curtilage-mode)
;;   (add-hook 'curtilage-mode-hook #'eglot-ensure)
;;
;; The program `curtilage' has to be on the PATH, or in `curtilage-program'.

;;; Code:

(require 'curtilage-words)

(defgroup curtilage nil
  "Sites of small security installations."
  :group 'languages)

(defcustom curtilage-program "curtilage"
  "The checker: a name that is found on the PATH, or a path."
  :type 'string)

(defcustom curtilage-indent-offset 4
  "How far the lines of a block stand in."
  :type 'integer)

(defun curtilage--words (words)
  "A regular expression for WORDS, none of them a part of a longer name."
  (concat "\\_<" (regexp-opt words) "\\_>"))

(defvar curtilage-font-lock-keywords
  (let ((titled "[ \t]+\\(?:to\\_>\\|\\(\\_<[[:alpha:]]\\(?:\\sw\\|\\s_\\)*\\)\\)?"))
    `((,(concat "^[ \t]*\\(" (curtilage--words curtilage-item-words) "\\)" titled)
       (1 font-lock-keyword-face)
       (2 font-lock-function-name-face nil t))
      (,(concat "\\(?:^\\|{\\)[ \t]*\\(" (curtilage--words curtilage-statement-words) "\\)")
       (1 font-lock-variable-name-face))
      ("\\_<[0-9]\\{1,2\\}:[0-9]\\{2\\}\\(?::[0-9]\\{2\\}\\(?:\\.[0-9]\\{1,3\\}\\)?\\)?"
       . font-lock-constant-face)
      ("\\_<\\(?:[0-9]\\{4\\}-\\)?[0-9]\\{2\\}-[0-9]\\{2\\}\\_>" . font-lock-constant-face)
      (,(concat "\\_<-?[0-9]+\\(?:\\.[0-9]+\\)?[ \t]*\\("
                (regexp-opt curtilage-units) "\\)\\(?:[^[:alnum:]_/^-]\\|$\\)")
       (1 font-lock-type-face))
      (,(curtilage--words curtilage-choice-words) . font-lock-constant-face)
      (,(curtilage--words curtilage-small-words) . font-lock-builtin-face)))
  "Colours of site files.")

(defvar curtilage-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?\" "\"" table)
    ;; Names hold these: `six-core-0.22', `head.in1', `ohm/km'.
    (dolist (character '(?- ?. ?/ ?^ ?_))
      (modify-syntax-entry character "_" table))
    (modify-syntax-entry ?+ "." table)
    (modify-syntax-entry ?% "." table)
    table)
  "Syntax of site files.")

(defun curtilage--goes-on-p ()
  "Whether the line before this one ends in a comma."
  (save-excursion
    (forward-line 0)
    (and (not (bobp))
         (progn (forward-comment (- (point)))
                (eq (char-before) ?,)))))

(defun curtilage-indent-line ()
  "Indent this line: blocks by one step, lines that a comma goes on by two."
  (interactive)
  (let* ((depth (save-excursion
                  (forward-line 0)
                  (car (syntax-ppss))))
         (closes (save-excursion (back-to-indentation) (looking-at-p "}")))
         (column (cond ((curtilage--goes-on-p) (* (+ depth 2) curtilage-indent-offset))
                       (closes (* (max 0 (1- depth)) curtilage-indent-offset))
                       (t (* depth curtilage-indent-offset))))
         (behind (- (current-column) (current-indentation))))
    (indent-line-to column)
    (when (> behind 0)
      (move-to-column (+ column behind)))))

;;;###autoload
(define-derived-mode curtilage-mode prog-mode "Site"
  "Site files of Curtilage."
  (setq-local comment-start "# ")
  (setq-local comment-start-skip "#+[ \t]*")
  (setq-local comment-end "")
  (setq-local indent-tabs-mode nil)
  (setq-local indent-line-function #'curtilage-indent-line)
  (setq-local electric-indent-chars '(?\n ?}))
  (setq-local font-lock-defaults '(curtilage-font-lock-keywords)))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.site\\'" . curtilage-mode))

;; All files that use each other belong to one server: those below the nearest file
;; `workspace.site'.  Without one, the project is what Emacs takes for it, such as a repository.

(require 'cl-lib)
(require 'project)

(defun curtilage-project (folder)
  "The workspace around FOLDER, as a project."
  (let ((root (locate-dominating-file folder "workspace.site")))
    (when root (cons 'curtilage (expand-file-name root)))))

(cl-defmethod project-root ((project (head curtilage)))
  "The folder of PROJECT."
  (cdr project))

(add-hook 'project-find-functions #'curtilage-project)

(defvar eglot-server-programs)

(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs
               `(curtilage-mode . ,(lambda (&rest _) (list curtilage-program "serve")))))

(provide 'curtilage-mode)
;;; curtilage-mode.el ends here
