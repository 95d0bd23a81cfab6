# Completions of trayworth for fish. What may come next, the program itself says: a word and what it
# means, parted by a tab, a line each; ":files" where a file is due.

function __trayworth_next
    set -l words (commandline -opc)
    set -l current (commandline -ct | string trim --left --chars "\"'")
    $words[1] completion fish -- $words[2..] "$current" 2>/dev/null
end

complete -c trayworth -f -a '(__trayworth_next | string match --invert -- :files)'
complete -c trayworth -n '__trayworth_next | string match --quiet -- :files' -F
