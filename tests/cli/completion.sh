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
offers '--dry-run --rejects' '--why' merge north.book --
offers '--replace' '--out' backup copy.book --r
offers '--origin' '--why' evidence export --o
offers '--why' '--origin' --book x.book evidence remove north --w
offers 'show acknowledge dismiss' 'import' --as 'safety officer' findings ''
offers 'text' '' pick J152/2 --figure ''
offers 'species cut crew tree' '--json month,' weights --by ''
offers 'species,cut species,crew' 'species,species species' weights --by species,
offers 'species,cut,crane' 'species,cut,cut' weights --by species,cut,cr
offers 'species setup' 'month job tree' trend --by ''
offers 'species estimator' 'crew' factors --by ''
offers 'certain likely' '--month' review --fail-on ''
offers 'certain likely' '--month' findings --month 2026-10 --fail-on ''
offers 'engineering' 'heavier' action add x --control ''
offers 'over-chart unweighed' 'engineering text' action add x --figure ''
offers 'step hinge' '' action add x --cut ''
offers 'hardwood softwood' '' species add x --group ''
offers 'smalian newton' '' calc volume --method ''
offers 'eye wire' 'balancer' calc drop --kind ''
offers 'choker basket' 'eye' calc sling --hitch ''
offers 'eye,eye eye,chain' 'eye' calc hang --kind eye,
offers 'tight snug slack' '' calc hang --states ''
offers 'tight,tight tight,slack' '' calc hang --states tight,
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
