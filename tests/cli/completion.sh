# Sourced by bash: what is offered behind the words of each line, against what a person would expect.
eval "$("$PROGRAM" --completion bash)"
passed=0
failed=0
offers() { # what must be offered, what must not, the words typed; the last one is being completed
    local wanted=$1 unwanted=$2
    shift 2
    COMP_WORDS=(afterpick "$@")
    COMP_CWORD=$#
    COMPREPLY=()
    _afterpick
    for one in $wanted; do
        if [[ " ${COMPREPLY[*]} " == *" $one "* ]]; then ((passed++)); else ((failed++)); echo "FAILED completion: 'afterpick $*' does not offer $one but: ${COMPREPLY[*]}"; fi
    done
    for one in $unwanted; do
        if [[ " ${COMPREPLY[*]} " == *" $one "* ]]; then ((failed++)); echo "FAILED completion: 'afterpick $*' offers $one"; else ((passed++)); fi
    done
}
offers 'weights weight-sheet' 'writeup --json' we
offers '--book --version --completion' 'import' --
offers 'import calc init' '--book' ''
offers '--month --fail-on --json' '--butt-piece import' review --
offers '--by' '--book --butt' weights --by
offers 'us metric' '--json' weights --units ''
offers 'mdy dmy' '' import log.csv --dates ''
offers 'set chart calibrate' '' crane K1 ''
offers 'inspected retire unretire' '' sling S53 ''
offers 'keep take decide' 'month' problems ''
offers 'volume hang rate' 'weights' calc ''
offers '--butt-piece --method' '--lean --why' calc volume --
offers '--lean --preload' '--butt-piece' calc hang --
offers 'export import list remove' '' evidence ''
offers '--month --out --replace' '--origin' export --
offers '--replace' '--out' backup copy.book --r
offers '--origin' '--why' evidence export --o
offers '--why' '--origin' --book x.book evidence remove north --w
offers 'show acknowledge dismiss' 'import' --as 'safety officer' findings ''
offers 'text' '' pick J152/2 --figure ''
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
