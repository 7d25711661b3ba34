# put_words.awk words.md FILE.md: each block of words.md at the end of the section of the same name.
FNR == NR { if (/^## /) name = $0; else if (name != "") block[name] = block[name] $0 "\n"; next }
/^## / { if (heading in block) printf "%s", block[heading]; heading = $0 }
{ print }
END { if (heading in block) printf "%s", block[heading] }
