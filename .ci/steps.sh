# Named, timed steps. A failing one shows its output and is remembered; the others still run.
failed=0
failures=""
declare -A background_pid background_start

report() { # report NAME STATUS SECONDS LOG
  if [ "$2" -eq 0 ]; then
    printf '== %-36s ok   %3s s  %s\n' "$1" "$3" "$(tail -n 1 "$4" | cut -c 1-90)"
    return 0
  fi
  printf '== %-36s FAILED (%s) %s s\n' "$1" "$2" "$3"
  sed 's/^/   /' "$4"
  return "$2"
}

remember() { # remember NAME STATUS
  [ "$failed" -ne 0 ] || failed=$2
  failures="${failures:+$failures, }$1"
}

log_of() { printf '%s/%s.log' "$scratch" "${1//[^a-z]/-}"; }

step() { # step NAME COMMAND...: run it now
  local name=$1 log start=$SECONDS status=0
  log=$(log_of "$name")
  shift
  "$@" >"$log" 2>&1 || status=$?
  report "$name" "$status" "$((SECONDS - start))" "$log" || remember "$name" "$status"
  return "$status"
}

behind() { # behind NAME COMMAND...: run it beside the next steps, until join NAME
  local name=$1 log
  log=$(log_of "$name")
  shift
  background_start[$name]=$SECONDS
  {
    local status=0
    "$@" || status=$?
    echo "$SECONDS" >"$log.ended"
    exit "$status"
  } >"$log" 2>&1 &
  background_pid[$name]=$!
}

join() { # join NAME: wait for it and report it like a step
  local name=$1 status=0 log ended
  log=$(log_of "$name")
  wait "${background_pid[$name]}" || status=$?
  unset "background_pid[$name]"
  read -r ended <"$log.ended"
  report "$name" "$status" "$((ended - background_start[$name]))" "$log" && return 0
  remember "$name" "$status"
  return "$status"
}

stop_background() {
  local name
  for name in "${!background_pid[@]}"; do
    # A package manager is left to finish: stopping it half-way breaks the machine's packages.
    if [ "$name" != "server packages" ]; then
      pkill -P "${background_pid[$name]}" 2>/dev/null
      kill "${background_pid[$name]}" 2>/dev/null
    fi
    wait "${background_pid[$name]}" 2>/dev/null
  done
}
