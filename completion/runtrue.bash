# Completion of `runtrue` for bash. Load it with `source completion/runtrue.bash`, or put it as `runtrue` into
# the folder that your bash loads completions from.

_runtrue_files() {  # names of files and folders that begin with $1
  local IFS=$'\n'
  compopt -o filenames 2> /dev/null
  # shellcheck disable=SC2207
  COMPREPLY=($(compgen -f -- "$1"))
}

_runtrue() {
  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]}
  local command=${COMP_WORDS[1]:-} part=${COMP_WORDS[2]:-} words='' place=1
  COMPREPLY=()

  case "$before" in
    --header | --picture | --data | --output | --remote | --moves | --runs) _runtrue_files "$word"; return ;;
    --tolerance-mm-per-m | --longest-line | --start | --samples | --seed | --trials | --port | --address | --command | --extended | --frames | --repeats | --clock | --stretch | --jitter | --period | --loss | --tick | --speed | --robot | --name | --who | --most-moves | --long-side | --id) return ;;
  esac

  case "$command" in moves | record | remote) place=2 ;; esac
  if [ "$COMP_CWORD" -eq 1 ]; then
    words='advise settings forecast press-list moves record remote load log practice serve help --help --version'
  elif [ "$COMP_CWORD" -eq 2 ] && [ "$place" -eq 2 ]; then
    case "$command" in
      moves) words='check format from-presses from-path --help' ;;
      record) words='import export list --help' ;;
      remote) words='read learn write time-out room --help' ;;
    esac
  else
    case "$command" in
      advise) words='--tolerance-mm-per-m --longest-line --picture --json --help' ;;
      settings) words='--header --json --help' ;;
      forecast) words='--start --samples --seed --picture --json --help' ;;
      press-list) words='--nearest --json --help' ;;
      load) words='--moves --trials --port --trim-from-pot --replace --json --help' ;;
      log) words='--port --runs --json --help' ;;
      practice) words='--seed --json --help' ;;
      serve) words='--data --port --lan --help' ;;
      help) words='advise settings forecast press-list moves record remote load log practice serve' ;;
      remote)
        case "$part" in
          read) words='--remote --json --help' ;;
          learn) words='--name --output --json --help' ;;
          write) words='--address --command --extended --toggle --frames --repeats --clock --stretch --jitter --seed --output --help' ;;
          room) words='--json --help' ;;
          time-out) words='--period --loss --tick --speed --json --help' ;;
        esac ;;
      moves)
        case "$part" in
          check) words='--json --help' ;;
          format) words='--write --json --help' ;;
          from-presses) words='--json --help' ;;
          from-path) words='--most-moves --long-side --id --picture --json --help' ;;
        esac ;;
      record)
        case "$part" in
          import) words='--robot --name --replace --who --data --json --help' ;;
          export) words='--output --data --json --help' ;;
          list) words='--data --json --help' ;;
        esac
        if [ "$COMP_CWORD" -eq 3 ]; then
          case "$part" in
            import | export) words="set robot runs table moves $words" ;;
            list) words="all runs history $words" ;;
          esac
        fi ;;
    esac
    # An argument that is no option is a file, but for the words that stand for something else.
    if [[ $word != -* && $command != help && $command != log && ! ($command == record && ($COMP_CWORD -eq 3 || $part != import)) ]]; then
      _runtrue_files "$word"
      return
    fi
  fi
  # shellcheck disable=SC2207
  COMPREPLY=($(compgen -W "$words" -- "$word"))
}

complete -F _runtrue runtrue
