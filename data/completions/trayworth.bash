# Completions of trayworth for bash. What may come next, the program itself says: a word a line,
# ":files" where a file is due.

_trayworth() {
    # Readline takes = for the end of a word; the words are put together again as they were typed.
    local line=${COMP_LINE:0:COMP_POINT} piece i
    local -a words=()
    for ((i = 0; i <= COMP_CWORD; ++i)); do
        if [[ $i -eq 0 || $line == [[:blank:]]* ]]; then
            line=${line#"${line%%[![:blank:]]*}"}
            words+=("")
        fi
        piece=${COMP_WORDS[i]}
        if ((i == COMP_CWORD)); then
            piece=$line
        fi
        words[${#words[@]} - 1]+=$piece
        line=${line#"$piece"}
    done

    local last=$((${#words[@]} - 1)) quoted=""
    if [[ ${words[last]} == [\"\']* ]]; then
        quoted=yes
    fi
    for ((i = 0; i <= last; ++i)); do
        words[i]=${words[i]//[\"\'\\]/}
        if ((i < last)); then
            words[i]=${words[i]/#\~\//$HOME/}
        fi
    done

    local current=${words[last]} before="" candidate files=""
    if [[ $COMP_WORDBREAKS == *=* && -z $quoted ]]; then
        before=${current%"${current##*=}"}
    fi
    COMPREPLY=()
    while IFS=$'\t' read -r candidate _; do
        if [[ $candidate == :files ]]; then
            files=yes
        elif [[ -z $quoted || $candidate != *[\"\'\`\$\\!]* ]]; then
            COMPREPLY+=("${candidate#"$before"}")
        fi
    done < <("${words[0]}" completion bash -- "${words[@]:1}" 2>/dev/null)

    if [[ ${#COMPREPLY[@]} -eq 1 && ${COMPREPLY[0]} == *= ]]; then
        compopt -o nospace
    fi
    # Names of files are quoted by readline, and what stands among them.
    if [[ -z $files && -z $quoted ]]; then
        for i in "${!COMPREPLY[@]}"; do
            printf -v "COMPREPLY[i]" %q "${COMPREPLY[i]}"
        done
    fi
    if [[ -n $files ]]; then
        local path=$current option=""
        if [[ $path == --*=* ]]; then
            option=${path%%=*}=
            path=${path#*=}
        fi
        compopt -o filenames
        while IFS= read -r candidate; do
            candidate=$option$candidate
            COMPREPLY+=("${candidate#"$before"}")
        done < <(compgen -f -- "$path")
    fi
}

complete -F _trayworth trayworth
