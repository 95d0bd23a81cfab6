# Completions of trayworth for fish. What may come next, the program itself says: a word and what it
# means, parted by a tab, a line each; ":files" where a file is due.

function __trayworth_complete
    set -l words (commandline -opc)
    set -l current (commandline -ct | string trim --left --chars "\"'")
    for line in ($words[1] completion fish -- $words[2..] "$current" 2>/dev/null)
        if test "$line" = :files
            set -l option (string match --regex -- '^--[^=]+=' $current)
            for path in (__fish_complete_path (string replace -- "$option" '' $current))
                printf '%s\n' "$option$path"
            end
        else
            printf '%s\n' $line
        end
    end
end

complete -c trayworth -f -a '(__trayworth_complete)'
