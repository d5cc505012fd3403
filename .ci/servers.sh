# What the tests lean on. A server that answers is used as it is; otherwise one of our own runs
# for this check alone, on a free port, with its files in a temporary folder.
postgres_dir=""
redis_pid=""

install_server_packages() {
  local wanted=()
  [ -n "$(postgres_bin)" ] || wanted+=(postgresql)
  command -v redis-server >/dev/null || wanted+=(redis-server)
  command -v chromium >/dev/null || wanted+=(chromium)
  # What paper output draws its text with.
  ldconfig -p | grep -q libpangoft2-1.0 || wanted+=(libpango-1.0-0 libpangoft2-1.0-0)
  ldconfig -p | grep -q libharfbuzz-subset || wanted+=(libharfbuzz-subset0)
  fc-list 2>/dev/null | grep -qi dejavu || wanted+=(fontconfig fonts-dejavu-core)
  if [ ${#wanted[@]} -eq 0 ]; then
    echo "all there"
    return 0
  fi
  if ! command -v apt-get >/dev/null || [ "$(id -u)" -ne 0 ]; then
    echo "please install: ${wanted[*]}"
    return 1
  fi
  apt-get update -qq &&
    DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends "${wanted[@]}" &&
    echo "installed ${wanted[*]}"
}

postgres_bin() { find /usr/lib/postgresql /usr/local/pgsql -name initdb -printf '%h\n' 2>/dev/null | sort -V | tail -n 1; }

free_port() { python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'; }

as_postgres() { # initdb and postgres refuse to run as root
  if [ "$(id -u)" -eq 0 ]; then runuser -u postgres -- "$@"; else "$@"; fi
}

start_servers() { start_postgres && start_redis; }

start_postgres() {
  local bin port
  if [ -n "${RINGFOLD_TEST_POSTGRES:-}" ]; then
    return 0
  fi
  if command -v psql >/dev/null &&
    psql -w -X -h 127.0.0.1 -p 5432 -U postgres -d postgres -Atc 'SELECT 1' >/dev/null 2>&1; then
    printf 'PostgreSQL: the one on 5432; '
    return 0
  fi
  bin=$(postgres_bin)
  if [ -z "$bin" ]; then
    printf 'PostgreSQL: none; '
    return 0
  fi
  port=$(free_port)
  postgres_dir=$(mktemp -d)
  [ "$(id -u)" -ne 0 ] || chown postgres "$postgres_dir"
  as_postgres "$bin/initdb" -D "$postgres_dir/data" -U postgres -A trust -E UTF8 --locale=C.UTF-8 \
    >"$scratch/initdb.log" || return 1
  as_postgres "$bin/pg_ctl" -D "$postgres_dir/data" -l "$postgres_dir/log" -w -s \
    -o "-p $port -k $postgres_dir -c listen_addresses=127.0.0.1" start || return 1
  export RINGFOLD_TEST_POSTGRES=postgresql+psycopg://postgres@127.0.0.1:$port/postgres
  printf 'PostgreSQL: our own on %s; ' "$port"
}

start_redis() {
  local port tries=0
  if [ -n "${RINGFOLD_TEST_REDIS:-}" ]; then
    return 0
  fi
  if command -v redis-cli >/dev/null && [ "$(redis-cli -h 127.0.0.1 ping 2>/dev/null)" = PONG ]; then
    echo "Redis: the one on 6379"
    return 0
  fi
  if ! command -v redis-server >/dev/null; then
    echo "Redis: none"
    return 0
  fi
  port=$(free_port)
  mkdir -p "$scratch/redis"
  redis-server --port "$port" --bind 127.0.0.1 --save '' --appendonly no --dir "$scratch/redis" \
    >"$scratch/redis.log" 2>&1 &
  redis_pid=$!
  until [ "$(redis-cli -p "$port" ping 2>/dev/null)" = PONG ]; do
    tries=$((tries + 1))
    [ "$tries" -lt 100 ] || return 1
    sleep 0.1
  done
  export RINGFOLD_TEST_REDIS=redis://127.0.0.1:$port
  echo "Redis: our own on $port"
}

stop_servers() {
  if [ -n "$redis_pid" ]; then
    kill "$redis_pid" 2>/dev/null
    wait "$redis_pid" 2>/dev/null
  fi
  if [ -n "$postgres_dir" ]; then
    as_postgres "$(postgres_bin)/pg_ctl" -D "$postgres_dir/data" -m immediate -s stop
    rm -rf "$postgres_dir"
  fi
}
