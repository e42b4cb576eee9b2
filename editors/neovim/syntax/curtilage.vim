" Colours for Curtilage sites. Made by: cargo test -p curtilage-grammar --test fresh

if exists('b:current_syntax')
  finish
endif

syntax case match
syntax iskeyword @,48-57,_,-,.,/,^,128-255

syntax match curtilageName /[[:alpha:]\d128-\d255][[:alnum:]_\d128-\d255]*\%([-.\/^][[:alnum:]_\d128-\d255]\+\)*/
syntax keyword curtilageSmall active after all and any arming at because before by class common cores drives during each every factor for from held holidays in is least most never none not of off on once out over per pull-up restored rests start supply suppressed tamper the time times to twice until way while within
syntax keyword curtilageChoice AC-12 AC-13 AC-14 AC-15 DC-12 DC-13 DC-14 Fri Mon Sat Sun Thu Tue Wed above ac across activation always an armed as automatic battery below break cable camera changeover closed closing command constant continuous controller current cut dc end error events floating forced heat hint hold inductive intrusion joint joints lamp light load lockout longer loss lost make minus motion on-battery open opening panic plus power recorded registers registration relay resistive resting retriggered returns running says sensor shorted sound store supervised tampered technical then told warning zone
syntax match curtilageStatement /\%(^\|{\)\s*\zs\%(active\|after\|ageing\|alarm-time\|also\|ambient\|area\|armed\|bare\|battery\|bit-rate\|carries\|channels\|charges\|close\|coil\|commons\|conductor\|confirmed\|contact\|contacts\|cores\|disturbed\|draws\|drops\|during\|empty\|ends\|entry\|except\|exit\|expect\|fed\|follows\|from\|fuse\|gives\|holds\|holidays\|idles\|inductive\|input\|inputs\|inrush\|inside\|joint\|keep\|lamp\|level\|lockout\|loudness\|mode\|motion\|move\|occupied\|on-time\|open\|outlets\|panic\|people\|peukert\|plain-sum\|preset\|pulls\|pulse\|purpose\|reaches\|recharge\|record\|registers\|relay\|relays\|repeats\|resistance\|resistive\|rests\|retention\|runs\|settle\|settles\|show\|sound\|sounder-run\|spare\|standby\|store\|suppressed\|tamper\|tap\|tell\|through\|timezone\|voltage\|waste\|wired\)\ze\%(\s\|$\)/
syntax match curtilageItem /\%(^\|}\)\s*\zs\%(allow\|cable\|camera\|controller\|measured\|output\|part\|policy\|recording\|rehearsal\|relay\|response\|schedule\|site\|supply\|use\|zone\)\ze\s/ nextgroup=curtilageTitled skipwhite
syntax match curtilageTitled /[^[:space:]"{]\+/ contained
syntax match curtilageNumber /-\?\<\d\+\%(\.\d\+\)\?\%([eE][+-]\?\d\+\)\?\ze\%(\s\|[^-:0-9.]\|$\)/ nextgroup=curtilageUnit skipwhite
syntax match curtilageUnit /\%(%\|A\|AWG\|Ah\|B\|GB\|MB\|Mbit\/s\|Mohm\|MΩ\|MΩ\|TB\|V\|VA\|W\|awg\|bit\/s\|cm\|d\|dB\|day\|days\|degC\|ft\|h\|hour\|hours\|hoµr\|hoµrs\|hoμr\|hoμrs\|kB\|kV\|kW\|kbit\/s\|km\|kohm\|kΩ\|kΩ\|m\|mA\|mAh\|mV\|mW\|min\|minute\|minutes\|minµte\|minµtes\|minμte\|minμtes\|mm\|mm2\|mm^2\|mm²\|mohm\|mohm\/m\|ms\|mΩ\|mΩ\/m\|mΩ\|mΩ\/m\|ohm\|ohm\/kft\|ohm\/km\|ohm\/m\|s\|second\|seconds\|sqmm\|uA\|uV\|°C\|µA\|µV\|Ω\|Ω\/kft\|Ω\/km\|Ω\/m\|μA\|μV\|Ω\|Ω\/kft\|Ω\/km\|Ω\/m\)\ze\%([[:space:],)}#]\|+-\|±\|$\)/ contained
syntax match curtilageTime /\<\d\d\?:\d\d\%(:\d\d\%(\.\d\{1,3}\)\?\)\?/
syntax match curtilageTime /\<\%(\d\{4}-\)\?\d\d-\d\d\>/
syntax match curtilageTolerance /+-\|+\/-\|±/
syntax region curtilageText start=/"/ skip=/\\["\\]/ end=/"/ oneline
syntax match curtilageComment /#.*$/ contains=@Spell

highlight default link curtilageComment Comment
highlight default link curtilageText String
highlight default link curtilageItem Keyword
highlight default link curtilageStatement Statement
highlight default link curtilageTitled Identifier
highlight default link curtilageSmall Operator
highlight default link curtilageChoice Constant
highlight default link curtilageNumber Number
highlight default link curtilageUnit Type
highlight default link curtilageTime Number
highlight default link curtilageTolerance Operator

let b:current_syntax = 'curtilage'
