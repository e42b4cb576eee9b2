; Made by: cargo test -p curtilage-grammar --test fresh

[
  "active" "after" "all" "and" "any" "arming" "at" "because" "before" "by" "class"
  "common" "cores" "drives" "during" "each" "every" "factor" "for" "from" "held"
  "holidays" "in" "is" "least" "most" "never" "none" "not" "of" "off" "on" "once"
  "out" "over" "per" "pull-up" "restored" "rests" "start" "supply" "suppressed"
  "tamper" "the" "time" "times" "to" "twice" "until" "way" "while" "within"
] @keyword.operator

(comment) @comment @spell
(string) @string
(title) @string.special @spell
(number) @number
(unit) @type.builtin
[(date) (day_of_year) (clock)] @number
["+-" "+/-" "±"] @operator
["," ] @punctuation.delimiter
["{" "}" "(" ")"] @punctuation.bracket

(reference) @variable
(path thing: (reference) @variable)
(path terminal: (terminal) @variable.member)
(name) @variable
(choice) @constant.builtin

(statement word: _ @property)
(source_file (_ item: _ @keyword))
(source_file (_ name: (name) @type.definition))
(source_file (_ part: (reference) @type))
